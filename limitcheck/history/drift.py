"""Drift and steps in a series of pressures.

The chart is the exponentially weighted moving average (EWMA): each point is 0.2 of the newest
value and 0.8 of the point before. Its limits are 2.962 standard errors wide, which gives a false
signal once in about 500 points of a series that stays the same, and shows a shift of one
standard deviation after about 10. Where neighbours are alike, the limits are as much wider as the
moving average then varies (`autocorrelation`), so that a signal stays as rare.

References
----------
NIST/SEMATECH e-Handbook, 6.3.2.4 (EWMA charts) and 6.3.2.2 (standard deviation from moving
ranges, mean range / 1.128). S. Vasilopoulos and A. P. Stamboulis, J. Quality Technol. 10 (1978)
20, for limits widened by the memory of the series (from memory). J. M. Lucas and M. S. Saccucci,
Technometrics 32 (1990) 1, for the pair 0.2 and 2.962 (from memory; simulated in
tests/history/test_drift.py).
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from itertools import pairwise, takewhile
from statistics import fmean, median
from typing import Literal

from .autocorrelation import Memory, goes, remember
from .summaries import Point

SMOOTHING = 0.2
WIDTH = 2.962
FALSE_SIGNAL_EVERY = 500
FEWEST_POINTS = 12
_SPIKE = 4.0  # standard deviations from its neighbours
_CLEARLY = 2.0  # gain in the sum of squares, in variances: a step rather than a line
_RATHER = 4.0  # likewise, before a slope is named
_STEP_SPAN = 12  # points looked at on each side of a step
_LEANS = 5.5  # gain in twice the logarithm of the likelihood
_LATEST = 3650  # days ahead that are still named


def ewma(values: Iterable[float], centre: float) -> Iterator[float]:
    """The moving average after each value, started at `centre`; in the unit of the values."""
    average = centre
    for value in values:
        average += SMOOTHING * (value - average)
        yield average


def half_width(memory: Memory, reference: float = math.inf) -> float:
    """Distance of the limits from the centre, in the unit of the deviation of `memory`.

    `reference` [-] is how many readings the centre was found from (as their median, whose variance
    is pi/2 that of the mean); an uncertain centre widens the limits.
    """
    chart = SMOOTHING / (2 - SMOOTHING) * memory.of_average(SMOOTHING)
    return WIDTH * memory.deviation * math.sqrt(chart + math.pi / 2 / reference * memory.of_mean)


def short_term_deviation(values: Sequence[float], least: float = 0.0) -> float:
    """Standard deviation between neighbours, from moving ranges, in the unit of the values.

    Ranges above 3.267 times their mean (the usual limit of a range chart of pairs) are left out
    and the mean taken again, so that steps and spikes do not count. Never below `least`, the
    deviation of rounding to a display step; ranges of one or two steps always count.
    """
    ranges = [abs(b - a) for a, b in pairwise(values)]
    while ranges:
        mean = fmean(ranges)
        kept = [r for r in ranges if r <= max(3.267 * mean, 7 * least)]
        if len(kept) == len(ranges):
            return max(mean / 1.128, least)
        ranges = kept
    return least


def without_spikes(values: Sequence[float], deviation: float) -> list[float]:
    """Each value, or the median of its five neighbours where it stands far from them."""
    smooth = []
    for i, value in enumerate(values):
        middle = median(values[max(0, i - 2) : i + 3])
        smooth.append(middle if abs(value - middle) > _SPIKE * deviation else value)
    return smooth


@dataclass(frozen=True, slots=True)
class FittedLine:
    """A straight line fitted by least squares; `sure`: its slope is beyond doubt."""

    slope: float
    end: float  # value of the line at the last point
    sure: bool

    @property
    def direction(self) -> Literal["rising", "falling", "level"]:
        """Where it goes beyond doubt."""
        if not self.sure:
            return "level"
        return "rising" if self.slope > 0 else "falling"


def fit_line(times: Sequence[float], values: Sequence[float], least: float) -> FittedLine | None:
    """Least squares through four points or more; None where time stands still.

    `least` is the smallest standard deviation of a value that is believed.
    """
    if len(times) < 4:
        return None
    middle, mean = fmean(times), fmean(values)
    spread = math.fsum((t - middle) ** 2 for t in times)
    if spread == 0:
        return None
    slope = math.fsum((t - middle) * v for t, v in zip(times, values, strict=True)) / spread
    return FittedLine(slope, mean + slope * (times[-1] - middle), goes(times, values, least))


def find_steps(values: Sequence[float], memory: Memory) -> list[tuple[int, float]]:
    """Index and height (unit of the values) of each sudden change that stays.

    Of the steps that `memory` found, those which fit the 12 points on each side clearly better than
    a straight line does, so that the bend of a drift is not taken for one.
    """
    steps = []
    places = (0, *memory.steps, len(values))
    for earlier, k, later in zip(places, places[1:], places[2:], strict=False):
        before, after = (
            values[max(earlier, k - _STEP_SPAN) : k],
            values[k : min(later, k + _STEP_SPAN)],
        )
        gain = _line_residual([*before, *after]) - _residual(before) - _residual(after)
        if gain > _CLEARLY * memory.deviation**2 * (1 - memory.phi**2):
            steps.append((k, fmean(after) - fmean(before)))
    return steps


def _residual(values: Sequence[float]) -> float:
    """Sum of squares around the mean."""
    mean = fmean(values)
    return math.fsum((v - mean) ** 2 for v in values)


def _line_residual(values: Sequence[float]) -> float:
    """Sum of squares around the best straight line over the positions."""
    n = len(values)
    along = math.fsum((i - (n - 1) / 2) * v for i, v in enumerate(values))
    return _residual(values) - along**2 * 12 / (n**3 - n)


def _steps_rather_than_slopes(values: Sequence[float], memory: Memory) -> bool:
    """Whether one jump somewhere fits clearly better than a straight line."""
    best = min(_residual(values[:k]) + _residual(values[k:]) for k in range(1, len(values)))
    return _line_residual(values) - best > _RATHER * memory.deviation**2


@dataclass(frozen=True, slots=True)
class Step:
    """A sudden change that stayed; `column` tells of a column changed at the same time."""

    line: int
    time: datetime
    height: float
    column: str | None


@dataclass(frozen=True, slots=True)
class Trend:
    """What the chart says. Pressures in the unit of the points, slope a day."""

    centre: float
    low_limit: float
    high_limit: float
    first_out: Point | None
    out_since: Point | None  # start of the stretch outside that lasts to the end
    steps: tuple[Step, ...]
    slope: float | None
    direction: Literal["rising", "falling", "level", "unknown"]  # rising, falling: beyond doubt
    reaches_cutoff: datetime | None = None  # the high cutoff when rising, the low when falling
    at_cutoff: bool = False  # the same cutoff, reached already

    @property
    def steady(self) -> bool:
        """No step, no present slope, and inside the limits at the end."""
        return not self.steps and self.out_since is None and self.direction in ("level", "unknown")


def find_trend(
    points: Sequence[Point],
    least: float,
    changes: Sequence[tuple[int, str, str]] = (),
    cutoffs: tuple[float | None, float | None] = (None, None),
) -> tuple[Sequence[Point], Trend | None]:
    """The points with their moving average, and the trend; None under 12 points.

    The first quarter (at most 30) sets the centre. `least` is the smallest standard deviation
    believed (a display has a step). `changes` of the column are line, serial before, serial
    after; `cutoffs` low and high.
    """
    values, n = [point.pressure for point in points], len(points)
    if n < FEWEST_POINTS:
        return points, None
    smooth = without_spikes(values, short_term_deviation(values, least))
    memory = remember(smooth, least)
    reference = min(30, max(6, n // 4))
    centre = median(smooth[:reference])
    limit = half_width(memory, reference)
    charted = [
        replace(point, average=average)
        for point, average in zip(points, ewma(smooth, centre), strict=True)
    ]

    def outside(point: Point) -> bool:
        return point.average is not None and abs(point.average - centre) > limit

    lasting = list(takewhile(outside, reversed(charted)))
    steps = find_steps(smooth, memory)
    start = max([n // 2, *(index for index, _ in steps)])
    line = None
    if n - start >= 8 and not _steps_rather_than_slopes(smooth[start:], memory):
        times = [(point.time - points[0].time) / timedelta(days=1) for point in points]
        line = fit_line(times[start:], smooth[start:], least)
    trend = Trend(
        centre=centre,
        low_limit=centre - limit,
        high_limit=centre + limit,
        first_out=next(filter(outside, charted), None),
        out_since=lasting[-1] if lasting else None,
        steps=tuple(_step(points, index, height, changes) for index, height in steps),
        slope=line.slope if line is not None else None,
        direction=line.direction if line is not None else "unknown",
    )
    return charted, _towards(trend, line, points[-1].time, cutoffs)


def leans(points: Sequence[Point], least: float) -> bool:
    """Whether a slope over all points is likelier than none, though perhaps by chance.

    Enough to ask before a band is written, not enough to call it a drift: of steady series about
    two in a hundred lean, up to one in ten where they are short and much alike. `least` as in
    `find_trend`.
    """
    times = [(point.time - points[0].time) / timedelta(days=1) for point in points]
    if len(points) < FEWEST_POINTS or times[-1] == 0:
        return False
    values = [point.pressure for point in points]
    smooth = without_spikes(values, short_term_deviation(values, least))
    return goes(times, smooth, least, gain=_LEANS)


def _step(
    points: Sequence[Point], index: int, height: float, changes: Sequence[tuple[int, str, str]]
) -> Step:
    first, *_, last = points[max(0, index - 1) : index + 2]
    near = [f"{a} to {b}" for line, a, b in changes if first.line < line <= last.line]
    return Step(points[index].line, points[index].time, height, near[0] if near else None)


def _towards(
    trend: Trend, line: FittedLine | None, now: datetime, cutoffs: tuple[float | None, float | None]
) -> Trend:
    """The trend with the day at which it reaches a cutoff."""
    target = {"rising": cutoffs[1], "falling": cutoffs[0]}.get(trend.direction)
    if line is None or target is None:
        return trend
    days = (target - line.end) / line.slope
    reaches = now + timedelta(days=days) if 0 < days <= _LATEST else None
    return replace(trend, reaches_cutoff=reaches, at_cutoff=days <= 0)
