"""How the numbers of one instrument came across to another: the cutoffs and the expected band."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

from ..checking.proposed import Name
from ..physics.liquid import CannotPredict
from ..physics.predict import predict
from ..profile.model import Instrument, Profile
from ..units import Pressure, round_down, round_up, show
from ..units.rules_of_thumb import by_rule_of_thumb
from .adjustment import column_change

CutoffVerdict = Literal[
    "off on both",
    "missing",
    "added",
    "copied unconverted",
    "same pressure",
    "rounded the safe way",
    "by rule of thumb",
    "rounded the wrong way",
    "set anew",
]
ExpectedVerdict = Literal["none given", "copied unconverted", "apart", "not comparable", "agrees"]
Band = tuple[Pressure, Pressure]
APART = 1.5
"""A band further than this factor from the scaled one is pointed out (no source)."""


@dataclass(frozen=True, slots=True)
class CutoffMoved:
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


@dataclass(frozen=True, slots=True)
class ExpectedMoved:
    """The expected band on both sides; `ratio` is the predicted receiving over sending pressure.

    `scaled` is the sender's band times the ratio, in the receiving unit; without a prediction
    `no_ratio` says why, and `scaled` is the sender's band as it is.
    """

    sending: Band
    receiving: Band | None
    scaled: Band
    ratio: float | None
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
        return "copied unconverted", (
            f"the number {sent.number} was copied without converting it: {got} is "
            f"{show(got, sent.unit)}, but {means}"
        )
    if got == sent:
        return "same pressure", f"{got} is the sender's {sent} exactly"
    if got == safe_number(name, sent, instrument):
        way = "down" if name == "high" else "up"
        return "rounded the safe way", f"{means}, rounded {way} to {got}"
    off = float(got.value / sent.value - 1) * 100
    apart = f"{abs(off):.3g} % {'above' if off > 0 else 'below'}"
    if reckoned := by_rule_of_thumb(got, sent, step):
        return "by rule of thumb", (
            f"{got} is {sent} by the rule {reckoned.rule}; exactly, {means}: {apart}"
        )
    if abs(got.to(unit) - sent.to(unit)) < step:
        way = "up" if name == "high" else "down"
        return "rounded the wrong way", f"{means}, rounded {way} to {got}"
    return "set anew", f"{means}; {got} here is {apart}"


def copied(sent: Pressure, got: Pressure) -> bool:
    """Whether the number was taken over although the units differ."""
    return sent.unit != got.unit and sent.to(sent.unit) == got.to(got.unit) != 0


def expected_moved(sending: Profile, receiving: Profile) -> ExpectedMoved | None:
    """How the expected band came across; None where the sender states none."""
    if sending.expected is None:
        return None
    unit = receiving.instrument.pressure_unit
    band = (sending.expected.low, sending.expected.high)
    ratio, no_ratio = predicted_ratio(sending, receiving)
    by = Fraction(ratio) if ratio is not None else Fraction(1)
    low, high = (Pressure.of(p.to(unit) * by, unit) for p in band)
    there = None
    if receiving.expected is not None:
        there = (receiving.expected.low, receiving.expected.high)
    verdict, text = _compared(sending, receiving, (low, high), known=ratio is not None)
    return ExpectedMoved(band, there, (low, high), ratio, no_ratio, verdict, text)


def _compared(
    sending: Profile, receiving: Profile, scaled: Band, *, known: bool
) -> tuple[ExpectedVerdict, str]:
    sent, got = sending.expected, receiving.expected
    assert sent is not None
    unit = receiving.instrument.pressure_unit
    come_to = f"the sender's band comes to {' to '.join(show(p, unit) for p in scaled)}"
    if got is None:
        return "none given", f"none is given here; {come_to}"
    here = f"{got.low} to {got.high} here"
    if copied(sent.low, got.low) and copied(sent.high, got.high):
        return "copied unconverted", (
            f"the numbers {sent.low.number} and {sent.high.number} were copied without "
            f"converting them; {come_to}"
        )
    change = column_change(sending, receiving)
    if not known and change is not None and change.sending != change.receiving:
        return "not comparable", (
            f"{here}; {come_to} on its own column, and for this one no ratio can be "
            "predicted: measure it"
        )
    middle, wanted = (float(low.value + high.value) for low, high in ((got.low, got.high), scaled))
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
