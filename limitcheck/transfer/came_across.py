"""How the cutoffs of one instrument came across to another, and what the parts there hold."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from fractions import Fraction
from typing import Literal, NamedTuple

from ..checking.proposed import Name
from ..checks import check_name
from ..checks.engine import check_profile
from ..checks.low_cutoff import low_cutoff_off
from ..policy import DEFAULT_POLICY
from ..profile.model import Instrument
from ..units import Pressure, is_in, percent, round_safely, show
from ..units.rules_of_thumb import by_rule_of_thumb
from .display import FACTORS
from .normal_pressure import copied
from .reach import rule_normal_runs
from .ruling import EQUAL, OWN, Field, Pair, Ruling, Word, information

CutoffVerdict = Literal[
    "off on both",
    "missing",
    "added",
    "copied unconverted",
    "same pressure",
    "rounded the safe way",
    "by rule of thumb",
    "rounded the wrong way",
    "set differently",
]


_MANY_TIMES = 8
"""A rating so many times that of the other side is read again (common practice, no source)."""


class CutoffMoved(NamedTuple):
    """One cutoff on both instruments; `exact` is the sender's pressure in the receiving unit."""

    name: Name
    sending: Pressure | None
    receiving: Pressure | None
    exact: Pressure | None
    verdict: CutoffVerdict
    text: str


def cutoff_moved(
    name: Name, sending: Pressure | None, receiving: Pressure | None, instrument: Instrument
) -> CutoffMoved:
    """How a cutoff came across to the receiving `instrument`."""
    sent, got = (p if p is not None and p.value > 0 else None for p in (sending, receiving))
    if sent is None:
        if got is None:
            return CutoffMoved(name, None, None, None, "off on both", "off on both sides")
        return CutoffMoved(name, None, got, None, "added", f"the sender has none; {got} here")
    verdict, text = _judged(name, sent, got, instrument)
    unit = instrument.pressure_unit
    return CutoffMoved(name, sent, got, Pressure.of(sent.to(unit), unit), verdict, text)


def safe_number(name: Name, sent: Pressure, instrument: Instrument) -> Pressure:
    """The sender's cutoff on an instrument: a high one rounded down, a low one up."""
    unit = instrument.pressure_unit
    return Pressure.of(round_safely(sent.to(unit), instrument.step, name), unit)


def _judged(
    name: Name, sent: Pressure, got: Pressure | None, instrument: Instrument
) -> tuple[CutoffVerdict, str]:
    unit, step = instrument.pressure_unit, instrument.step
    means = f"{sent} {is_in(sent, unit, apart=[got] if got else [])}"
    if sent.unit == unit:
        means = f"{sent} at the sender"
    if got is None:
        return "missing", f"{means}; none is set here"
    if copied(sent, got):
        read = f"{got} {is_in(got, sent.unit)}, but {means}"
        return "copied unconverted", (
            f"the number {sent.number} was copied without converting it: {read}"
        )
    if got == sent:
        return "same pressure", f"{got} is the sender's {sent} exactly"
    rounded = "down" if got < sent else "up"
    if got == safe_number(name, sent, instrument):
        return "rounded the safe way", f"{means}, rounded {rounded} to {got}"
    off = float(got.value / sent.value - 1)
    apart = f"{percent(abs(off), 3)} {'above' if off > 0 else 'below'}"
    if reckoned := by_rule_of_thumb(got, sent, step):
        rule = f"{got} is {sent} by the rule {reckoned.rule}"
        return "by rule of thumb", f"{rule}; by the exact factor {means}: {apart}"
    if abs(got.to(unit) - sent.to(unit)) < step:
        return "rounded the wrong way", f"{means}, rounded {rounded} to {got}"
    beside = f"{1 + off:.3g} times" if off > 1 else apart
    return "set differently", f"{means}; {got} here is {beside} that"


def rule_high_cutoff(field: Field) -> Iterable[Ruling]:
    """The high cutoff: one is needed on the receiving side, and normal runs stay under it."""
    yield from _rule_cutoff("high", field)
    yield from rule_normal_runs(field, "high cutoff", "weakest")


def rule_low_cutoff(field: Field) -> Iterable[Ruling]:
    """The low cutoff, and normal runs above it."""
    yield from _rule_cutoff("low", field)
    yield from rule_normal_runs(field, "low cutoff")


def _rule_cutoff(name: Name, field: Field) -> Iterator[Ruling]:
    instrument = field.pair.receiving.instrument
    moved = cutoff_moved(name, field.sending, field.receiving, instrument)
    if moved.receiving is None:
        yield _none_here(field, moved)
    elif moved.verdict == "same pressure":
        yield field.ruled("same", moved.text)
    elif moved.verdict == "rounded the safe way":
        yield field.ruled("allowed", moved.text, FACTORS)
    elif moved.verdict == "copied unconverted":
        yield field.ruled("not allowed", moved.text, FACTORS)
    elif moved.sending is None or (moved.receiving < moved.sending) == (name == "high"):
        yield field.ruled("allowed", f"{moved.text}: it stops the pump sooner", OWN)
    elif moved.verdict == "by rule of thumb":
        yield field.ruled("not allowed", moved.text, FACTORS)
    else:
        yield _later(field, moved, moved.sending, moved.receiving)


def _none_here(field: Field, moved: CutoffMoved) -> Ruling:
    """No cutoff on the receiving side: for the low one somebody may answer, with a reason."""
    if moved.name == "high":
        word: Word = "cannot decide" if moved.sending is None else "not allowed"
        return field.ruled(word, f"{moved.text}: without a high cutoff nothing stops the pump")
    pair = field.pair
    examined = check_profile(pair.receiving, pair.policy, pair.today, (low_cutoff_off,))
    for finding in examined.findings:
        if finding.check == check_name(low_cutoff_off) and finding.accepted is not None:
            entry = finding.accepted
            until = f" until {entry.until}" if entry.until else ""
            return field.ruled("allowed", f"accepted by {entry.by}{until}: {entry.reason}")
    lacking = "a leak or an empty bottle stops nothing: set one, or accept low-cutoff-off"
    return field.ruled("cannot decide", f"{moved.text}; {lacking} with the reason")


def _later(field: Field, moved: CutoffMoved, sent: Pressure, got: Pressure) -> Ruling:
    """A cutoff that stops the pump later: as far from normal as at the sender, or the margin."""
    pair, high = field.pair, moved.name == "high"
    first, second = pair.sending.normal_band, pair.receiving.normal_band
    if second is None:
        return field.ruled("cannot decide", f"{moved.text}, and no band says what is normal")
    share, source = _margin(moved.name, pair)
    least, normal = (1 + share, second.high) if high else (1 - share, second.low)
    factor, side, which = least, *(("above", "maximum") if high else ("below", "minimum"))
    whose = "the least margin"
    if first is not None and (before := first.high if high else first.low).value > 0:
        factor = (max if high else min)(least, sent.value / before.value)
        if factor != least:
            whose = "as at the sender"
        elif (sent <= before) == high:
            whose += f": the sender's {sent} is not {side} its own expected {which}, {before}"
    unit = pair.receiving.instrument.pressure_unit
    bound = normal.to(unit) * factor
    to = f"{'up' if high else 'down'} to {show(Pressure.of(bound, unit), unit, apart=[got])}"
    far = percent(float(abs(factor - 1)), 3)
    told = f"{moved.text}; allowed {to}, {far} {side} the expected {which} here, {whose}"
    kept = got.to(unit) <= bound if high else got.to(unit) >= bound
    return field.ruled("allowed" if kept else "not allowed", told, source)


def _margin(name: Name, pair: Pair) -> tuple[Fraction, str]:
    """How far a cutoff may be from normal, at least; and who says so.

    The policy's share, or the sender's own, which the method came with; never the receiving
    profile's own, which could widen what it may do.
    """
    policy, own = pair.policy, getattr(pair.sending.margins, name)
    share, usual = (getattr(side.margins, name) for side in (policy, DEFAULT_POLICY))
    if own is not None and own.value > share:
        return own.value, "the sending profile's own margins"
    if share > usual:
        return share, f"margins of {policy.source or 'the policy'}"
    return share, OWN


def rule_rating(field: Field) -> Iterable[Ruling]:
    """The rating of a part: the high cutoff is on those of pump and column."""
    high, sent, got = field.pair.receiving.cutoffs.high, field.sending, field.receiving
    must = field.name.startswith(("pump", "column", "guard column"))
    if must and (missing := field.missing):
        yield missing
    elif sent is not None and got is None:
        yield field.ruled("cannot decide", "not given here: nothing says what this part holds")
    elif not must:
        yield from _misread(field, information(field, "the checks compare it with what is on it"))
    elif high is not None and high > got:
        yield field.ruled("not allowed", f"the high cutoff {high} is above it")
    elif sent == got:
        yield field.ruled("same", EQUAL)
    elif high is None:
        yield field.ruled("cannot decide", "no high cutoff to compare it with")
    else:
        found = field.ruled("allowed", f"the high cutoff {high} is not above it")
        yield from _misread(field, [found])


def _misread(field: Field, rulings: Iterable[Ruling]) -> Iterator[Ruling]:
    """With the condition to look again where a rating is many times that of the sender's part."""
    sent, got = field.sending, field.receiving
    for item in rulings:
        if sent is None or got is None or got.value < _MANY_TIMES * sent.value:
            yield item
        else:
            times = f"{float(got.value / sent.value):.3g} times the sender's {sent}"
            told = f"read the label again, with its unit: {field.name} {got} is {times}"
            yield item._replace(condition=told)
