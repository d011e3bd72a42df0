"""What speaks against the band of a log, gravest first, and what its reader should know."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from ..profile.hardware import under_pressure, weakest
from ..profile.model import Profile
from ..units import TRADE_UNITS, Pressure
from ..units.printing import short
from .band import FEWEST_READINGS
from .levels import Level
from .lines import quoted
from .phase import OtherUnit, PhaseBaseline, factor_between
from .pulsation import Pulsation

_BY_CHANCE = 0.0005  # of steady normal readings lie as far off
_ALIKE = 0.3  # lag-one correlation
_ONCE_IN = 500
_FEWEST_ALONE = 8  # independent readings
_MUCH_WIDER = 1.15  # than the band without readings far off


@dataclass(frozen=True, slots=True)
class Band:
    """The `[expected]` table, in steps of the display."""

    low: Pressure
    high: Pressure
    basis: str = "measured"

    def __str__(self) -> str:
        return f"{self.low.number} to {self.high}"


def doubts(
    phases: Sequence[PhaseBaseline],
    band: Band | None,
    columns: Sequence[str],
    unit: str,
    method: str | None,
    profile: Profile | None,
) -> Iterator[str]:
    """Why the band of these phases, in `unit`, must not be used as it is."""
    if profile is not None and method is not None:
        own = profile.method.id
        if method.casefold() != own.casefold():
            yield f"the log is of method {quoted(method)}, the profile of {quoted(own)}."
    if len(columns) > 1 and _stepped(phases):
        yield (
            f"the log covers {len(columns)} columns, and the level is not one and the same: take "
            "one of them with --column SERIAL."
        )
    for phase in phases:
        about = f"{phase.phase}: " if phase.phase else ""
        yield from (f"{about}{_in_another_unit(o, phase, unit)}" for o in phase.other_units)
        yield from (about + told for told in _unlike(phase, unit))
        if profile is not None and (known := profile.normal_band) is not None:
            low, high = (float(p.to(unit)) for p in (known.low, known.high))
            if meant := _unit_of_all(phase.median, unit, low, high):
                yield (
                    f"{about}the median, {short(phase.median)} {unit}, is far from the profile's "
                    f"expected band, and inside it if the log is in {meant}."
                )

    if band is not None and profile is not None:
        yield from _on_profile(band, profile)


def _in_another_unit(other: OtherUnit, phase: PhaseBaseline, unit: str) -> str:
    """Of readings that lie the factor of two units from the others."""
    low, high = short(other.low), short(other.high)
    told = f"{_readings(other.readings)} from {low} to {high} {unit}"
    if other.of_the_others:
        told += (
            f" lie the factor of two units away: the other {_readings(phase.readings)} would be "
            f"among these if they are in {other.unit}"
        )
    else:
        told += f" would be usual if meant in {other.unit}"
    starting = " (or the pump was just starting)" if other.high < phase.median else ""
    return (
        f"{told}{starting}; left out here. Where it is the unit, give each row its own in a column "
        "called unit."
    )


def _on_profile(band: Band, profile: Profile) -> Iterator[str]:
    """Band, cutoffs and ratings; band and cutoffs are numbers in the instrument's unit."""
    high, low = profile.cutoffs.high, profile.cutoffs.low
    if high is not None and high.value > 0 and band.high >= high:
        yield (
            f"the band reaches the high cutoff, {high}: such a run stops by itself. Find out why "
            "before raising anything."
        )
    if low is not None and low.value > 0 and band.low <= low:
        yield (
            f"the band reaches down to the low cutoff, {low}: such a run stops by itself. Is the "
            "log read rightly, and was the pump running?"
        )
    weak = weakest(under_pressure(profile))
    if weak is not None and band.high > weak.pressure:
        yield f"the band is above what the {weak.name} holds, {weak.pressure}."
    before = profile.normal_band
    if before is not None and before.basis == "measured":
        middle = (float(band.low) + float(band.high)) / 2
        if not float(before.low) <= middle <= float(before.high):
            yield (
                f"the band, {band}, is elsewhere than the measured one of the profile, "
                f"{before.low} to {before.high}. What moved it? If it is right that it did, take "
                "[expected] out of the profile first."
            )


def of_swing(pulsation: Pulsation, expected: float, step: float, unit: str) -> Iterator[str]:
    """A swing within a run that is well over the expected one [unit]."""
    if pulsation.above(expected, step):
        yield (
            f"the pressure swings by {short(pulsation.swing, 3)} {unit} within a minute, well over "
            f"the {short(expected, 3)} {unit} expected; see Pulsation."
        )


def _unlike(phase: PhaseBaseline, unit: str) -> Iterator[str]:
    """Why the readings of a phase are not of one steady normal."""
    if (off := phase.off) is not None:
        yield (
            f"{_readings(off.readings)} from {short(off.low)} to {short(off.high)} {unit} (first "
            f"in line {off.line}): the pump was off or starting; left out here. Log only while it "
            "runs, or choose a stretch with --since and --until."
        )
    if phase.highest <= 0:
        yield "every reading is zero: the pump was off, or the sensor gives nothing."
    alone = _independent(phase)
    moved = phase.trend is not None and not phase.trend.steady  # then alike for that reason
    if not moved and alone is not None and alone < _FEWEST_ALONE:
        yield (
            f"neighbouring readings are so much alike that {phase.readings} of them tell about as "
            f"much as {alone} independent ones: it wanders, and no band of it is sure. One reading "
            "a run, at the same point of the run, tells more."
        )
    if phase.levels is not None:
        low, high = phase.levels
        yield (
            f"two levels, {_level(low, unit)} and {_level(high, unit)}, in turn: one band over "
            "both would be normal of neither. Say which is which in a column called phase (start, "
            "peak), or log one of them."
        )
    scatter = phase.scatter
    if scatter is not None and scatter.signal is not None and scatter.grew:
        yield (
            f"the readings scatter more since {scatter.signal.time:%Y-%m-%d} (line "
            f"{scatter.signal.line}): by {short(scatter.latest, 2)} {unit} from one to the next "
            f"instead of {short(scatter.usual, 2)}. Air in the pump, a check valve, a worn seal? "
            "(limitcheck reading --swing)"
        )
    if phase.leans and (phase.trend is None or phase.trend.steady):
        yield (
            "the pressure leans to one side over the whole log: a slow drift, or chance. More "
            "readings tell."
        )
    if phase.outlier_count > 3 * _BY_CHANCE * phase.readings and _widened(phase):
        yield (
            f"{_readings(phase.outlier_count)} far from the neighbours (first in line "
            f"{phase.outliers[0].line}) widen the band. Keep the rows; find the cause, and choose "
            "a stretch without them."
        )


def _level(level: Level, unit: str) -> str:
    band = f"{short(level.low)} to {short(level.high)}"
    if level.interval is not None:
        band = f"{short(level.interval.low)} to {short(level.interval.high)}"
    return f"{band} {unit} ({_readings(level.readings)})"


def _widened(phase: PhaseBaseline) -> bool:
    """Whether readings far from the others make the band much wider."""
    if phase.interval is None:
        return False
    usual = phase.without_outliers
    wide = phase.interval.high - phase.interval.low
    return usual is None or wide > _MUCH_WIDER * (usual.high - usual.low)


def _unit_of_all(median: float, unit: str, low: float, high: float) -> str | None:
    """The unit in which a median [`unit`] far from the expected band would lie inside it."""
    if low / 2 <= median <= high * 2:
        return None
    for other in TRADE_UNITS:
        if other != unit and low <= median * factor_between(other, unit) <= high:
            return other
    return None


def notes(
    phases: Sequence[PhaseBaseline], band: Band | None, columns: int, profile: Profile | None
) -> Iterator[str]:
    """What a reader of a band should know, most serious first."""
    for phase in phases:
        for note in _on_phase(phase):
            yield f"{phase.phase}: {note}" if phase.phase else note
    if band is None:
        yield (
            f"a band needs at least {FEWEST_READINGS} readings in each phase, a distribution-free "
            "one more."
        )
    elif len(phases) > 1:
        names = ", ".join(phase.phase or "none" for phase in phases)
        yield (
            f"the band spans the phases {names}: a pressure that is wrong for its phase may still "
            "lie inside it."
        )
    before = profile.normal_band if profile is not None else None
    if profile is not None and profile.expected is not None and before is None:
        yield f"[expected] of the profile is not compared: {profile.expected.no_band}."
    steady = all(phase.trend is None or phase.trend.steady for phase in phases)
    if steady and band is not None and before is not None and before.basis == "measured":
        yield f"[expected] of the profile is {before.low} to {before.high} (measured)."
    if columns > 1 and not _stepped(phases):
        yield f"the log covers {columns} columns; --column SERIAL takes one of them alone."


def _independent(phase: PhaseBaseline) -> int | None:
    """As how many independent readings those of a phase count; None where they are independent."""
    if phase.correlation <= max(_ALIKE, 2 / math.sqrt(phase.readings)):
        return None
    return max(1, round(phase.readings * (1 - phase.correlation) / (1 + phase.correlation)))


def _stepped(phases: Sequence[PhaseBaseline]) -> bool:
    return any(p.levels or (p.trend is not None and p.trend.steps) for p in phases)


def _readings(number: int) -> str:
    return "1 reading" if number == 1 else f"{number} readings"


def _on_phase(phase: PhaseBaseline) -> Iterator[str]:
    steady = phase.trend is None or phase.trend.steady
    if phase.outlier_count > 3 * _BY_CHANCE * phase.readings and not _widened(phase):
        yield f"{_readings(phase.outlier_count)} far from the neighbours: keep the rows, note why."
    scatter = phase.scatter
    few = phase.readings < _ONCE_IN  # in more, chance makes a signal
    if few and scatter is not None and scatter.signal is not None and not scatter.grew:
        yield (
            f"the readings scattered more about {scatter.signal.time:%Y-%m-%d} (line "
            f"{scatter.signal.line}), and do no longer; by chance this happens once in about 500 "
            "readings."
        )
    alone = _independent(phase)
    if steady and alone is not None and alone >= _FEWEST_ALONE:
        yield (
            f"neighbouring readings are alike (correlation {phase.correlation:.2f}): "
            f"{phase.readings} of them tell about as much as {alone} independent "
            "ones, so the stated confidence is too high. One reading a run, at the same point of "
            "the run, is better."
        )
