"""The page at the instrument: its tasks, what it refuses, and a browser doing the tasks."""
