"""How the numbers of one instrument came across to another: the cutoffs and the expected band."""

from __future__ import annotations

from fractions import Fraction
from typing import Literal, NamedTuple

from ..checking.proposed import Name
from ..physics.liquid import CannotPredict
from ..physics.predict import predict
from ..profile.model import Instrument, Profile
from ..units import Pressure, round_down, round_up, show
from ..units.rules_of_thumb import by_rule_of_thumb
from .adjustment import ColumnChange

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


def expected_moved(
    sending: Profile, receiving: Profile, change: ColumnChange | None
) -> ExpectedMoved | None:
    """How the expected band came across; None where the sender states none."""
    sent, got = _band(sending), _band(receiving)
    if sent is None:
        return None
    unit = receiving.instrument.pressure_unit
    ratio, no_ratio = predicted_ratio(sending, receiving)
    by = Fraction(ratio) if ratio is not None else Fraction(1)
    scaled = ExpectedBand(*(Pressure.of(p.to(unit) * by, unit) for p in sent))
    other_column = change is not None and change.sending != change.receiving
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
