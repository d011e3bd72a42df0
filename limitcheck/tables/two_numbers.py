"""Two numbers in one cell that a space or an apostrophe makes look like one, as in "350 350"."""

from __future__ import annotations

import re

from ..errors import LimitcheckError, cut
from ..units import Pressure
from ..units.text import HIGHEST_SHOWN
from .notes import named
from .numbers import SPACES, CellError
from .words import Kind

_GROUPS = re.compile(
    rf"(?<![0-9.,])(?P<first>[0-9]{{1,3}})(?P<by>['’{SPACES}])(?P<second>[0-9]{{3}})"
    r"(?P<more>(?:(?P=by)[0-9]{3})*)(?![0-9])"
)
_LEADING_ZERO = re.compile(r"0[0-9]")
_FEW_THOUSANDS = frozenset({"bar", "MPa", "kgf/cm2"})
_UNIT = re.compile(r"(?:[.,][0-9]+)?\s*(?P<unit>[^\s\d()\[\];,–—-]+)")


def must_be_one(cell: str, unit: str, kind: Kind, *, spaced: bool = False) -> None:
    """Raises CellError where what looks like thousands may be two numbers.

    Groups of one length are two numbers, as is one that begins with 0, unless the `unit` of the
    cell or its header makes a pressure of them that instruments show; longer pressures as well.
    So is one in a unit in which pressures have rarely thousands, unless the column is `spaced`: it
    has others with a space. A pressure as 010 is asked too.

    >>> must_be_one("5 800 psi", "", "pressure"), must_be_one("100 000 kPa", "", "pressure")
    (None, None)
    >>> must_be_one("1 350", "bar", "pressure", spaced=True)
    """
    if kind in ("pressure", "band") and _LEADING_ZERO.match(cell):
        raise CellError(
            f'"{cut(cell)}" begins with 0: are two digits exchanged, or is one lost?',
            "answer with what is typed there",
        )
    for found in _GROUPS.finditer(cell):
        first, second = found["first"], found["second"] + found["more"]
        whole = first + re.sub("[^0-9]", "", second)
        own = _UNIT.match(cell, found.end())
        shown = _is_shown(whole, own["unit"] if own else unit, kind)
        alike = len(first) == len(found["second"]) and not found["more"]
        name = named(own["unit"] if own else unit, Pressure)
        rare = shown is True and name in _FEW_THOUSANDS and not second.startswith("00")
        rare = rare and not spaced and found["by"] not in "'’"
        if first.startswith("0") or shown is False or (alike and shown is None) or rare:
            raise CellError(
                f'"{cut(cell)}" may be two numbers, {first} and {second}, or one, {whole}',
                "answer with the one that holds, written without a space",
            )


def is_spaced(cell: str) -> bool:
    """Whether a cell has digits in groups with a space between."""
    found = _GROUPS.search(cell)
    return found is not None and found["by"] not in "'’"


def _is_shown(number: str, unit: str, kind: Kind) -> bool | None:
    """Whether instruments show such a pressure; None where it is none, or has no known unit."""
    if kind not in ("pressure", "band") or not unit:
        return None
    try:
        return Pressure.of(number, unit).value <= HIGHEST_SHOWN
    except LimitcheckError:
        return None
