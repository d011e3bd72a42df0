"""The title of a table, and the unit that it names, as in "all pressures in bar"."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from typing import TypeAlias

from ..errors import LimitcheckError
from ..units import Pressure, find_unit
from .crossed_out import STRUCK
from .grid import Sheet

Places: TypeAlias = tuple[tuple[int, int], ...]
"""Cells, by row and column from 0."""
_UNIT = re.compile(r"(?:\bin|[(\[,;:])\s*(?P<unit>[^\s()\[\],;.]+(?:/\S+)?)\s*[)\]]?\.?\s*$")
_WORD = re.compile(r"[^\s()\[\],;:.!?*\"“”„]+")
_OTHERWISE = re.compile(
    r"\b(?:not?|never|none|nor|n't|except|unless|without|since|until|till|before|after|formerly|"
    r"previously|was|were|old|some|partly|mostly|nicht|kein\w*|außer|seit|bis|vor|früher|"
    r"ne|pas|sauf|depuis|avant|anciennement)\b|n['’]t\b",
    re.IGNORECASE,
)
"""Words that make a sentence say less, or the opposite."""


def units_named(text: str) -> Iterator[str]:
    """The units of pressure among the words of a text, by their names, in order.

    >>> list(units_named("Since 2024 in bar, before in psi"))
    ['bar', 'psi']
    """
    for word in _WORD.findall(text):
        if (unit := _unit(word)) and word != "at":
            yield unit


def unit_of_title(title: str) -> str:
    """The unit of a title, as spelled; empty where it names none, several, or says less than that.

    >>> unit_of_title("Register / all pressures in bar"), unit_of_title("Pressures are NOT in psi")
    ('bar', '')
    """
    if len(set(units_named(title))) > 1:
        return ""
    found = set()
    for piece in title.split(" / "):
        match = _UNIT.search(piece)
        if match is not None and _unit(match["unit"]) and not _OTHERWISE.search(piece):
            found.add(match["unit"])
    return min(found, default="")


def _unit(spelling: str) -> str:
    try:
        return find_unit(spelling, Pressure)
    except LimitcheckError:
        return ""


def cells_above(sheet: Sheet, first: int) -> Places:
    """The cells above the first header of a sheet that can be seen and are in force."""
    return tuple(_seen(sheet, range(first)))


def notes_above(sheet: Sheet, start: int, first: int) -> Places:
    """The notes that stand right above a header further down."""
    above = first
    while above > start and len([cell for cell in sheet.rows[above - 1] if cell]) <= 1:
        above -= 1
    return tuple(_seen(sheet, range(above, first)))


def _seen(sheet: Sheet, rows: Iterable[int]) -> Iterator[tuple[int, int]]:
    for row in rows:
        if row not in sheet.hidden_rows:
            for at, cell in enumerate(sheet.rows[row]):
                hidden = at in sheet.hidden_columns or sheet.marks.get((row, at)) == STRUCK
                if cell and not hidden:
                    yield row, at


def title_text(sheet: Sheet, places: Places) -> str:
    """Several cells as one title, in one line."""
    return " / ".join(sheet.at(row, at) for row, at in places)
