"""How far from normal a reading is, in words."""

from __future__ import annotations

from ..diagnosis.conditions import MovedBand
from ..diagnosis.reading import Reading
from ..physics.faults.normal import Normal
from ..physics.ratio import RatioInterval
from ..units import percent
from ..units.printing import as_stated, in_unit, short

_BASIS = {
    "measured": "measured",
    "declared": "declared, not measured",
    "predicted": "predicted, not measured",
}

_LOW_TO_HIGH = ": the least of the run's lowest point to the most of its highest"


def verdict(reading: Reading, about: str) -> str:
    """How far from normal the reading is, as the end of a sentence."""
    normal, unit = reading.normal, reading.unit
    if normal is None:
        return f"can't be judged: no normal pressure is known of {about}; {reading.no_normal}."
    basis = _BASIS[normal.basis]
    if reading.moved is not None:
        basis += f", {_moved_by(reading.moved)}"
    elif normal.gradient and normal.basis == "predicted":
        basis += _LOW_TO_HIGH
    band = f"{_band(reading, normal)} ({basis})"
    if reading.position == "unknown" and reading.moved is not None:
        least, most = (short(float(p.to(unit))) for p in (reading.moved.least, reading.moved.most))
        return (
            f"can't be told from normal for {about}: {band}, and as far as that is known "
            f"{least} to {most} {unit}."
        )
    if reading.position == "normal":
        return f"is normal for {about}: {band}."
    off = f"{as_stated(abs(reading.off_by), unit)} {unit} ({percent(abs(reading.off_share))})"
    return f"is {off} {reading.position} for {about}: {band}."


def _band(reading: Reading, normal: Normal) -> str:
    """The normal band, with as many figures as tell the reading from its ends."""
    unit, read = reading.unit, float(reading.pressure.to(reading.unit))
    ends = normal.low, normal.high
    inside = ends[0] <= float(reading.pressure) <= ends[1]
    low, high = (as_stated(end, unit, typed=normal.typed) for end in ends)
    for significant in range(4, 10):
        if (float(low) <= read <= float(high)) == inside:
            break
        low, high = (short(in_unit(end, unit), significant) for end in ends)
    return f"{low} to {high} {unit}"


def _moved_by(moved: MovedBand) -> str:
    """Which ratios moved a band, and from where."""
    low, high = (_ratio(end.ratio) for end in moved[:2])
    if low == high:
        return f"times a predicted ratio of {high}"
    return (
        f"times predicted ratios: at the lowest point of the run {moved.lowest.end} times {low}, "
        f"at the highest {moved.highest.end} times {high}"
    )


def _ratio(ratio: RatioInterval) -> str:
    """A ratio with its interval, where that shows in three digits."""
    low, central, high = (short(value, 3) for value in ratio)
    return central if low == high else f"{central} ({low} to {high})"
