"""Printing quantities so that a breach is never hidden by rounding."""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction

from .numbers import decimals, decimals_for
from .quantities import Quantity
from .tables import COMMON_UNITS

_DECIMALS = {"psi": 0, "kPa": 0, "bar": 1, "kgf/cm2": 1, "MPa": 2}
"""As many as instruments show (common practice, no source)."""
_FEWEST_DIGITS, _DIGITS = 2, 6


def show(
    quantity: Quantity, unit: str, *, apart: Iterable[Quantity] = (), digits: int | None = None
) -> str:
    """The amount in `unit`, as it is read at an instrument, or with more digits where needed.

    psi and kPa whole, bar with one decimal at most, MPa with two; small numbers keep two
    significant digits. `digits` asks for so many significant digits instead. Against every
    quantity of `apart` the printed number keeps its order: a pressure that is above a rating by
    any amount is printed as a larger number than the rating.

    >>> from limitcheck.units import Pressure
    >>> show(Pressure.parse("400 bar"), "psi"), show(Pressure.parse("400 psi"), "MPa")
    ('5802 psi', '2.76 MPa')
    >>> show(Pressure.parse("6000 psi"), "bar", apart=[Pressure.parse("413.6854 bar")])
    '413.68544 bar'
    """
    value = quantity.to(unit)
    others = [other.to(unit) for other in apart if other.value != quantity.value]
    places = _places(value, unit, digits)
    while any(_order_lost(value, other, places) for other in others):
        places += 1
    return f"{decimals(value, places)} {unit}"


def _places(value: Fraction, unit: str, digits: int | None) -> int:
    if digits is None and unit in _DECIMALS:
        return max(_DECIMALS[unit], decimals_for(value, _FEWEST_DIGITS))
    return decimals_for(value, digits or _DIGITS)


def _order_lost(value: Fraction, other: Fraction, places: int) -> bool:
    """Whether two unequal values print as equal at that many decimals (rounding is monotonic)."""
    return bool(round(value * 10**places) == round(other * 10**places))


def show_all(quantity: Quantity, *, skip: str | None = None, apart: Iterable[Quantity] = ()) -> str:
    """The pressure in bar, psi and MPa, as in "400 bar, 5802 psi, 40 MPa"."""
    others = tuple(apart)
    return ", ".join(show(quantity, u, apart=others) for u in COMMON_UNITS if u != skip)
