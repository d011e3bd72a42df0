"""Numbers as text: the one rule of every output.

A number that somebody typed is shown as typed. Its conversion has so many digits that converting
back gives what was typed, is never rounded to look like a rounder number, and stands after "is"
only where it is exact, else after "is about" (`is_in`). Against a limit it keeps its order.
What is predicted or worked out is as uncertain as it is, and has three figures (`as_read`).
"""

from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal
from fractions import Fraction
from functools import lru_cache
from math import isclose

from .numbers import decimals, decimals_for, plain_or_rounded
from .quantities import Pressure, Quantity
from .tables import COMMON_UNITS, PRESSURE_UNITS

_DECIMALS = {"psi": 0, "kPa": 0, "bar": 1, "kgf/cm2": 1, "MPa": 2}
"""As many as instruments show (common practice, no source)."""
_FEWEST_DIGITS, _DIGITS = 2, 6
_MOST_PLACES = 4
_FIGURES = 3
_OF_A_FLOAT = 9
"""Digits that survive the way through SI units and back."""
_SAME = 1e-12
"""Share by which a float may differ from the exact number that it was made of."""
_MOST_TYPED = 40
_TYPED_DIGITS = 5
"""A float of so many digits at most is taken as typed or read; what is worked out has more."""


def show(
    quantity: Quantity, unit: str, *, apart: Iterable[Quantity] = (), digits: int | None = None
) -> str:
    """The amount in `unit`, as it is read at an instrument, or with more digits where needed.

    psi and kPa whole, bar with one decimal at most, MPa with two; small numbers keep two
    significant digits. `digits` asks for so many significant digits instead, else what was typed is
    kept: in its own unit as it is, in another so that converting back gives it. Against every
    quantity of `apart` the printed number keeps its order: a pressure that is above a rating by
    any amount is printed as a larger number than the rating.

    >>> from limitcheck.units import Pressure
    >>> show(Pressure.parse("400 bar"), "psi"), show(Pressure.parse("400 psi"), "MPa")
    ('5802 psi', '2.76 MPa')
    >>> show(Pressure.parse("1290 psi"), "bar"), show(Pressure.parse("5802 psi"), "bar")
    ('88.94 bar', '400.03 bar')
    >>> show(Pressure.parse("6000 psi"), "bar", apart=[Pressure.parse("413.6854 bar")])
    '413.68544 bar'
    """
    value = quantity.to(unit)
    others = [other.to(unit) for other in apart if other.value != quantity.value]
    places = _places(value, unit, digits)
    while digits is None and not _gives_back(quantity, value, unit, places):
        places += 1
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


def _gives_back(quantity: Quantity, value: Fraction, unit: str, places: int) -> bool:
    """Whether a typed number is kept: converted back it is the same, and it looks no rounder."""
    number = quantity.number
    if "." in number and _digits_of(number) > _TYPED_DIGITS:
        number = number.rstrip("0").removesuffix(".")  # 6000.00 is no less exact than 6000
    typed = _decimals_of(number)
    if typed is None or (typed and not quantity.typed and _digits_of(number) > _TYPED_DIGITS):
        return True
    given, printed = quantity.to(quantity.unit), round(value, places)
    if printed == value or round(given, typed) != given:  # exact, or itself only rounded text
        return True
    back = type(quantity).of(printed, unit).to(quantity.unit)
    return bool(round(back, typed) == given) and (places == 0 or printed * 10**places % 10 != 0)


def is_in(quantity: Quantity, unit: str, *, apart: Iterable[Quantity] = ()) -> str:
    """That it is so much in another unit, with "about" where that is rounded.

    >>> from limitcheck.units import Pressure
    >>> is_in(Pressure.parse("400 bar"), "MPa"), is_in(Pressure.parse("400 bar"), "psi")
    ('is 40 MPa', 'is about 5802 psi')
    """
    text = show(quantity, unit, apart=apart)
    number = Fraction(text.removesuffix(f" {unit}"))
    return f"is {text}" if number == quantity.to(unit) else f"is about {text}"


def is_all(quantity: Quantity, *, apart: Iterable[Quantity] = ()) -> str:
    """That it is so much in the other common units, with "about" where any is rounded."""
    others = tuple(apart)
    units = [unit for unit in COMMON_UNITS if unit != quantity.unit]
    rounded = any(" about " in is_in(quantity, unit, apart=others) for unit in units)
    told = show_all(quantity, skip=quantity.unit, apart=others)
    return f"is about {told}" if rounded else f"is {told}"


def as_typed(quantity: Quantity, unit: str, *, apart: Iterable[Quantity] = ()) -> str:
    """What was typed or read, in `unit`: in its own unit with every digit."""
    return str(quantity) if quantity.unit == unit else show(quantity, unit, apart=apart)


def _digits_of(number: str) -> int:
    """How many significant digits a number in decimal text has."""
    return len(number.lstrip("+-").replace(".", "").lstrip("0"))


def _decimals_of(number: str) -> int | None:
    """How many decimals it has; None where it is not in plain decimals."""
    whole, _, rest = number.lstrip("+-").partition(".")
    return len(rest) if (whole + rest).isdigit() else None


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
    return Pressure.of(Fraction(f"{in_unit(pascal, unit):.6g}"), unit)


def as_read(pascal: float, unit: str, significant: int = _FIGURES) -> str:
    """A pressure [Pa] to so many digits, with no more decimals than instruments show of its unit.

    >>> as_read(6.554e6, "psi"), as_read(6.554e6, "bar"), as_read(-794e3, "bar")
    ('951', '65.5', '-7.9')
    """
    value = Fraction(f"{in_unit(abs(pascal), unit):.{significant}g}")
    shown = decimals(value, _places(value, unit, None))
    return f"-{shown}" if pascal < 0 and shown != "0" else shown


def as_stated(
    pascal: float, unit: str, significant: int = _FIGURES, *, typed: Iterable[Quantity] = ()
) -> str:
    """The same, but a pressure that was typed or read in that unit as it was.

    `typed` are pressures it may be: with those, all their digits are kept.

    >>> as_stated(8.901131666e6, "psi"), as_stated(8.825e6, "bar"), as_stated(6.55413e6, "psi")
    ('1291', '88.25', '951')
    """
    for one in typed:
        if isclose(float(one), pascal, rel_tol=_SAME):
            return as_typed(one, unit).removesuffix(f" {unit}")
    return _as_given(in_unit(pascal, unit)) or as_read(pascal, unit, significant)


def figures(
    value: float, significant: int = _FIGURES, *, typed: Iterable[Fraction | Decimal] = ()
) -> str:
    """A number to at most so many digits; one that was typed or read as it was.

    `typed` are numbers it may be: with those, all their digits are kept.

    >>> figures(12345.0), figures(123.456789), figures(18.25)
    ('12345', '123', '18.25')
    """
    for one in typed:
        if isclose(one, value, rel_tol=_SAME):
            return plain_or_rounded(Fraction(one), _MOST_TYPED)
    return _as_given(value) or short(value, significant)


def _as_given(value: float) -> str | None:
    """The text of a number that was typed or read; None where it was worked out."""
    text = short(value, _OF_A_FLOAT)
    return text if _digits_of(text) <= _TYPED_DIGITS else None


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
