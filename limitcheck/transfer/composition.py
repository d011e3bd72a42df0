"""How much of each solvent: the composition of an isocratic method."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from ..policy import AdjustmentLimits
from ..units import percent, plain_or_rounded
from .adjustment import HUNDRED, allowed, source_of
from .ruling import Field, Ruling
from .same_liquid import WRITTEN_OTHERWISE, isocratic, written_otherwise
from .solvent import EXCHANGED, as_sent, exchanged


def rule_percent_b(field: Field) -> Iterator[Ruling]:
    """The composition of an isocratic method."""
    sent, got = field.pair.conditions
    if sent.gradient is not None and got.gradient is not None:
        return
    was, now = (isocratic(side) for side in (sent, got))
    if was is not None and now is not None and None in (field.sending, field.receiving):
        yield _composition(field, was, as_sent(now, field.pair))
    elif field.pair.gradient:
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
    if written_otherwise(field.pair):
        return field.ruled("same", WRITTEN_OTHERWISE)
    least, most = (plain_or_rounded(end) for end in span(was, limits))
    told = (
        f"{least} to {most} % B: the minor component by {percent(limits.minor_component)} of "
        f"itself or {plain_or_rounded(limits.minor_component_percent)} % B, none by more than "
        f"{plain_or_rounded(limits.component_percent)}, none to or from zero"
    )
    names = "minor_component", "minor_component_percent", "component_percent"
    if exchanged(field.pair):
        told = f"{told}. A and B are exchanged: at the sender it is {plain_or_rounded(now)} % B"
    if within(was, now, limits):
        return allowed(field, f"within {told}", *names)
    return field.ruled("not allowed", told, source_of(limits, *names))


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
