"""The profile format: reading, validating, locating, writing."""
