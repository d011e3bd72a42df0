"""The solvents of the mobile phase, whichever is called A: the same, a buffer adjusted, another."""

from __future__ import annotations

import re
from collections.abc import Iterator
from decimal import Decimal
from fractions import Fraction

from ..physics.solvent_text import pure_solvent
from ..policy import AdjustmentLimits
from ..profile.model import Conditions
from ..units import percent, plain_or_rounded
from .adjustment import CHAPTER, HUNDRED, allowed, source_of
from .ruling import EQUAL, Field, Pair, Ruling, for_information
from .same_liquid import WRITTEN_OTHERWISE, one_liquid, written_otherwise

EXCHANGED = "A and B are exchanged: with percent_b complemented it is the same liquid"
TO_BE_SHOWN = "show that the peaks keep their retention times (+/- 15 %, from memory)"
_NUMBER = r"(\d+(?:\.\d+)?)"
_WHOLE = r"(?!\d|[.,^]\d|\s*[-–]\s*\d|e[-+]?\d)"  # no part of a longer number or of a range
_ADJUSTABLE = re.compile(
    rf"\bph\s*=?\s*{_NUMBER}{_WHOLE}|(?<![\w.,^+-]){_NUMBER}{_WHOLE}\s*(?:mm|m|mmol/l|mol/l)\b"
)
"""A pH, or the concentration of a salt."""


def rule_solvent(field: Field) -> Iterator[Ruling]:
    """One solvent, against the one that has its part on the other side."""
    sent, got = field.pair.conditions
    if not _used(sent, field.key) and not _used(got, field.key):
        yield from for_information(field)
    elif exchanged(field.pair):
        yield field.ruled("same", EXCHANGED)
    elif field.sending is not None and _name(field.sending) == _name(field.receiving):
        alike = field.sending == field.receiving
        yield field.ruled("same", EQUAL if alike else "two names of one solvent")
    elif one_liquid(field.sending, field.receiving):
        yield field.ruled("same", "one liquid, written in two ways")
    elif written_otherwise(field.pair):
        yield field.ruled("same", WRITTEN_OTHERWISE)
    elif missing := field.missing:
        yield missing
    elif pure_solvent(field.sending) and pure_solvent(field.receiving):
        told = "another solvent is another mobile phase: validate it"
        yield field.ruled("not allowed", told, CHAPTER)
    else:
        yield _adjusted(field)


def _adjusted(field: Field) -> Ruling:
    """Two texts that differ in a pH or a concentration alone, or that nothing is known of."""
    sent, got = (_name(text) for text in (field.sending, field.receiving))
    if _ADJUSTABLE.sub(_without_number, sent) != _ADJUSTABLE.sub(_without_number, got):
        told = "written differently: write the same liquid alike on both sides"
        return field.ruled("cannot decide", told)
    limits, names = field.pair.policy.adjustments, ("ph", "buffer_salts")
    pairs = zip(_ADJUSTABLE.finditer(sent), _ADJUSTABLE.finditer(got), strict=True)
    kept = all(_kept(before, after, limits) for before, after in pairs)
    told = f"pH +/- {plain_or_rounded(limits.ph)}, salts +/- {percent(limits.buffer_salts)}"
    if not kept:
        return field.ruled("not allowed", told, source_of(limits, *names))
    if field.pair.gradient:
        return field.ruled("cannot decide", f"gradient: {TO_BE_SHOWN}", source_of(limits, *names))
    return allowed(field, f"within {told}", *names)


def _without_number(found: re.Match[str]) -> str:
    return re.sub(_NUMBER, "#", found[0])


def _kept(before: re.Match[str], after: re.Match[str], limits: AdjustmentLimits) -> bool:
    was, now = (Fraction(Decimal(found[1] or found[2])) for found in (before, after))
    by = limits.ph if before[1] else was * limits.buffer_salts
    return abs(now - was) <= by


def exchanged(pair: Pair) -> bool:
    """Whether the receiving side's A is the sending side's B, and its B the sending side's A."""
    sent, got = pair.conditions
    crossed = (sent.solvent_a, got.solvent_b), (sent.solvent_b, got.solvent_a)
    if not sent.solvent_a or not sent.solvent_b or _alike(sent.solvent_a, sent.solvent_b):
        return False
    return all(_alike(*texts) for texts in crossed)


def _alike(one: str | None, other: str | None) -> bool:
    return _name(one) == _name(other) or one_liquid(one, other)


def as_sent(percent_b: Fraction, pair: Pair) -> Fraction:
    """A composition of the receiving side, in percent of the sending side's B."""
    return HUNDRED - percent_b if exchanged(pair) else percent_b


def _used(side: Conditions, key: str) -> bool:
    """Whether the method delivers this solvent; where no composition is given, it may."""
    if side.gradient is not None:
        shares = [point.percent_b for point in side.gradient]
    elif side.percent_b is not None:
        shares = [side.percent_b]
    elif side.solvent_a is not None and side.solvent_b is None:
        shares = [Fraction(0)]  # one bottle
    else:
        return True
    return any(share < HUNDRED if key == "solvent_a" else share > 0 for share in shares)


def _name(text: str | None) -> str:
    """The usual name of a solvent, else the text without case and doubled spaces."""
    return pure_solvent(text) or " ".join((text or "").split()).casefold()
