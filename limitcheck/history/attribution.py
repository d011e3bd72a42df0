"""What of the pump a period keeps time with: all heads in turn, one stroke, or nothing.

The pump's periods follow from its stroke volume and the flow. Readings too far apart show a fast
pulse as a slow one (its alias), which is never put down to a stroke.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Literal

from ..physics.strokes import Strokes
from .periodogram import Peak

_TOLERANCE = 0.05  # of a period: flow, stroke volume, compressibility (assumed, no source)
_OVERTONES = 8  # of a stroke

Source = Literal["cycle", "stroke", "part of a cycle", "faster", "alias", "other", "unknown"]
"""What a period is in time with: all heads in turn, one stroke, a fraction of all heads in turn
(their overtones), overtones of a stroke, possibly a faster pulse of the pump seen too seldom,
nothing of the pump; unknown where the pump's periods are not."""


@dataclass(frozen=True, slots=True)
class Pulse:
    """A period [s] with its 95 % interval, its own swing (lowest to highest), the probability of
    such a peak in noise, what it is in time with and the period predicted for that [s].
    """

    period: float
    period_low: float
    period_high: float
    swing: float
    by_chance: float
    source: Source
    predicted_period: float | None


def attributed(
    peaks: Sequence[Peak], pump: Strokes | None, span: float, sampling: float
) -> tuple[Pulse, ...]:
    """Each peak with what it is in time with; `span` of the readings and `sampling` in s.

    What is in time with the pump shares one scale with the strongest such peak. An overtone of a
    slower pulse that is not the pump's is not the pump's either.
    """
    if pump is None:
        return tuple(_pulse(peak, "unknown", None) for peak in peaks)
    heads = 1 if pump.cycle is None else round(pump.cycle / pump.stroke)
    base = 1 / (pump.cycle or pump.stroke)
    near = [peak for peak in peaks if _multiple(peak, base) is not None]
    scale = 1.0
    if near:
        scale = near[0].frequency / (_multiple(near[0], base) or 1) / base
    own = [
        peak
        for peak in near
        if abs(peak.frequency - (_multiple(peak, base) or 0) * base * scale)
        <= max(1 / span, 0.01 * peak.frequency)
    ]
    strangers = [peak for peak in peaks if peak not in own]
    pulses = []
    for peak in peaks:
        multiple = _multiple(peak, base) if peak in own else None
        if multiple is None:
            alias = _may_be_alias(peak, base, range(1, 2 * heads + 1), sampling) or (
                bool(own) and _folded(peak, base * scale, heads, span, sampling)
            )
        else:
            # A pump in order shows its strokes: seen too seldom, they may look like one head.
            alias = heads * base > 0.45 / sampling and _may_be_alias(
                peak, base, (heads, 2 * heads), sampling
            )
        if multiple is not None and not alias and not _overtone(peak, strangers, span):
            pulses.append(_of_pump(peak, multiple, heads, base, own))
        else:
            pulses.append(_pulse(peak, "alias" if alias else "other", None))
    return tuple(pulses)


def _pulse(peak: Peak, source: Source, predicted: float | None) -> Pulse:
    return Pulse(
        1 / peak.frequency,
        1 / peak.high,
        1 / peak.low,
        peak.swing,
        peak.by_chance,
        source,
        predicted,
    )


def _multiple(peak: Peak, base: float) -> int | None:
    """Which multiple of the pump's slowest frequency a peak is; None for none."""
    nearest = round(peak.frequency / base)
    if nearest < 1 or abs(peak.frequency / base - nearest) > _TOLERANCE * min(nearest, 4):
        return None
    return nearest


def _overtone(peak: Peak, strangers: Sequence[Peak], span: float) -> bool:
    """Whether a slower period that is not the pump's has this one among its overtones."""
    for other in strangers:
        times = round(peak.frequency / other.frequency)
        if times >= 2 and abs(peak.frequency - times * other.frequency) <= (1 + times / 4) / span:
            return True
    return False


def _of_pump(peak: Peak, multiple: int, heads: int, base: float, own: Sequence[Peak]) -> Pulse:
    present = {_multiple(other, base) for other in own}
    source: Source
    if multiple == heads:
        source = "stroke"
    elif multiple == 1:
        source = "cycle"
    elif multiple % heads == 0:
        source = "faster" if heads in present or 1 in present else "other"
    else:
        source = "part of a cycle" if 1 in present else "other"
    return _pulse(peak, source, 1 / (multiple * base) if source != "other" else None)


def _may_be_alias(peak: Peak, base: float, multiples: Iterable[int], sampling: float) -> bool:
    """Whether readings `sampling` [s] apart would show a faster pulse of the pump here.

    Frequencies of the pump are known to a few percent, which is a wide range once folded.
    """
    rate = 1 / sampling
    for multiple in multiples:
        true = multiple * base
        if true * (1 + _TOLERANCE) <= rate / 2:
            continue
        reach = _TOLERANCE * true
        folded = abs(true - round(true / rate) * rate)
        if abs(peak.frequency - folded) <= reach:
            return True
    return False


def _folded(peak: Peak, base: float, heads: int, span: float, sampling: float) -> bool:
    """Whether it is a fast overtone of a pump whose slowest frequency was seen, `base` [1/s]."""
    rate = 1 / sampling
    for multiple in range(1, _OVERTONES * heads + 1):
        true = multiple * base
        if (
            true > rate / 2
            and abs(abs(true - round(true / rate) * rate) - peak.frequency) <= 2 / span
        ):
            return True
    return False
