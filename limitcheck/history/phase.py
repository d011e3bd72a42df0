"""One phase of the run: what two readings of the log gather, and what follows from it."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from datetime import datetime

from ..units import PRESSURE_UNITS, TRADE_UNITS
from .band import Interval, tolerance_interval
from .dispersion import Scatter, ScatterChart
from .drift import Trend, find_trend, leans
from .levels import FEWEST_CROSSINGS, Level, find_split, off_below
from .log import Choice, Logged
from .summaries import Blocks, Neighbourhood, Point, SerialCorrelation, Tally

_POINTS = 100  # of the chart; longer logs are taken in blocks
_MEDIAN_DISTANCE = 0.6745  # median distance of a normal reading from the median, in deviations
_MEDIAN_RANGE = 0.9539  # median distance of two normal readings, likewise
_FAR = 3.8  # 3.5 standard deviations (e-Handbook 1.3.5.17) from a median of nine, itself uncertain
_GAP = 1.6  # ratio of neighbouring values that parts readings of two units
_SLACK = 1.05
_MOST_TIMES = 50


@dataclass(frozen=True, slots=True)
class OtherUnit:
    """Readings `low` to `high` [unit of the log] that would be usual ones if meant in `unit`.

    With `of_the_others` it is the usual ones that would fall among these if meant in `unit`.
    """

    low: float
    high: float
    readings: int
    unit: str
    factor: float  # one `unit` in the unit of the log
    of_the_others: bool = False


@dataclass(frozen=True, slots=True)
class LeftOut:
    """Readings left out: how many, the line of the first, when, the lowest and the highest."""

    readings: int
    line: int
    times: tuple[datetime, ...]  # of the first ones
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class PhaseBaseline:
    """One phase of the run (or all readings, where the log has no phases), in the log's unit."""

    phase: str
    readings: int
    first: datetime
    last: datetime
    median: float
    mean: float
    deviation: float
    robust_deviation: float
    lowest: float
    highest: float
    digits: int | None  # values were rounded to this many digits before counting
    interval: Interval | None
    outliers: tuple[Point, ...]  # the first ones in file order
    outlier_count: int
    other_units: tuple[OtherUnit, ...]
    correlation: float
    points: tuple[Point, ...]
    trend: Trend | None
    leans: bool  # a slope over the whole log that may be chance, or a slow drift
    scatter: Scatter | None
    off: LeftOut | None
    levels: tuple[Level, Level] | None
    without_outliers: Interval | None  # the band, had the outliers not been read


@dataclass
class PhaseReadings:
    """What the two readings of the log gather for one phase."""

    tally: Tally = field(default_factory=Tally)
    ranges: Tally = field(default_factory=Tally)  # between neighbours
    kept: Tally = field(default_factory=Tally)
    other_units: tuple[OtherUnit, ...] = ()
    blocks: Blocks = field(default_factory=lambda: Blocks(1))
    correlation: SerialCorrelation = field(default_factory=lambda: SerialCorrelation(0.0))
    outliers: Neighbourhood = field(default_factory=lambda: Neighbourhood(math.inf))
    scatter: ScatterChart = field(default_factory=lambda: ScatterChart(0, 0.0))
    off: LeftOut | None = None
    split: float | None = None
    crossings: int = 0
    _off_below: float = 0.0
    _before: float | None = None
    _above: bool | None = None

    def count(self, pressure: float) -> None:
        """In the first reading."""
        self.tally.add(pressure)
        if self._before is not None:
            self.ranges.add(abs(pressure - self._before))
        self._before = pressure

    def prepare(self, unit: str) -> None:
        """Between the readings: what counts, and how far off is far."""
        self.other_units = find_other_units(self.tally, unit)
        self._off_below = off_below(self.tally.where(self._in_own_unit))
        self.kept = self.tally.where(self._counts)
        self.split = find_split(self.kept, self.kept.step())
        self.scatter = ScatterChart(len(self.kept), self.kept.step())
        self.blocks = Blocks(math.ceil(len(self.kept) / _POINTS))
        self.correlation = SerialCorrelation(self.kept.mean)
        usual = self.ranges.median / _MEDIAN_RANGE if self.ranges.counts else 0.0
        reach = _FAR * max(usual, self.kept.step() / math.sqrt(12))
        self.outliers = Neighbourhood(reach, self.kept.digits)

    def _in_own_unit(self, pressure: float) -> bool:
        return not any(other.low <= pressure <= other.high for other in self.other_units)

    def _counts(self, pressure: float) -> bool:
        return self._in_own_unit(pressure) and pressure >= self._off_below

    def follow(self, row: Logged) -> bool:
        """In the second reading; whether the row counts."""
        counts = self._counts(row.pressure)
        if counts:
            point = Point(row.line, row.time, row.pressure)
            self.blocks.add(point)
            self.outliers.add(point)
            self.correlation.add(row.pressure)
            self.scatter.add(point)
            if self.split is not None:
                above = row.pressure > self.split
                self.crossings += self._above is not None and above is not self._above
                self._above = above
        elif self._in_own_unit(row.pressure):
            off = self.off or LeftOut(0, row.line, (), row.pressure, row.pressure)
            low, high = min(off.low, row.pressure), max(off.high, row.pressure)
            times = (*off.times, row.time) if off.readings < _MOST_TIMES else off.times
            self.off = LeftOut(off.readings + 1, off.line, times, low, high)
        return counts

    def baseline(
        self,
        name: str,
        choice: Choice,
        changes: Sequence[tuple[int, str, str]],
        cutoffs: tuple[float | None, float | None],
    ) -> PhaseBaseline:
        """After both readings; `changes` of the column are line, serial before, serial after.

        `cutoffs` are low and high, in the unit of the log.
        """
        kept = self.kept
        self.outliers.finish()
        least = kept.step() / math.sqrt(12 * self.blocks.size)
        points, trend = find_trend(self.blocks.finish(), least, changes, cutoffs)
        lowest, highest = kept.at_rank(1, len(kept))
        usual = kept.less(self.outliers.tally)

        def interval(tally: Tally) -> Interval | None:
            return tolerance_interval(tally, choice.coverage, choice.confidence, choice.interval)

        return PhaseBaseline(
            phase=name,
            readings=len(kept),
            first=points[0].time,
            last=self.blocks.end,
            median=kept.median,
            mean=kept.mean,
            deviation=kept.deviation,
            robust_deviation=kept.absolute_deviation() / _MEDIAN_DISTANCE,
            lowest=lowest,
            highest=highest,
            digits=kept.digits,
            interval=interval(kept),
            outliers=tuple(self.outliers.listed),
            outlier_count=self.outliers.count,
            other_units=self.other_units,
            correlation=self.correlation.value,
            points=tuple(points),
            trend=trend,
            leans=leans(points, least),
            scatter=self.scatter.finish(),
            off=self.off,
            levels=self._levels(interval),
            without_outliers=interval(usual) if self.outliers.count else None,
        )

    def _levels(self, interval: Callable[[Tally], Interval | None]) -> tuple[Level, Level] | None:
        """Both heaps, where the log goes from one to the other and back."""
        split = self.split
        if split is None or self.crossings < FEWEST_CROSSINGS:
            return None
        parts = self.kept.where(lambda v: v <= split), self.kept.where(lambda v: v > split)
        low, high = (_level(part, interval(part)) for part in parts)
        return low, high


def _level(readings: Tally, interval: Interval | None) -> Level:
    low, high = readings.at_rank(1, len(readings))
    return Level(len(readings), low, high, interval)


def find_other_units(tally: Tally, unit: str) -> tuple[OtherUnit, ...]:
    """Groups of readings that fall among the others once read in another unit, lowest first.

    The largest group is taken to be in the log's own unit, the upper one of two as large; where
    nothing falls into it, it may be what is in another unit. bar and kgf/cm2 (2 % apart) can't be
    told from each other this way.
    """
    groups: list[list[float]] = []
    for value in sorted(v for v in tally.counts if v > 0):
        if groups and value <= groups[-1][-1] * _GAP:
            groups[-1].append(value)
        else:
            groups.append([value])
    sizes = [sum(tally.counts[v] for v in group) for group in groups]
    usual = max(range(len(groups)), key=lambda i: (sizes[i], i), default=-1)
    for of_the_others in (False, True):
        found = []
        for place, (group, size) in enumerate(zip(groups, sizes, strict=True)):
            inner, outer = (groups[usual], group) if of_the_others else (group, groups[usual])
            unit_meant = _meant_in(inner, outer, unit) if place != usual else None
            if unit_meant is not None:
                factor = factor_between(unit_meant, unit)
                other = OtherUnit(group[0], group[-1], size, unit_meant, factor, of_the_others)
                found.append(other)
        if found:
            return tuple(found)
    return ()


def _meant_in(readings: Sequence[float], usual: Sequence[float], unit: str) -> str | None:
    """The unit in which some readings [`unit`] would fall among the usual ones."""
    for other in TRADE_UNITS:
        factor = factor_between(other, unit)
        low, high = readings[0] * factor, readings[-1] * factor
        if other != unit and usual[0] / _SLACK <= low and high <= usual[-1] * _SLACK:
            return other
    return None


def factor_between(unit: str, into: str) -> float:
    """How many `into` one `unit` is [-]."""
    return float(PRESSURE_UNITS[unit].factor / PRESSURE_UNITS[into].factor)
