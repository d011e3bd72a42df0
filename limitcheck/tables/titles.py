"""The unit that a line of text names for the pressures of a table, as in "all pressures in bar"."""

from __future__ import annotations

import re
from collections.abc import Iterator

from ..errors import LimitcheckError
from ..units import Pressure, find_unit

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
