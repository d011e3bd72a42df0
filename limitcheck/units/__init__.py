"""Exact quantities: text to and from `Fraction` in SI units. Nothing here is a float.

The second, independent source of the factors (pint) is used by `limitcheck convert`,
`limitcheck qualify` and the tests.
"""

from __future__ import annotations

from .numbers import UnitError, exact, plain, plain_or_rounded, round_down, round_up
from .printing import show, show_all
from .quantities import (
    QUANTITIES,
    Flow,
    Length,
    Pressure,
    Quantity,
    Ratio,
    Temperature,
    Volume,
    find_unit,
    split_quantity,
)
from .tables import COMMON_UNITS, PRESSURE_UNITS, TRADE_UNITS, Unit

__all__ = [
    "COMMON_UNITS",
    "PRESSURE_UNITS",
    "QUANTITIES",
    "TRADE_UNITS",
    "Flow",
    "Length",
    "Pressure",
    "Quantity",
    "Ratio",
    "Temperature",
    "Unit",
    "UnitError",
    "Volume",
    "exact",
    "find_unit",
    "plain",
    "plain_or_rounded",
    "round_down",
    "round_up",
    "show",
    "show_all",
    "split_quantity",
]
