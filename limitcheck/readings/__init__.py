"""Readings: the normal band from a log, one pressure, and where a restriction sits."""
