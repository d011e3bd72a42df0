"""How the numbers of one instrument came across to another: the cutoffs and the expected band."""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction
from typing import Literal, NamedTuple

from ..checking.proposed import Name
from ..physics.liquid import CannotPredict
from ..physics.predict import predict
from ..profile.model import Instrument, Profile
from ..units import Pressure, round_down, round_up, show
from ..units.rules_of_thumb import by_rule_of_thumb
from .pairing import paired_parts
from .ruling import EQUAL, Field, Ruling, same

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
ExpectedVerdict = Literal["none given", "copied unconverted", "apart", "not comparable", "agrees"]
APART = 1.5
"""A band further than this factor from the scaled one is pointed out (no source)."""


class ExpectedBand(NamedTuple):
    """An expected pressure."""

    low: Pressure
    high: Pressure


class CutoffMoved(NamedTuple):
    """One cutoff on both instruments; `exact` is the sender's pressure in the receiving unit."""

    name: Name
    sending: Pressure | None
    receiving: Pressure | None
    exact: Pressure | None
    verdict: CutoffVerdict
    text: str

    @property
    def blocking(self) -> bool:
        """Whether it stands against accepting the transfer."""
        if self.verdict == "copied unconverted":
            return True
        if self.name == "low" or self.sending is None:
            return False
        raised = self.receiving is not None and self.receiving > self.sending
        return self.verdict == "missing" or (self.verdict == "by rule of thumb" and raised)


class ExpectedMoved(NamedTuple):
    """The expected band on both sides, with the predicted receiving over sending pressure.

    `scaled` is the sender's band times that ratio, in the receiving unit; without a prediction
    `no_ratio` says why, and `scaled` is the sender's band as it is.
    """

    sending: ExpectedBand
    receiving: ExpectedBand | None
    scaled: ExpectedBand
    predicted_ratio: float | None
    no_ratio: str | None
    verdict: ExpectedVerdict
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
    rounded = round_down if name == "high" else round_up
    return Pressure.of(rounded(sent.to(unit), instrument.step), unit)


def _judged(
    name: Name, sent: Pressure, got: Pressure | None, instrument: Instrument
) -> tuple[CutoffVerdict, str]:
    unit, step = instrument.pressure_unit, instrument.step
    means = f"{sent} is {show(sent, unit, apart=[got] if got else [])}"
    if got is None:
        return "missing", f"the sender's {means}; none is set here"
    if copied(sent, got):
        read = f"{got} is {show(got, sent.unit)}, but {means}"
        return "copied unconverted", (
            f"the number {sent.number} was copied without converting it: {read}"
        )
    if got == sent:
        return "same pressure", f"{got} is the sender's {sent} exactly"
    rounded = "down" if got < sent else "up"
    if got == safe_number(name, sent, instrument):
        return "rounded the safe way", f"{means}, rounded {rounded} to {got}"
    off = float(got.value / sent.value - 1) * 100
    apart = f"{abs(off):.3g} % {'above' if off > 0 else 'below'}"
    if reckoned := by_rule_of_thumb(got, sent, step):
        rule = f"{got} is {sent} by the rule {reckoned.rule}"
        return "by rule of thumb", f"{rule}; exactly, {means}: {apart}"
    if abs(got.to(unit) - sent.to(unit)) < step:
        return "rounded the wrong way", f"{means}, rounded {rounded} to {got}"
    return "set differently", f"{means}; {got} here is {apart}"


def copied(sent: Pressure, got: Pressure) -> bool:
    """Whether the number was taken over although the units differ."""
    return sent.unit != got.unit and sent.to(sent.unit) == got.to(got.unit) != 0


def expected_moved(sending: Profile, receiving: Profile) -> ExpectedMoved | None:
    """How the expected band came across; None where the sender states none."""
    sent, got = _band(sending), _band(receiving)
    if sent is None:
        return None
    unit = receiving.instrument.pressure_unit
    ratio, no_ratio = predicted_ratio(sending, receiving)
    by = Fraction(ratio) if ratio is not None else Fraction(1)
    scaled = ExpectedBand(*(Pressure.of(p.to(unit) * by, unit) for p in sent))
    columns = (p for p in paired_parts(sending, receiving) if p.name.startswith("column"))
    other_column = any(not same(pair.sending, pair.receiving) for pair in columns)
    verdict, text = _compared(sent, got, scaled, unknown=ratio is None and other_column)
    return ExpectedMoved(sent, got, scaled, ratio, no_ratio, verdict, text)


def _band(profile: Profile) -> ExpectedBand | None:
    expected = profile.expected
    return ExpectedBand(expected.low, expected.high) if expected is not None else None


def _compared(
    sent: ExpectedBand, got: ExpectedBand | None, scaled: ExpectedBand, *, unknown: bool
) -> tuple[ExpectedVerdict, str]:
    low, high = (show(p, p.unit) for p in scaled)
    come_to = f"the sender's band comes to {low} to {high}"
    if got is None:
        return "none given", f"none is given here; {come_to}"
    here = f"{got.low} to {got.high} here"
    if copied(sent.low, got.low) and copied(sent.high, got.high):
        numbers = f"the numbers {sent.low.number} and {sent.high.number}"
        return "copied unconverted", f"{numbers} were copied without converting them; {come_to}"
    if unknown:
        why = "on its own column, and for this one no ratio can be predicted: measure it"
        return "not comparable", f"{here}; {come_to} {why}"
    middle, wanted = (float(band.low.value + band.high.value) for band in (got, scaled))
    if not wanted / APART <= middle <= wanted * APART:
        return "apart", f"{here}, but {come_to}: measure it"
    return "agrees", f"{here} agrees: {come_to}"


def predicted_ratio(sending: Profile, receiving: Profile) -> tuple[float | None, str | None]:
    """Predicted pressure on the receiving side over the sending side's, or why there is none."""
    try:
        before, after = predict(sending).central, predict(receiving).central
    except CannotPredict as error:
        return None, error.message
    return (after / before, None) if before and after else (None, "no resistance is known")


def rule_high_cutoff(field: Field) -> Iterable[Ruling]:
    """The high cutoff: one is needed on the receiving side."""
    return _rule_cutoff("high", field)


def rule_low_cutoff(field: Field) -> Iterable[Ruling]:
    """The low cutoff."""
    return _rule_cutoff("low", field)


def _rule_cutoff(name: Name, field: Field) -> Iterable[Ruling]:
    instrument = field.pair.receiving.instrument
    moved = cutoff_moved(name, field.sending, field.receiving, instrument)
    if moved.verdict == "off on both" and name == "high":
        yield field.ruled("cannot decide", "neither profile has a high cutoff: set one")
    elif moved.blocking:
        yield field.ruled("not allowed", moved.text)
    elif moved.verdict in ("same pressure", "off on both"):
        yield field.ruled("same", moved.text)
    elif moved.verdict == "rounded the safe way":
        yield field.ruled("allowed", moved.text, "factors: NIST SP 811 (2008), App. B")
    else:
        yield field.ruled("information", moved.text)


def rule_band_end(field: Field) -> Iterable[Ruling]:
    """One end of the expected band."""
    pair = field.pair
    moved = expected_moved(pair.sending, pair.receiving)
    if missing := field.missing:
        yield missing
    elif moved is None:
        return
    elif moved.verdict in ("copied unconverted", "apart"):
        yield field.ruled("not allowed", moved.text)
    elif field.sending == field.receiving and moved.verdict == "agrees":
        yield field.ruled("same", moved.text)
    elif moved.verdict == "agrees":
        yield field.ruled("allowed", moved.text)
    else:
        yield field.ruled("cannot decide", moved.text)


def rule_basis(field: Field) -> Iterable[Ruling]:
    """Where the expected band comes from."""
    if field.sending is not None or field.receiving is not None:
        as_before = field.sending == field.receiving
        yield field.ruled("same" if as_before else "information", "how the band was found")


def rule_rating(field: Field) -> Iterable[Ruling]:
    """The rating of a part against the high cutoff of the receiving side."""
    high = field.pair.receiving.cutoffs.high
    core = field.name.startswith(("pump", "column"))
    if core and (missing := field.missing):
        yield missing
    elif field.sending is None and field.receiving is None:
        return
    elif field.receiving is not None and high is not None and high > field.receiving and core:
        yield field.ruled("not allowed", f"the high cutoff {high} is above it")
    elif field.sending == field.receiving:
        yield field.ruled("same", EQUAL)
    else:
        yield field.ruled("information", "the receiving part's own rating")
