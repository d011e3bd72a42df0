"""The mobile phase as the liquid it is: which solvents, how much of each, whichever is called A."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from ..physics.constants import SOLVENTS
from ..policy import AdjustmentLimits
from ..profile.model import Conditions
from ..units import plain_or_rounded
from .adjustment import HUNDRED, percent, source_of
from .ruling import EQUAL, Field, Pair, Ruling, for_information

EXCHANGED = "A and B are exchanged: with percent_b complemented it is the same liquid"


def rule_solvent(field: Field) -> Iterator[Ruling]:
    """One solvent, against the one that has its part on the other side."""
    sent, got = field.pair.conditions
    key = "solvent_a" if field.name.endswith("solvent_a") else "solvent_b"
    if not _used(sent, key) and not _used(got, key):
        yield from for_information(field)
    elif missing := field.missing:
        yield missing
    elif exchanged(field.pair):
        yield field.ruled("same", EXCHANGED)
    elif _name(field.sending) == _name(field.receiving):
        yield field.ruled("same", EQUAL)
    elif {_name(field.sending), _name(field.receiving)} <= SOLVENTS.keys():
        told = "another solvent is another mobile phase: validate it"
        yield field.ruled("not allowed", told, source_of(field.pair.policy.adjustments))
    else:
        told = "written differently: write the same liquid alike on both sides"
        yield field.ruled("cannot decide", told)


def rule_percent_b(field: Field) -> Iterator[Ruling]:
    """The composition of an isocratic method."""
    sent, got = field.pair.conditions
    if sent.gradient is not None and got.gradient is not None:
        return
    if field.pair.gradient:
        here, there = ("gradient" if side.gradient else "isocratic" for side in (sent, got))
        if (sent if here == "isocratic" else got).percent_b is None:
            there_is = "no composition is given on the isocratic side: add percent_b"
            yield field.ruled("cannot decide", there_is)
        yield field.ruled("not allowed", f"{there} for {here} elution is another method")
    elif missing := field.missing:
        yield missing
    else:
        yield _composition(field, field.sending, as_sent(field.receiving, field.pair))


def _composition(field: Field, was: Fraction, now: Fraction) -> Ruling:
    limits = field.pair.policy.adjustments
    if was == now:
        told = EXCHANGED if exchanged(field.pair) else "the same composition"
        return field.ruled("same", told)
    least, most = (plain_or_rounded(end) for end in span(was, limits))
    told = (
        f"{least} to {most} % B: the minor component by {percent(limits.minor_component)} of "
        f"itself or {plain_or_rounded(limits.minor_component_percent)} % B, none by more than "
        f"{plain_or_rounded(limits.component_percent)}, none to or from zero"
    )
    if within(was, now, limits):
        return field.ruled("allowed", f"within {told}", source_of(limits))
    return field.ruled("not allowed", told, source_of(limits))


def span(was: Fraction, limits: AdjustmentLimits) -> tuple[Fraction, Fraction]:
    """From which to which percent B an isocratic composition may go.

    >>> [float(end) for end in span(Fraction(45), AdjustmentLimits())]
    [35.0, 55.0]
    >>> [float(end) for end in span(Fraction(18), AdjustmentLimits())]
    [12.6, 23.4]
    """
    minor = min(was, HUNDRED - was)
    if minor == 0:
        return was, was
    by = max(minor * limits.minor_component, limits.minor_component_percent)
    by = min(by, limits.component_percent)
    return max(was - by, Fraction(0)), min(was + by, Fraction(HUNDRED))


def within(was: Fraction, now: Fraction, limits: AdjustmentLimits) -> bool:
    """Whether a composition is an adjustment of another."""
    least, most = span(was, limits)
    return was == now or (least <= now <= most and 0 < now < HUNDRED)


def exchanged(pair: Pair) -> bool:
    """Whether the receiving side's A is the sending side's B, and its B the sending side's A."""
    sent, got = pair.conditions
    first, second = ((_name(side.solvent_a), _name(side.solvent_b)) for side in (sent, got))
    return "" not in first and first[0] != first[1] and first == second[::-1]


def as_sent(percent_b: Fraction, pair: Pair) -> Fraction:
    """A composition of the receiving side, in percent of the sending side's B."""
    return HUNDRED - percent_b if exchanged(pair) else percent_b


def _used(side: Conditions, key: str) -> bool:
    """Whether the method delivers this solvent; where no composition is given, it may."""
    if side.gradient is not None:
        shares = [point.percent_b for point in side.gradient]
    elif side.percent_b is not None:
        shares = [side.percent_b]
    else:
        return True
    return any(share < HUNDRED if key == "solvent_a" else share > 0 for share in shares)


def _name(text: str | None) -> str:
    """A solvent's name without case and doubled spaces; empty where none is given."""
    return " ".join((text or "").split()).casefold()
