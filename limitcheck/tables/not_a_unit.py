"""What stands after a number and is no unit: a range, a tolerance, letters for digits, and more."""

from __future__ import annotations

import re
from unicodedata import category

from ..errors import LimitcheckError, cut
from ..units import QUANTITIES, find_unit
from .numbers import CellError, visible

_TOLERANCE = re.compile(r"^\S{0,12}?\s*(?:±|\+/-|\+-)")
_RANGE = re.compile(r"^[^\d\s]{0,12}\s*(?:[-–—−…]|\.\.+|\bto\b|\bbis\b|\bà\b)\s*[0-9]")
_LIKE_DIGITS = re.compile(r"^[OoIl][OoIl0-9]*(?![^\W\d_])")
_MORE = re.compile(r"(?<![a-zA-Z])[0-9]")
"""Digits that are no exponent of a unit, as in kgf/cm2."""


def must_be_a_unit(cell: str, rest: str) -> None:
    """Raises CellError where what follows a number says more than a unit does.

    >>> must_be_a_unit("260 kgf/cm2", "kgf/cm2")
    """
    shown = cut(visible(" ".join(cell.split())))
    if any(category(sign) == "Cf" for sign in rest):
        raise CellError(f'"{shown}" has a sign that nobody sees', "type the cell again")
    if any(_is_unit(rest, kind) for kind in QUANTITIES):
        return
    if _TOLERANCE.match(rest):
        told = "a number and a tolerance"
    elif _RANGE.match(rest):
        told = "two numbers, a range"
    elif _LIKE_DIGITS.match(rest):
        raise CellError(
            f'"{shown}" has letters among its digits', "type the number again, with 0 and 1"
        )
    elif _MORE.search(rest):
        told = "more than one number"
    else:
        return
    raise CellError(f'"{shown}" is {told}', "answer with the one number that is in force")


def _is_unit(spelling: str, kind: type) -> bool:
    try:
        find_unit(spelling, kind)
    except LimitcheckError:
        return False
    return True
