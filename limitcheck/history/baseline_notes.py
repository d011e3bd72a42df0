"""What a reader of a baseline must know before using it."""

from __future__ import annotations

import math
from collections.abc import Iterator

from ..profile.model import Profile
from ..units import Pressure
from ..units.printing import short
from .lines import quoted
from .mixed import unit_of_all
from .normal import FEWEST_READINGS, Band, PhaseBaseline

_BY_CHANCE = 0.0005  # of steady normal readings lie as far off
_ALIKE = 0.3  # lag-one correlation


def count(readings: int) -> str:
    """How many readings, in words that fit one too."""
    return "1 reading" if readings == 1 else f"{readings} readings"


def doubts_on(
    phases: tuple[PhaseBaseline, ...], *, unit: str, method: str | None, profile: Profile | None
) -> Iterator[str]:
    """Why the band of these phases, in `unit`, must not be used as it is: method or units."""
    if profile is not None and method is not None:
        own = profile.method.id
        if method.casefold() != own.casefold():
            yield f"the log is of method {quoted(method)}, the profile of {quoted(own)}."
    for phase in phases:
        about = f"{phase.phase}: " if phase.phase else ""
        for other in phase.other_units:
            yield (
                f"{about}{count(other.readings)} from {short(other.low)} to {short(other.high)} "
                f"{unit} would be usual if meant in {other.unit}; left out here. Give each row "
                "its unit in a column called unit."
            )
        if profile is not None and profile.expected is not None:
            low, high = (float(p.to(unit)) for p in (profile.expected.low, profile.expected.high))
            if meant := unit_of_all(phase.median, unit, low, high):
                yield (
                    f"{about}the median, {short(phase.median)} {unit}, is far from the profile's "
                    f"expected band, and inside it if the log is in {meant}."
                )


def notes_on(
    phases: tuple[PhaseBaseline, ...], band: Band | None, *, columns: int, profile: Profile | None
) -> Iterator[str]:
    """What a reader of a band should know, most serious first."""
    for phase in phases:
        for note in _on_phase(phase):
            yield f"{phase.phase}: {note}" if phase.phase else note
    if band is None:
        yield (
            f"too few readings for a band: at least {FEWEST_READINGS} in each phase, more for a "
            "distribution-free one."
        )
    elif profile is not None:
        yield from _on_cutoffs(band, profile)
    if columns > 1:
        yield f"the log covers {columns} columns; --column SERIAL takes one of them alone."


def _on_phase(phase: PhaseBaseline) -> Iterator[str]:
    steady = phase.trend is None or phase.trend.steady
    if not steady:
        yield (
            "the pressure was not steady, so the band holds more than normal running; choose a "
            "steady stretch with --since and --until."
        )
    if phase.outlier_count > 3 * _BY_CHANCE * phase.readings:
        yield (
            f"{count(phase.outlier_count)} far from the neighbours; kept, and "
            "may widen the band. Delete the rows whose cause is known."
        )
    if steady and phase.correlation > max(_ALIKE, 2 / math.sqrt(phase.readings)):
        alone = phase.readings * (1 - phase.correlation) / (1 + phase.correlation)
        yield (
            f"neighbouring readings are alike (correlation {phase.correlation:.2f}): "
            f"{phase.readings} of them tell about as much as {max(1, round(alone))} independent "
            "ones, so the stated confidence is too high. One reading a run, at the same point of "
            "the run, is better."
        )


def _on_cutoffs(band: Band, profile: Profile) -> Iterator[str]:
    """Band and cutoffs are both numbers in the instrument's unit."""
    high, low = profile.cutoffs.high, profile.cutoffs.low
    if high is not None and Pressure.of(band.high, band.unit) >= high:
        yield (
            f"the band reaches the high cutoff, {high}: such a run stops by itself. Find out why "
            "before raising anything."
        )
    if low is not None and low.value > 0 and Pressure.of(band.low, band.unit) <= low:
        yield f"the band reaches down to the low cutoff, {low}."
