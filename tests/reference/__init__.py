"""Published and library-computed values, each with its source in its row."""
