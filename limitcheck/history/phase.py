"""One phase of the run: what two readings of the log gather, and what follows from it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import datetime

from ..units import PRESSURE_UNITS, TRADE_UNITS
from .band import Interval, tolerance_interval
from .drift import Trend, find_trend
from .log import Choice, Logged
from .summaries import Blocks, Neighbourhood, Point, SerialCorrelation, Tally

_POINTS = 100  # of the chart; longer logs are taken in blocks
_MEDIAN_DISTANCE = 0.6745  # median distance of a normal reading from the median, in deviations
_MEDIAN_RANGE = 0.9539  # median distance of two normal readings, likewise
_FAR = 3.8  # 3.5 standard deviations (e-Handbook 1.3.5.17) from a median of nine, itself uncertain
_GAP = 1.6  # ratio of neighbouring values that parts readings of two units
_SLACK = 1.05


@dataclass(frozen=True, slots=True)
class OtherUnit:
    """Readings `low` to `high` [unit of the log] that would be usual ones if meant in `unit`."""

    low: float
    high: float
    readings: int
    unit: str
    factor: float  # one `unit` in the unit of the log


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
            point = Point(row.line, row.time, row.pressure)
            self.blocks.add(point)
            self.outliers.add(point)
            self.correlation.add(row.pressure)

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
            interval=tolerance_interval(kept, choice.coverage, choice.confidence, choice.interval),
            outliers=tuple(self.outliers.listed),
            outlier_count=self.outliers.count,
            other_units=self.other_units,
            correlation=self.correlation.value,
            points=tuple(points),
            trend=trend,
        )


def find_other_units(tally: Tally, unit: str) -> tuple[OtherUnit, ...]:
    """Groups of readings that fall among the others once read in another unit, lowest first.

    The largest group is taken to be in the log's own unit. bar and kgf/cm2 (2 % apart) can't be
    told from each other this way.
    """
    groups: list[list[float]] = []
    for value in sorted(v for v in tally.counts if v > 0):
        if groups and value <= groups[-1][-1] * _GAP:
            groups[-1].append(value)
        else:
            groups.append([value])
    sizes = [sum(tally.counts[v] for v in group) for group in groups]
    usual = groups[sizes.index(max(sizes))] if groups else []
    found = []
    for group, size in zip(groups, sizes, strict=True):
        for other in TRADE_UNITS if group is not usual else ():
            factor = factor_between(other, unit)
            low, high = group[0] * factor, group[-1] * factor
            if other != unit and usual[0] / _SLACK <= low and high <= usual[-1] * _SLACK:
                found.append(OtherUnit(group[0], group[-1], size, other, factor))
                break
    return tuple(found)


def factor_between(unit: str, into: str) -> float:
    """How many `into` one `unit` is [-]."""
    return float(PRESSURE_UNITS[unit].factor / PRESSURE_UNITS[into].factor)
