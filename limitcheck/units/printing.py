"""Pressures as text: exact ones so that rounding never hides a breach, predicted floats."""

from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal
from fractions import Fraction
from functools import lru_cache

from .numbers import decimals, decimals_for, plain_or_rounded
from .quantities import Pressure, Quantity
from .tables import COMMON_UNITS, PRESSURE_UNITS

_DECIMALS = {"psi": 0, "kPa": 0, "bar": 1, "kgf/cm2": 1, "MPa": 2}
"""As many as instruments show (common practice, no source)."""
_FEWEST_DIGITS, _DIGITS = 2, 6
_MOST_PLACES = 4


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


def in_unit(pascal: float, unit: str) -> float:
    """A pressure [Pa] in a unit of the table [that unit]."""
    return pascal / float(PRESSURE_UNITS[unit].factor)


def pressure_of(pascal: float, unit: str) -> Pressure:
    """A pressure [Pa] as a quantity in a unit, to six significant digits.

    >>> str(pressure_of(6.554e6, "bar"))
    '65.54 bar'
    """
    return Pressure.of(Decimal(f"{in_unit(pascal, unit):.6g}"), unit)


def as_read(pascal: float, unit: str, significant: int = 3) -> str:
    """A pressure [Pa] to so many digits, with no more decimals than instruments show of its unit.

    >>> as_read(6.554e6, "psi"), as_read(6.554e6, "bar"), as_read(-794e3, "bar")
    ('951', '65.5', '-7.9')
    """
    value = Fraction(f"{in_unit(abs(pascal), unit):.{significant}g}")
    shown = show(Pressure.of(value, unit), unit).removesuffix(f" {unit}")
    return f"-{shown}" if pascal < 0 and shown != "0" else shown


def digits(value: float, significant: int = 3) -> str:
    """A number to so many significant digits, without an exponent.

    >>> digits(13786.4), digits(0.05312), digits(0.0)
    ('13800', '0.0531', '0')
    """
    if value == 0.0:
        return "0"
    rounded = float(f"{value:.{significant}g}")
    places = significant - 1 - int(f"{rounded:e}".partition("e")[2])
    return f"{rounded:.{max(places, 0)}f}"


def short(value: float, significant: int = 6) -> str:
    """A number to at most so many significant digits, without exponent or trailing zeros.

    >>> short(28612.4, 4), short(160.0, 4), short(-0.25)
    ('28610', '160', '-0.25')
    """
    text = digits(value, significant)
    return text.rstrip("0").rstrip(".") if "." in text else text


@lru_cache(maxsize=256, typed=True)
def percent(share: Fraction | float, significant: int = 0) -> str:
    """A share as text, in the one form of every output: all of an exact one, a float in whole
    percent or to so many significant digits.

    A part is never printed as none or as all of it.

    >>> percent(Fraction(1, 8)), percent(0.883), percent(0.9996), percent(0.05312, 2)
    ('12.5 %', '88 %', '99.96 %', '5.3 %')
    """
    if isinstance(share, Fraction):
        return f"{plain_or_rounded(share * 100)} %"
    number = 100 * share
    if significant:
        return f"{short(number, significant)} %"
    places = 0
    while places < _MOST_PLACES and number not in (0, 100) and round(number, places) in (0, 100):
        places += 1
    return f"{number:.{places}f} %"
