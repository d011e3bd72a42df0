"""How far from normal a reading is, in words."""

from __future__ import annotations

from ..diagnosis.bounds import Bounds
from ..diagnosis.conditions import RUNS_APART, MovedBand, MovedEnd
from ..diagnosis.one_pressure import VARIATION, Statement
from ..diagnosis.reading import Reading
from ..physics.faults.normal import Normal
from ..physics.left_out import PARTS_LEFT_OUT, allowed
from ..units import percent
from ..units.printing import as_stated, in_unit, short

_BASIS = {
    "measured": "measured",
    "declared": "declared, not measured",
    "predicted": "predicted, not measured",
}

GOOD_DAY = "A pressure read there on a good day tells."
_OTHER_RUNS = (
    f": beside the ratios, a run may make {percent(RUNS_APART - 1.0)} more than the lowest or "
    f"{percent(1.0 - 1.0 / RUNS_APART)} less than the highest of the band, and a reading may be "
    f"{percent(VARIATION)} off"
)
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
    if normal.left_out and reading.position == "unknown":
        basis += f", {allowed(normal.left_out, unit)} of it for {PARTS_LEFT_OUT}"
    band = f"{_band(reading, normal)} ({basis})"
    if reading.bounds is not None and reading.bounds.in_doubt:
        doubted = f"the expected pressure, {band}, is in doubt"
        return f"can't be told from normal for {about}: {doubted}. {GOOD_DAY}"
    if reading.position == "unknown" and reading.bounds is not None:
        told = _open(reading, normal, reading.bounds, band)
        return f"can't be told from normal for {about}: {told}"
    if reading.position == "normal":
        return f"is normal for {about}: {band}."
    off = f"{as_stated(abs(reading.off_by), unit)} {unit} ({percent(abs(reading.off_share))})"
    return f"is {off} {reading.position} for {about}: {band}. {not_used(normal)}".rstrip()


def _open(reading: Reading, normal: Normal, edges: Bounds, band: str) -> str:
    """Why a pressure can't be told from normal, and what would tell."""
    unit, told = reading.unit, band
    if edges.least < normal.low or edges.most > normal.high:
        least, most = (as_stated(pascal, unit) for pascal in (edges.least, edges.most))
        told += f", and as far as that is known {least} to {most} {unit}"
        if reading.moved is not None and reading.moved.of_any_run:
            told += _OTHER_RUNS
    return f"{told}. {_why(edges, normal.basis)}{not_used(normal)}{GOOD_DAY}"


def not_used(normal: Normal) -> str:
    """That the profile's measured pairs say nothing of it, and why; empty where they do."""
    return f"[[measured]] is not used: {normal.unused_pairs}. " if normal.unused_pairs else ""


def _why(edges: Bounds, basis: str) -> str:
    """Why nothing there is called normal, a sentence; empty where something is."""
    if edges.normal is not None:
        return ""
    if basis == "predicted":
        return "A prediction says where the pressure lies, not how far it may vary. "
    return "Nothing there is sure enough to be called normal. "


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
    """Which ratios moved a band, and from where; what else is known there, and what contradicts."""
    low, high = (_ratio(end) for end in moved[:2])
    told = (
        f"times a predicted ratio of {high}"
        if low == high
        else f"times predicted ratios: at the lowest point of the run {moved.lowest.end} times "
        f"{low}, at the highest {moved.highest.end} times {high}"
    )
    unit = moved.least.unit
    if moved.pairs is not None:
        told += f"; {moved.pairs.name}: {_between(moved.pairs, unit)}"
    if moved.apart:
        one, other = moved.apart
        told += (
            f"; {one.name} ({_between(one, unit)}) and {other.name} ({_between(other, unit)}) "
            "contradict each other"
        )
    return told


def _between(statement: Statement, unit: str) -> str:
    return f"{as_stated(statement.low, unit)} to {as_stated(statement.high, unit)} {unit}"


def _ratio(end: MovedEnd) -> str:
    """A ratio with its interval, where that shows in three digits."""
    low, central, high = (short(value, 3) for value in end.ratio)
    if end.doubt:
        return f"{low} to {high} ({end.doubt})"
    return central if low == high else f"{central} ({low} to {high})"
