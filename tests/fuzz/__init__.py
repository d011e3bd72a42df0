"""Fuzzing of limitcheck: hostile TOML, profiles, logs and requests, and what must always hold.

`python -m tests.fuzz --seconds 60 --target profile` runs one target; see `--help`.
"""
