"""The normal pressure of a system, from a log of past pressures.

The log is read twice: once to count its values, once to follow them in time. Nothing grows with
the number of rows.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import BinaryIO

from ..physics.strokes import strokes
from ..profile.model import Profile
from ..units import TRADE_UNITS, Pressure, plain, round_down, round_up
from ..units.printing import short
from .band import FEWEST_READINGS
from .layout import Options
from .levels import Level
from .lines import LogError, quoted
from .log import Choice, Log
from .phase import PhaseBaseline, PhaseReadings, factor_between
from .pulsation import Pulsation, PulsationWatch
from .stretch import Stretch, candidates
from .summaries import MOST_LISTED

_MOST_GROUPS = 50
_BY_CHANCE = 0.0005  # of steady normal readings lie as far off
_ALIKE = 0.3  # lag-one correlation
_MUCH_WIDER = 1.15  # than the band without readings far off


@dataclass(frozen=True, slots=True)
class Band:
    """The `[expected]` table, in steps of the display."""

    low: Pressure
    high: Pressure
    basis: str = "measured"

    def __str__(self) -> str:
        return f"{self.low.number} to {self.high}"


@dataclass(frozen=True, slots=True)
class Without:
    """Rows without a reading: what their cells say, how many they are, the line of the first."""

    text: str
    rows: int
    line: int


@dataclass(frozen=True, slots=True)
class Baseline:
    """What a log says about normal pressure; every pressure is in `unit`."""

    path: str
    sha256: str
    unit: str
    layout: tuple[str, ...]
    method: str | None
    coverage: float
    confidence: float
    without: tuple[Without, ...]  # rows without a reading
    phases: tuple[PhaseBaseline, ...]
    columns: tuple[str, ...]
    expected: Band | None
    high_cutoff: float | None
    low_cutoff: float | None
    doubts: tuple[str, ...]  # why the band must not be used as it is
    notes: tuple[str, ...]
    pulsation: Pulsation | None  # of a log with many readings a minute
    expected_swing: float | None
    stretch: Stretch | None = None  # of a log that is not steady, a part that is

    @property
    def moved(self) -> bool:
        """Whether a phase drifts or stepped."""
        return any(phase.trend is not None and not phase.trend.steady for phase in self.phases)

    @property
    def steady(self) -> bool:
        """No doubts, and no phase that drifts or stepped."""
        return not (self.moved or self.doubts)


def find_baseline(
    stream: BinaryIO, path: str, options: Options, choice: Choice, profile: Profile | None = None
) -> Baseline:
    """Read a log (a seekable binary stream, called `path` in messages) into a `Baseline`.

    Pressures come in the profile's unit, else in the log's own. Of a log that is not steady, parts
    that may be are read by themselves, and the longest that is steady is named. Raises LogError
    for a log that cannot be used, ValueError for a coverage or confidence outside 0 to 1.
    """
    options = replace(options, scale=_scale(profile))
    found, watch = _read(stream, path, options, choice, profile)
    if found.pulsation is not None:
        found = replace(found, pulsation=watch.with_pulses(found.pulsation))
    if found.steady:
        return found
    for since, until in candidates(found.phases):
        try:
            within = replace(choice, since=since, until=until)
            part, _ = _read(stream, path, options, within, profile)
        except LogError:
            continue
        if part.steady and part.expected is not None and all(p.trend for p in part.phases):
            band, count = part.expected, sum(phase.readings for phase in part.phases)
            stretch = Stretch(since, until, count, band.low.number, band.high.number)
            return replace(found, stretch=stretch)
    return found


def _scale(profile: Profile | None) -> tuple[float, float] | None:
    """Pressures that a log of this profile holds, as far as it tells [Pa]."""
    if profile is None:
        return None
    if profile.expected is not None:
        return float(profile.expected.low), float(profile.expected.high)
    low, high = profile.cutoffs.low, profile.cutoffs.high
    if high is None or high.value == 0:
        return None
    return float(low) if low is not None and low.value > 0 else float(high) / 10, float(high)


def _read(
    stream: BinaryIO, path: str, options: Options, choice: Choice, profile: Profile | None
) -> tuple[Baseline, PulsationWatch]:
    """The baseline, without periods, and what finds them."""
    log = Log(stream, path, profile.instrument.pressure_unit if profile else None, options)
    method, phases = _count(log, choice, profile)
    for phase in phases.values():
        phase.prepare(log.unit)
    changes: list[tuple[int, str, str]] = []
    columns: dict[str, None] = {}
    serial = ""
    watch = PulsationWatch()
    for row in log.rows():
        if not choice.takes(row) or method not in (None, row.method):
            continue
        if phases[row.phase].follow(row):
            watch.add(row)
        if row.column and row.column != serial:
            if serial and len(changes) < MOST_LISTED:
                changes.append((row.line, serial, row.column))
            serial = row.column
            if len(columns) < MOST_LISTED:
                columns[serial] = None
    cutoffs = _cutoffs(profile, log.unit)
    reports = tuple(
        phase.baseline(name, choice, changes, cutoffs) for name, phase in phases.items()
    )
    expected = _expected(reports, log.unit, profile)
    pulsation = watch.finish(strokes(profile) if profile is not None else "no profile is given")
    usual = profile.expected.swing if profile is not None and profile.expected else None
    swing = None if usual is None else float(usual.to(log.unit))
    doubts = list(_doubts(reports, log.unit, method, profile))
    if pulsation is not None and swing is not None and profile is not None:
        doubts[:0] = _of_swing(pulsation, swing, float(profile.instrument.step), log.unit)
    found = Baseline(
        path=path,
        sha256=log.sha256(),
        unit=log.unit,
        layout=tuple(log.layout.describe()),
        method=method,
        coverage=choice.coverage,
        confidence=choice.confidence,
        without=tuple(Without(text, *found) for text, found in log.without.items()),
        phases=reports,
        columns=tuple(columns),
        expected=expected,
        high_cutoff=cutoffs[1],
        low_cutoff=cutoffs[0],
        doubts=tuple(doubts),
        notes=tuple(_notes(reports, expected, len(columns), profile)),
        pulsation=pulsation,
        expected_swing=swing,
    )
    return found, watch


def _cutoffs(profile: Profile | None, unit: str) -> tuple[float | None, float | None]:
    """Low and high cutoff in `unit`; None where absent or zero (off)."""
    if profile is None:
        return None, None
    low, high = (
        float(cutoff.to(unit)) if cutoff is not None and cutoff.value > 0 else None
        for cutoff in (profile.cutoffs.low, profile.cutoffs.high)
    )
    return low, high


def _count(
    log: Log, choice: Choice, profile: Profile | None
) -> tuple[str | None, dict[str, PhaseReadings]]:
    """First reading of the log: the method it is about, and a tally for each phase."""
    groups: dict[tuple[str, str], PhaseReadings] = {}
    for row in log.rows():
        if not choice.takes(row):
            continue
        group = groups.get((row.method, row.phase))
        if group is None:
            if len(groups) == _MOST_GROUPS:
                raise log.lines.error(
                    f"more than {_MOST_GROUPS} different methods and phases",
                    "is the right column taken for method and phase? name it with --use",
                )
            group = groups[row.method, row.phase] = PhaseReadings()
        group.count(row.pressure)
    if not groups:
        raise log.lines.error(
            "no reading is left to use",
            "every row is without a pressure, or outside the column or the dates chosen",
            line=log.layout.header_line,
        )
    method = _method({name for name, _ in groups}, log, choice, profile)
    return method, {ph: g for (name, ph), g in groups.items() if method in (None, name)}


def _method(names: set[str], log: Log, choice: Choice, profile: Profile | None) -> str | None:
    if "method" not in log.layout.columns:
        return None
    wanted = choice.method or (profile.method.id if profile else None)
    for name in names:
        if wanted is not None and name.casefold() == wanted.casefold():
            return name
    if len(names) == 1 and choice.method is None:
        return names.pop()
    raise log.lines.error(
        f"no reading is of method {quoted(wanted)}" if wanted else f"{len(names)} methods",
        f"choose one with --method; the log has {', '.join(quoted(n) for n in sorted(names))}",
        line=log.layout.header_line,
    )


def _expected(phases: tuple[PhaseBaseline, ...], unit: str, profile: Profile | None) -> Band | None:
    """The band over all phases, rounded outward to the step of the display."""
    intervals = [phase.interval for phase in phases if phase.interval is not None]
    if len(intervals) < len(phases):
        return None
    low, high = min(i.low for i in intervals), max(i.high for i in intervals)
    if profile is not None:
        step = profile.instrument.step
    else:
        step = Fraction(10) ** (math.floor(math.log10(high)) - 2) if high > 0 else Fraction(1)
    # As a log would show the numbers, so that 28.6 is not a little less.
    least, most = Fraction(f"{low:.12g}"), Fraction(f"{high:.12g}")
    return Band(
        Pressure.of(plain(round_down(least, step)), unit),
        Pressure.of(plain(round_up(most, step)), unit),
    )


def _doubts(
    phases: tuple[PhaseBaseline, ...], unit: str, method: str | None, profile: Profile | None
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
                f"{about}{_readings(other.readings)} from {short(other.low)} to "
                f"{short(other.high)} {unit} would be usual if meant in {other.unit}; left out "
                "here. Give each row its unit in a column called unit."
            )
        yield from (about + told for told in _unlike(phase, unit))
        if profile is not None and profile.expected is not None:
            low, high = (float(p.to(unit)) for p in (profile.expected.low, profile.expected.high))
            if meant := _unit_of_all(phase.median, unit, low, high):
                yield (
                    f"{about}the median, {short(phase.median)} {unit}, is far from the profile's "
                    f"expected band, and inside it if the log is in {meant}."
                )


def _of_swing(pulsation: Pulsation, expected: float, step: float, unit: str) -> Iterator[str]:
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


def _notes(
    phases: tuple[PhaseBaseline, ...], band: Band | None, columns: int, profile: Profile | None
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
    elif profile is not None:
        yield from _on_cutoffs(band, profile)
    if columns > 1:
        yield f"the log covers {columns} columns; --column SERIAL takes one of them alone."


def _readings(number: int) -> str:
    return "1 reading" if number == 1 else f"{number} readings"


def _on_phase(phase: PhaseBaseline) -> Iterator[str]:
    steady = phase.trend is None or phase.trend.steady
    if phase.outlier_count > 3 * _BY_CHANCE * phase.readings and not _widened(phase):
        yield f"{_readings(phase.outlier_count)} far from the neighbours: keep the rows, note why."
    scatter = phase.scatter
    if scatter is not None and scatter.signal is not None and not scatter.grew:
        yield (
            f"the readings scattered more about {scatter.signal.time:%Y-%m-%d} (line "
            f"{scatter.signal.line}), and do no longer; by chance this happens once in about 500 "
            "readings."
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
    if high is not None and band.high >= high:
        yield (
            f"the band reaches the high cutoff, {high}: such a run stops by itself. Find out why "
            "before raising anything."
        )
    if low is not None and low.value > 0 and band.low <= low:
        yield f"the band reaches down to the low cutoff, {low}."
