"""Whether two sides deliver one liquid, however their bottles are made up and written."""

from __future__ import annotations

import re
from collections.abc import Iterator
from fractions import Fraction
from functools import lru_cache
from typing import NamedTuple

from ..physics.liquid import CannotPredict, Liquid
from ..physics.mobile_phase import liquid
from ..physics.solvent_doubts import kinds_of
from ..physics.solvent_text import acidities
from ..physics.solvent_words import NAMES, NUMBER, plain
from ..profile.model import Conditions
from .adjustment import HUNDRED
from .ruling import Pair, level

WRITTEN_OTHERWISE = "the same composition, written otherwise"
_DIGITS = 9
_SHARES = re.compile(rf"{NUMBER} ?% (?:{'|'.join(NAMES)})\b|\b(?:{'|'.join(NAMES)}) {NUMBER} ?%")
_WHICH_SALT = re.compile(
    r"\b(?:di|mono)(?:sodium|potassium)\b|\b(?:k|na)2?h2?po4 ?/ ?(?:k|na)2?h2?po4\b"
    r"|\bmg/ml\b|\bg/l\b"
)
"""Words for a salt of several that its viscosity is not told by, and for a mass in a volume."""


class Bottle(NamedTuple):
    """A solvent as it is read, and what its text says beside that."""

    liquid: Liquid
    acidities: tuple[float, ...] = ()
    beside: frozenset[tuple[str, str]] = frozenset()
    """Of what its per cents are, and which salt it is."""


class Delivered(NamedTuple):
    """What can be compared of a liquid: its shares rounded."""

    solvents: tuple[tuple[str, float], ...]
    solutes: tuple[tuple[object, ...], ...]
    acidities: tuple[float, ...]
    beside: frozenset[tuple[str, str]]


def one_liquid(sending: str | None, receiving: str | None) -> bool:
    """Whether two texts surely mean one liquid.

    >>> one_liquid("water/acetonitrile 95:5", "5 % MeCN in water")
    True
    >>> one_liquid("20 mM phosphate, pH 2.5", "20 mM phosphate, pH 3")
    False
    """
    sent, got = _bottle(sending), _bottle(receiving)
    return sent is not None and got is not None and _key(sent) == _key(got)


def isocratic(side: Conditions) -> Fraction | None:
    """The one composition of a side, also where it is written as a level gradient."""
    if side.gradient is not None:
        return side.gradient[0].percent_b if level(side) else None
    if side.percent_b is None and side.solvent_a is not None and side.solvent_b is None:
        return Fraction(0)  # one bottle
    return side.percent_b


def written_otherwise(pair: Pair) -> bool:
    """Whether both sides surely deliver one liquid all the time, mixed by the pump or before."""
    if all(side.gradient is not None for side in pair.conditions):
        return False
    sent, got = (_delivered(side) for side in pair.conditions)
    return sent is not None and sent == got


def _delivered(side: Conditions) -> Delivered | None:
    """What an isocratic side delivers; None where that is not sure.

    Premixed solvents shrink as they are mixed, so the pump mixes by volume before mixing only
    where each bottle has one solvent. A pH is that of its own bottle.
    """
    share = isocratic(side)
    if share is None:
        return None
    texts = [text for text, used in _bottles(side, share) if used]
    found = [bottle for text in texts if (bottle := _bottle(text)) is not None]
    if len(found) < len(texts):
        return None
    if len(found) == 1:
        return _key(found[0])
    if any(bottle.acidities or len(bottle.liquid.solvents) > 1 for bottle in found):
        return None
    try:
        mixed = liquid(side.solvent_a, side.solvent_b, float(share))
    except CannotPredict:
        return None
    beside = frozenset[tuple[str, str]]().union(*(bottle.beside for bottle in found))
    return _key(Bottle(mixed, (), beside))


def _bottles(side: Conditions, share: Fraction) -> Iterator[tuple[str | None, bool]]:
    yield side.solvent_a, share < HUNDRED
    yield side.solvent_b, share > 0


@lru_cache(maxsize=256)
def _bottle(text: str | None) -> Bottle | None:
    """A text as it is read; None where it is not, or leaves open how much is dissolved."""
    try:
        found = liquid(text, None, 0.0)
    except CannotPredict:
        return None
    assert text is not None
    folded = text.strip().casefold()
    kinds = kinds_of(folded)
    if found.solutes and len(found.solvents) > 1 and _SHARES.search(plain(kinds.text)):
        return None
    salts = {("salt", word) for word in _WHICH_SALT.findall(folded)} if found.solutes else set()
    return Bottle(found, acidities(folded), kinds.dissolved | salts)


def _key(bottle: Bottle) -> Delivered:
    solvents = tuple((name, round(share, _DIGITS)) for name, share in bottle.liquid.solvents)
    solutes = tuple(
        (solute.name, *(round(number, _DIGITS) for number in solute[1:]))
        for solute in bottle.liquid.solutes
    )
    return Delivered(solvents, solutes, bottle.acidities, bottle.beside)
