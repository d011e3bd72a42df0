"""One phase of the run: what two readings of the log gather, and what follows from it."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from datetime import timedelta

from .drift import Drift, find_drift
from .log import Logged
from .mixed import OtherUnit, find_other_units
from .normal import FEWEST_READINGS, Choice, Direction, Interval, PhaseBaseline, Point, Step, Trend
from .summaries import Block, Blocks, Neighbourhood, Place, SerialCorrelation, Tally
from .tolerance import order_rank, sample_size, tolerance_factor

_POINTS = 100  # of the chart; longer logs are taken in blocks
_MEDIAN_DISTANCE = 0.6745  # median distance of a normal reading from the median, in deviations
_MEDIAN_RANGE = 0.9539  # median distance of two normal readings, likewise
_FAR = 3.8  # 3.5 standard deviations (e-Handbook 1.3.5.17) from a median of nine, itself uncertain
_LATEST = timedelta(days=3650)


@dataclass
class Phase:
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


def report(
    name: str,
    phase: Phase,
    choice: Choice,
    changes: list[tuple[int, str, str]],
    cutoffs: tuple[float | None, float | None],
) -> PhaseBaseline:
    """The baseline of one phase, after both readings.

    `changes` of the column are line, serial before, serial after; `cutoffs` low and high.
    """
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
            Point(b.line, b.start, b.readings, b.mean, drift.averages[i] if drift else None)
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
            Step(blocks[index].line, blocks[index].start, height, near[0] if near else None)
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
