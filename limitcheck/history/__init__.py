"""A log of past pressures: the normal band, drift, steps and mixed units."""
