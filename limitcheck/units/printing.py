"""Printing quantities so that a breach is never hidden by rounding."""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction

from .numbers import decimals, decimals_for
from .quantities import Quantity


def show(quantity: Quantity, unit: str, *, apart: Iterable[Quantity] = (), digits: int = 6) -> str:
    """The amount in `unit`, to `digits` significant digits, or more where fewer would mislead.

    Against every quantity of `apart` the printed number keeps its order: a pressure that is
    above a rating by any amount is printed as a larger number than the rating.

    >>> from limitcheck.units import Pressure
    >>> show(Pressure.parse("6000 psi"), "bar", apart=[Pressure.parse("413.6854 bar")])
    '413.68544 bar'
    """
    value = quantity.to(unit)
    others = [other.to(unit) for other in apart if other.value != quantity.value]
    places = decimals_for(value, digits)
    while any(_order_lost(value, other, places) for other in others):
        places += 1
    return f"{decimals(value, places)} {unit}"


def _order_lost(value: Fraction, other: Fraction, places: int) -> bool:
    """Whether two unequal values print as equal at that many decimals (rounding is monotonic)."""
    return bool(round(value * 10**places) == round(other * 10**places))


def show_all(quantity: Quantity, *, skip: str | None = None, apart: Iterable[Quantity] = ()) -> str:
    """The pressure in bar, psi and MPa, as in "400 bar, 5801.51 psi, 40 MPa"."""
    others = tuple(apart)
    return ", ".join(show(quantity, u, apart=others) for u in ("bar", "psi", "MPa") if u != skip)
