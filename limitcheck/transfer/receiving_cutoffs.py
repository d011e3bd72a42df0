"""What was entered on the receiving instrument, against what the sender's number means there."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

from ..limits import Limit
from ..profile.model import Instrument
from ..units import Pressure, plain_or_rounded, round_down, round_up, show
from ..units.rules_of_thumb import by_rule_of_thumb

Verdict = Literal[
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


@dataclass(frozen=True, slots=True)
class EntryMoved:
    """One cutoff on both instruments.

    `exact` is the sender's pressure in the receiving unit, `safe` that number rounded the safe
    way (a high cutoff down, a low one up); both None where the sender has none. `proposed` is
    the limit for the receiving hardware.
    """

    name: Literal["high", "low"]
    sending: Pressure | None
    receiving: Pressure | None
    exact: Fraction | None
    safe: Fraction | None
    proposed: Limit | None
    verdict: Verdict
    text: str
    blocking: bool

    @property
    def path(self) -> tuple[str, str]:
        """Where both profiles hold it."""
        return "cutoffs", self.name


def entry_moved(
    name: Literal["high", "low"],
    sending: Pressure | None,
    receiving: Pressure | None,
    instrument: Instrument,
    proposed: Limit | None,
) -> EntryMoved:
    """How a cutoff came across; `instrument` and `proposed` are of the receiving side."""
    sent, got = _on(sending), _on(receiving)
    if sent is None:
        verdict: Verdict = "off on both" if got is None else "added"
        text = "off on both sides" if got is None else f"the sender has none; {got} here"
        return EntryMoved(name, None, got, None, None, proposed, verdict, text, False)
    unit, step = instrument.pressure_unit, instrument.step
    exact = sent.to(unit)
    safe = (round_down if name == "high" else round_up)(exact, step)
    verdict, text = _judged(name, sent, got, safe, instrument)
    text += _advice(verdict, safe, proposed, unit)
    raised = verdict == "by rule of thumb" and got is not None and got > sent
    blocking = verdict == "copied unconverted" or (
        name == "high" and (raised or verdict == "missing")
    )
    return EntryMoved(name, sent, got, exact, safe, proposed, verdict, text, blocking)


def _on(pressure: Pressure | None) -> Pressure | None:
    return pressure if pressure is not None and pressure.value > 0 else None


def _judged(
    name: str, sent: Pressure, got: Pressure | None, safe: Fraction, instrument: Instrument
) -> tuple[Verdict, str]:
    unit, step = instrument.pressure_unit, instrument.step
    means = f"{sent} is {show(sent, unit, apart=[got] if got else [])}"
    if got is None:
        return "missing", f"the sender's {means}; none is set here"
    number = got.to(unit)
    if sent.unit != unit and number == sent.to(sent.unit):
        read = show(got, sent.unit)
        return "copied unconverted", (
            f"the number {sent.number} was copied without converting it: {got} is {read}, "
            f"but {means}"
        )
    if got == sent:
        return "same pressure", f"{got} is the sender's {sent} exactly"
    if number == safe:
        way = "down" if name == "high" else "up"
        return "rounded the safe way", f"{means}, rounded {way} to {plain_or_rounded(safe)}"
    if thumb := by_rule_of_thumb(got, sent, step):
        return "by rule of thumb", (
            f"{got} is {sent} by the rule {thumb.rule}; exactly, {means}: {_off(got, sent)}"
        )
    if abs(number - sent.to(unit)) < step:
        way = "up" if name == "high" else "down"
        return "rounded the wrong way", f"{means}, rounded {way} to {got}"
    return "set anew", f"{means}; {got} here is {_off(got, sent)}"


def _advice(verdict: Verdict, safe: Fraction, proposed: Limit | None, unit: str) -> str:
    """What to enter instead, where something is wrong: never more than this hardware bears."""
    if verdict in ("same pressure", "rounded the safe way", "set anew"):
        return ""
    here = "none is safe" if proposed is None else f"enter {proposed.enter} {unit}"
    return (
        f". Rounded the safe way that is {plain_or_rounded(safe)} {unit}; proposed for this "
        f"hardware: {here}"
    )


def _off(got: Pressure, sent: Pressure) -> str:
    share = float(got.value / sent.value - 1) * 100
    return f"{abs(share):.3g} % {'above' if share > 0 else 'below'}"
