"""Exact numbers: from what was typed to `Fraction`, back to decimal text, and to a step."""

from __future__ import annotations

import re
from decimal import Decimal
from fractions import Fraction

from ..errors import LimitcheckError

_MOST_DIGITS, _LARGEST_EXPONENT = 40, 40
_PLAIN = re.compile(r"-?(?:0|[1-9][0-9]*)(?:\.[0-9]+)?")


class UnitError(LimitcheckError, ValueError):
    """A text that is not a quantity of the wanted kind; `advice` says what to write instead."""


def exact(number: int | Decimal | Fraction | str) -> Fraction:
    """The number as a `Fraction`; raises UnitError if not finite or beyond 40 digits or 10^±40.

    >>> exact("413.6854")
    Fraction(2068427, 5000)
    """
    if isinstance(number, (int, Decimal, str)):  # quicker to ask than for a Fraction
        return Fraction(*ratio(number))
    return number


def ratio(number: int | Decimal | str) -> tuple[int, int]:
    """The number as numerator and denominator; raises as `exact`."""
    if isinstance(number, int):
        if abs(number) >= 10**_MOST_DIGITS:
            raise UnitError(
                f"a number of more than {_MOST_DIGITS} digits", "write the number as displayed"
            )
        return number, 1
    value = Decimal(number)
    if not value.is_finite():
        raise UnitError(f"{number} is not a number that can be set", "write a finite number")
    exponent = value.adjusted()
    short = isinstance(number, str) and len(number) <= _MOST_DIGITS
    digits = 0 if short else len(value.as_tuple().digits)
    if digits > _MOST_DIGITS or abs(exponent) > _LARGEST_EXPONENT:
        digits = len(value.as_tuple().digits)
        of_digits = f" of {digits} digits" if digits > 1 else ""
        raise UnitError(f"a number{of_digits} near 10^{exponent}", "write the number as displayed")
    return value.as_integer_ratio()


def plain(value: Fraction, most_decimals: int = 60) -> str:
    """The exact decimal text of a fraction whose decimals end; raises ValueError if they do not.

    >>> plain(Fraction(2068427, 5000))
    '413.6854'
    """
    twos, fives = (value.denominator & -value.denominator).bit_length() - 1, 0
    rest = value.denominator >> twos
    while rest % 5 == 0:
        rest, fives = rest // 5, fives + 1
    places = max(twos, fives)
    if rest != 1 or places > most_decimals:
        raise ValueError(f"{value} has no ending decimal form")
    return decimals(value, places)


def as_written(number: str) -> str:
    """A number as typed, its last zeros too; in plain decimals where it was not.

    >>> as_written("6000.00"), as_written("2.8e2"), as_written("+.5")
    ('6000.00', '280', '0.5')
    """
    return number if _PLAIN.fullmatch(number) else plain(exact(number), most_decimals=80)


def plain_or_rounded(value: Fraction, digits: int = 6) -> str:
    """The exact decimal text where the decimals end within twelve places, else rounded."""
    try:
        return plain(value, most_decimals=12)
    except ValueError:
        return decimals(value, decimals_for(value, digits))


def decimals(value: Fraction, places: int) -> str:
    """Rounded half to even to `places` decimals, trailing zeros removed."""
    whole, rest = divmod(abs(value.numerator) * 10**places, value.denominator)
    if 2 * rest > value.denominator or (2 * rest == value.denominator and whole % 2):
        whole += 1
    sign, digits = ("-" if value.numerator < 0 and whole else ""), str(whole).rjust(places + 1, "0")
    if places == 0:
        return sign + digits
    text = f"{digits[:-places]}.{digits[-places:]}".rstrip("0").rstrip(".")
    return sign + text if text != "0" else text


def decimals_for(value: Fraction, digits: int) -> int:
    """How many decimals give `value` that many significant digits (never less than none)."""
    size, below = abs(value.numerator), value.denominator
    if size == 0:
        return 0
    magnitude = len(str(size // below)) - 1
    while size < below:
        size, magnitude = size * 10, magnitude - 1
    return max(0, digits - 1 - magnitude)


def is_multiple(value: Fraction, step: Fraction) -> bool:
    """Whether a value is a whole number of steps."""
    return value.numerator * step.denominator % (value.denominator * step.numerator) == 0


def round_down(value: Fraction, step: Fraction) -> Fraction:
    """The largest multiple of `step` that is not above `value` (high cutoffs go this way)."""
    return value // step * step


def round_up(value: Fraction, step: Fraction) -> Fraction:
    """The smallest multiple of `step` that is not below `value` (low cutoffs go this way)."""
    return -(-value // step) * step


def round_safely(value: Fraction, step: Fraction, field: str) -> Fraction:
    """To a multiple of `step` the safe way for a cutoff: "low" goes up, any other down.

    >>> round_safely(Fraction("279.9"), Fraction(1), "high")
    Fraction(279, 1)
    """
    return (round_up if field == "low" else round_down)(value, step)
