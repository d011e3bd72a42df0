"""Viscosity, flow resistance and the pressure they make. Plain floats in SI units."""
