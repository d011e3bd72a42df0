"""The normal pressure of a system, from a log of past pressures.

The log is read twice: once to count its values, once to follow them in time. Nothing grows with
the number of rows.
"""

from __future__ import annotations

import hashlib
import math
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from fractions import Fraction
from typing import BinaryIO, Literal

from ..profile.model import Profile
from ..units import plain, round_down, round_up
from .baseline_notes import FEWEST_READINGS, doubts_on, notes_on
from .drift import Drift, find_drift
from .history import (
    MOST_LISTED,
    Block,
    Blocks,
    Neighbourhood,
    Place,
    SerialCorrelation,
    Tally,
)
from .layout import Options
from .lines import LogError, quoted
from .log import Log, Logged
from .mixed import OtherUnit, find_other_units
from .normal import (
    Band,
    Baseline,
    Direction,
    Interval,
    PhaseBaseline,
    Point,
    Step,
    Trend,
)
from .tolerance import order_rank, sample_size, tolerance_factor

Kind = Literal["auto", "normal", "distribution-free"]
_POINTS = 100  # of the chart; longer logs are taken in blocks
_MOST_GROUPS = 50
_MEDIAN_DISTANCE = 0.6745  # median distance of a normal reading from the median, likewise
_MEDIAN_RANGE = 0.9539  # median distance of two normal readings, in standard deviations
_FAR = 3.8  # 3.5 standard deviations (e-Handbook 1.3.5.17) from a median of nine, itself uncertain
_LATEST = timedelta(days=3650)


@dataclass(frozen=True, slots=True)
class Choice:
    """Which rows of the log count, and how the band is formed."""

    method: str | None = None
    column: str | None = None
    since: datetime | None = None
    until: datetime | None = None
    coverage: float = 0.95
    confidence: float = 0.95
    interval: Kind = "auto"


@dataclass
class _Phase:
    """What the two readings of the log gather for one phase."""

    tally: Tally = field(default_factory=Tally)
    ranges: Tally = field(default_factory=Tally)  # between neighbours
    kept: Tally = field(default_factory=Tally)
    other_units: tuple[OtherUnit, ...] = ()
    blocks: Blocks = field(default_factory=lambda: Blocks(1))
    correlation: SerialCorrelation = field(default_factory=lambda: SerialCorrelation(0.0))
    outliers: Neighbourhood = field(default_factory=lambda: Neighbourhood(math.inf))
    _before: float | None = None

    def count(self, pressure: float) -> None:
        """In the first reading."""
        self.tally.add(pressure)
        if self._before is not None:
            self.ranges.add(abs(pressure - self._before))
        self._before = pressure

    def prepare(self, unit: str) -> None:
        """Between the readings: what counts, and how far off is far."""
        self.other_units = find_other_units(self.tally, unit)
        self.kept = self.tally.where(self._counts)
        self.blocks = Blocks(math.ceil(len(self.kept) / _POINTS))
        self.correlation = SerialCorrelation(self.kept.mean)
        usual = self.ranges.median / _MEDIAN_RANGE if self.ranges.counts else 0.0
        self.outliers = Neighbourhood(_FAR * max(usual, self.kept.step() / math.sqrt(12)))

    def _counts(self, pressure: float) -> bool:
        return not any(other.low <= pressure <= other.high for other in self.other_units)

    def follow(self, row: Logged) -> None:
        """In the second reading."""
        if self._counts(row.pressure):
            self.blocks.add(row.line, row.time, row.pressure)
            self.correlation.add(row.pressure)
            self.outliers.add(row.line, row.time, row.pressure)


def find_baseline(
    stream: BinaryIO,
    file: str,
    options: Options,
    choice: Choice,
    profile: Profile | None = None,
) -> Baseline:
    """Read a log (a seekable binary stream, called `file` in messages) into a `Baseline`.

    Pressures come in the profile's unit, else in the log's own. Raises LogError for a log that
    cannot be used, ValueError for a coverage or confidence outside 0 to 1.
    """
    log = Log(stream, file, profile.instrument.pressure_unit if profile else None, options)
    method, phases = _count(log, choice, profile)
    for phase in phases.values():
        phase.prepare(log.unit)
    changes: list[tuple[int, str, str]] = []
    columns: dict[str, None] = {}
    serial = ""
    for row in _chosen(log, choice, method):
        phases[row.phase].follow(row)
        if row.column and row.column != serial:
            if serial and len(changes) < MOST_LISTED:
                changes.append((row.line, serial, row.column))
            serial = row.column
            if len(columns) < MOST_LISTED:
                columns[serial] = None
    cutoffs = _cutoffs(profile, log.unit)
    reports = tuple(
        _report(name, phase, choice, changes, cutoffs) for name, phase in phases.items()
    )
    expected = _expected(reports, log.unit, profile)
    doubts = doubts_on(reports, unit=log.unit, method=method, profile=profile)
    notes = notes_on(reports, expected, columns=len(columns), profile=profile)
    return Baseline(
        file=file,
        sha256=_sha256(stream),
        unit=log.unit,
        layout=tuple(log.layout.describe()),
        method=method,
        coverage=choice.coverage,
        confidence=choice.confidence,
        blank_rows=log.blank,
        phases=reports,
        columns=tuple(columns),
        expected=expected,
        high_cutoff=cutoffs[1],
        low_cutoff=cutoffs[0],
        doubts=tuple(doubts),
        notes=tuple(notes),
    )


def _sha256(stream: BinaryIO) -> str:
    digest = hashlib.sha256()
    stream.seek(0)
    while piece := stream.read(1 << 16):
        digest.update(piece)
    return digest.hexdigest()


def _cutoffs(profile: Profile | None, unit: str) -> tuple[float | None, float | None]:
    """Low and high cutoff in `unit`; None where absent or zero (off)."""
    if profile is None:
        return None, None
    low, high = (
        float(cutoff.to(unit)) if cutoff is not None and cutoff.value > 0 else None
        for cutoff in (profile.cutoffs.low, profile.cutoffs.high)
    )
    return low, high


def _in_time(row: Logged, choice: Choice) -> bool:
    for bound, early in ((choice.since, True), (choice.until, False)):
        if bound is not None:
            at = bound if row.time.tzinfo is None else bound.replace(tzinfo=row.time.tzinfo)
            if (row.time < at) if early else (row.time > at):
                return False
    return True


def _chosen(log: Log, choice: Choice, method: str | None) -> Iterator[Logged]:
    for row in log.rows():
        if method is not None and row.method != method:
            continue
        if choice.column is not None and row.column != choice.column:
            continue
        if _in_time(row, choice):
            yield row


def _count(
    log: Log, choice: Choice, profile: Profile | None
) -> tuple[str | None, dict[str, _Phase]]:
    """First reading of the log: the method it is about, and a tally for each phase."""
    groups: dict[tuple[str, str], _Phase] = {}
    for row in _chosen(log, choice, None):
        group = groups.get((row.method, row.phase))
        if group is None:
            if len(groups) == _MOST_GROUPS:
                raise LogError(
                    log.file, row.line, 1,
                    f"more than {_MOST_GROUPS} different methods and phases",
                    "is the right column taken for method and phase? name it with --use",
                )  # fmt: skip
            group = groups[row.method, row.phase] = _Phase()
        group.count(row.pressure)
    if not groups:
        raise LogError(
            log.file, log.layout.header_line, 1, "no reading is left to use",
            "every row is without a pressure, or outside the column or the dates chosen",
        )  # fmt: skip
    method = _method({name for name, _ in groups}, log, choice, profile)
    return method, {ph: g for (name, ph), g in groups.items() if method is None or name == method}


def _method(names: set[str], log: Log, choice: Choice, profile: Profile | None) -> str | None:
    if "method" not in log.layout.columns:
        return None
    wanted = choice.method or (profile.method.id if profile else None)
    for name in names:
        if wanted is not None and name.casefold() == wanted.casefold():
            return name
    if len(names) == 1 and choice.method is None:
        return names.pop()
    listed = ", ".join(quoted(name) for name in sorted(names))
    raise LogError(
        log.file, log.layout.header_line, 1,
        f"no reading is of method {quoted(wanted)}" if wanted else f"{len(names)} methods",
        f"choose one with --method; the log has {listed}",
    )  # fmt: skip


def _interval(tally: Tally, choice: Choice) -> Interval | None:
    n = len(tally)
    if n < FEWEST_READINGS:
        return None
    coverage, confidence = choice.coverage, choice.confidence
    needed = sample_size(coverage, confidence)
    free = choice.interval == "distribution-free" or (choice.interval == "auto" and n >= needed)
    if free and n < needed:
        return None
    if free:
        rank = order_rank(n, coverage, confidence)
        low, high = tally.at_rank(rank, n + 1 - rank)
        ends = "smallest to largest" if rank == 1 else f"{rank} readings from each end"
        why = f"distribution-free ({ends}): {n} readings are at least the {needed} it needs"
        return Interval(low, high, "distribution-free", None, rank, why)
    k = tolerance_factor(n, coverage, confidence)
    mean, reach = tally.mean, k * tally.deviation
    why = f"normal, mean +- {k:.3f} s: " + (
        f"{n} readings are fewer than the {needed} that need no assumption about their shape"
        if n < needed
        else "asked for; it assumes a normal distribution"
    )
    return Interval(max(0.0, mean - reach), mean + reach, "normal", k, None, why)


def _report(
    name: str,
    phase: _Phase,
    choice: Choice,
    changes: list[tuple[int, str, str]],
    cutoffs: tuple[float | None, float | None],
) -> PhaseBaseline:
    kept = phase.kept
    phase.outliers.finish()
    blocks = list(phase.blocks)
    least = kept.step() / math.sqrt(12 * phase.blocks.size)
    start = blocks[0].start
    times = [(block.start - start) / timedelta(days=1) for block in blocks]
    drift = find_drift(times, [block.mean for block in blocks], least)
    lowest, highest = kept.at_rank(1, len(kept))
    return PhaseBaseline(
        phase=name,
        readings=len(kept),
        first=start,
        last=blocks[-1].end,
        median=kept.median,
        mean=kept.mean,
        deviation=kept.deviation,
        robust_deviation=kept.absolute_deviation() / _MEDIAN_DISTANCE,
        lowest=lowest,
        highest=highest,
        digits=kept.digits,
        interval=_interval(kept, choice),
        outliers=tuple(phase.outliers.listed),
        outlier_count=phase.outliers.count,
        other_units=phase.other_units,
        correlation=phase.correlation.value,
        points=tuple(
            Point(
                b.line,
                b.start,
                b.readings,
                b.mean,
                drift.averages[i] if drift else None,
            )
            for i, b in enumerate(blocks)
        ),
        trend=_trend(drift, blocks, changes, cutoffs) if drift else None,
    )


def _trend(
    drift: Drift,
    blocks: list[Block],
    changes: list[tuple[int, str, str]],
    cutoffs: tuple[float | None, float | None],
) -> Trend:
    def place(index: int | None) -> Place | None:
        if index is None:
            return None
        return Place(blocks[index].line, blocks[index].start, blocks[index].mean)

    steps = []
    for index, height in drift.steps:
        lines = [b.line for b in blocks[max(0, index - 1) : index + 2]]
        near = [f"{a} to {b}" for line, a, b in changes if lines[0] < line <= lines[-1]]
        steps.append(
            Step(
                blocks[index].line,
                blocks[index].start,
                height,
                near[0] if near else None,
            )
        )
    direction: Direction = "unknown"
    if drift.present is not None:
        direction = "rising" if drift.rising else "falling" if drift.falling else "level"
    target = {"rising": cutoffs[1], "falling": cutoffs[0]}.get(direction)
    reaches, at_cutoff = None, False
    if drift.present is not None and target is not None:
        days = (target - drift.present.end) / drift.present.slope
        at_cutoff = days <= 0
        if 0 < days <= _LATEST / timedelta(days=1):
            reaches = blocks[-1].start + timedelta(days=days)
    return Trend(
        centre=drift.centre,
        low_limit=drift.centre - drift.limit,
        high_limit=drift.centre + drift.limit,
        first_out=place(drift.first_out),
        out_since=place(drift.out_since),
        steps=tuple(steps),
        slope=drift.present.slope if drift.present else None,
        direction=direction,
        reaches_cutoff=reaches,
        at_cutoff=at_cutoff,
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
    return Band(
        plain(round_down(_decimal(low), step)),
        plain(round_up(_decimal(high), step)),
        unit,
    )


def _decimal(value: float) -> Fraction:
    """The number as a log would show it, so that 28.6 is not a little less."""
    return Fraction(f"{value:.12g}")
