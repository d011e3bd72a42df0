"""The expected pressure on both sides, scaled by the ratio of two predictions."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

from ..physics.liquid import CannotPredict
from ..physics.predict import predict
from ..profile.model import Profile
from ..units import Pressure, show
from .adjustment import column_change

APART = 1.5
"""A band further than this factor from the scaled one is pointed out (no source)."""
Band = tuple[Pressure, Pressure]


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
    verdict: Literal["none given", "copied unconverted", "apart", "not comparable", "agrees"]
    text: str


def expected_moved(sending: Profile, receiving: Profile) -> ExpectedMoved | None:
    """How the expected band came across; None where the sender states none."""
    if sending.expected is None:
        return None
    unit = receiving.instrument.pressure_unit
    band = (sending.expected.low, sending.expected.high)
    ratio, no_ratio = predicted_ratio(sending, receiving)
    by = Fraction(ratio) if ratio is not None else Fraction(1)
    low, high = (Pressure.of(p.to(unit) * by, unit) for p in band)
    scaled = (low, high)
    come_to = f"{show(low, unit, digits=4)} to {show(high, unit, digits=4)}"
    if receiving.expected is None:
        text = f"none is given here; the sender's band comes to {come_to}"
        return ExpectedMoved(band, None, scaled, ratio, no_ratio, "none given", text)
    there = (receiving.expected.low, receiving.expected.high)
    if all(_copied(sent, got) for sent, got in zip(band, there, strict=True)):
        text = (
            f"the numbers {band[0].number} and {band[1].number} were copied without converting "
            f"them; the sender's band comes to {come_to}"
        )
        return ExpectedMoved(band, there, scaled, ratio, no_ratio, "copied unconverted", text)
    change = column_change(sending, receiving)
    if ratio is None and change is not None and change.sending != change.receiving:
        text = (
            f"{there[0]} to {there[1]} here; the sender's band comes to {come_to} on its own "
            "column, and for this one no ratio can be predicted: measure it"
        )
        return ExpectedMoved(band, there, scaled, ratio, no_ratio, "not comparable", text)
    middle, wanted = (float(pair[0].value + pair[1].value) for pair in (there, scaled))
    if not wanted / APART <= middle <= wanted * APART:
        text = (
            f"{there[0]} to {there[1]} here, but the sender's band comes to {come_to}: measure it"
        )
        return ExpectedMoved(band, there, scaled, ratio, no_ratio, "apart", text)
    text = f"agrees with the sender's band, which comes to {come_to}"
    return ExpectedMoved(band, there, scaled, ratio, no_ratio, "agrees", text)


def _copied(sent: Pressure, got: Pressure) -> bool:
    return sent.unit != got.unit and sent.to(sent.unit) == got.to(got.unit) != 0


def predicted_ratio(sending: Profile, receiving: Profile) -> tuple[float | None, str | None]:
    """Predicted pressure on the receiving side over the sending side's, or why there is none."""
    try:
        before, after = predict(sending).central, predict(receiving).central
    except CannotPredict as error:
        return None, error.message
    return (after / before, None) if before and after else (None, "no resistance is known")
