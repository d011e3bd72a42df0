"""Numbers as people type them: round in their own unit, storable in a display step."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction
from random import Random

from limitcheck.units import Pressure, plain

_GRIDS = {
    "bar": ("0.1", "0.5", "1", "5", "10", "50"),
    "psi": ("1", "5", "10", "50", "100", "500"),
    "MPa": ("0.01", "0.05", "0.1", "0.5", "1", "5"),
    "kPa": ("10", "50", "100", "500", "1000", "5000"),
    "kgf/cm2": ("0.1", "0.5", "1", "5", "10", "50"),
}
WRITTEN_STEP = {"bar": "1", "psi": "1", "MPa": "0.1", "kPa": "10", "kgf/cm2": "1"}


def tidy(
    rng: Random, value: Fraction, unit: str, *, step: str | None = None, share: str = "0.05"
) -> Fraction:
    """`value` rounded as a person would: mostly the coarsest grid that is within `share` of it.

    Without a step the usual one of the unit, or a finer grid where the value needs it. Never 0.
    """
    finest = Fraction(step or WRITTEN_STEP[unit])
    if step is None and finest > value / 4:
        finest = Fraction(_GRIDS[unit][0])
    fitting = [
        grid
        for grid in map(Fraction, _GRIDS[unit])
        if grid % finest == 0 and grid <= value * Fraction(share)
    ] or [finest]
    grid = fitting[max(0, len(fitting) - 1 - rng.choice((0, 0, 0, 0, 1, 1, 2)))]
    return max(round(value / grid) * grid, grid)


def number(value: Fraction) -> int | Decimal:
    """The value as a TOML number."""
    return int(value) if value.denominator == 1 else Decimal(plain(value))


def in_unit(bar: float, unit: str) -> Fraction:
    """A pressure in bar as a number of `unit`."""
    return Pressure.of(Fraction(bar), "bar").to(unit)
