"""Drift and steps in a series of pressures.

The chart is the exponentially weighted moving average (EWMA): each point is 0.2 of the newest
value and 0.8 of the point before. Its limits are 2.962 standard errors wide, which gives a false
signal once in about 500 points of a series that stays the same, and shows a shift of one
standard deviation after about 10.

References
----------
NIST/SEMATECH e-Handbook, 6.3.2.4 (EWMA charts) and 6.3.2.2 (standard deviation from moving
ranges, mean range / 1.128). J. M. Lucas and M. S. Saccucci, Technometrics 32 (1990) 1, for the
pair 0.2 and 2.962 (from memory; simulated in tests/history/test_drift.py).
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from statistics import fmean, median
from typing import Literal

SMOOTHING = 0.2
WIDTH = 2.962
FALSE_SIGNAL_EVERY = 500
FEWEST_POINTS = 12
_SPIKE = 4.0  # standard deviations from its neighbours
_STEP = 4.5  # standard errors
_CLEARLY = 9.0  # gain in the sum of squares, in variances
_STEP_SPAN = 8  # points looked at on each side of a step
_SURE_SLOPE = 3.5  # standard errors


def ewma(values: Iterable[float], centre: float) -> Iterator[float]:
    """The moving average after each value, started at `centre`; in the unit of the values."""
    average = centre
    for value in values:
        average += SMOOTHING * (value - average)
        yield average


def half_width(deviation: float, reference: float = math.inf) -> float:
    """Distance of the limits from the centre, in the unit of `deviation`.

    `reference` [-] is how many readings the centre was found from (as their median, whose variance
    is pi/2 that of the mean); an uncertain centre widens the limits.
    """
    return WIDTH * deviation * math.sqrt(SMOOTHING / (2 - SMOOTHING) + math.pi / 2 / reference)


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
    """A straight line fitted by least squares."""

    slope: float
    error: float  # standard error of the slope
    end: float  # value of the line at the last point


def fit_line(times: Sequence[float], values: Sequence[float], least: float) -> FittedLine | None:
    """Least squares through three points or more; None where time stands still.

    `least` is the smallest standard deviation of a value that is believed.
    """
    n = len(times)
    if n < 3:
        return None
    middle, mean = fmean(times), fmean(values)
    spread = math.fsum((t - middle) ** 2 for t in times)
    if spread == 0:
        return None
    slope = math.fsum((t - middle) * v for t, v in zip(times, values, strict=True)) / spread
    residual = math.fsum(
        (v - mean - slope * (t - middle)) ** 2 for t, v in zip(times, values, strict=True)
    )
    deviation = max(math.sqrt(residual / (n - 2)), least)
    return FittedLine(slope, deviation / math.sqrt(spread), mean + slope * (times[-1] - middle))


def find_steps(values: Sequence[float], deviation: float) -> list[tuple[int, float]]:
    """Index and height (unit of the values) of each sudden change that stays.

    At each point the 8 points before are compared with the 8 from it on. A step is a difference of
    means above 4.5 standard errors which fits these points clearly better than a straight line
    does, so that a steady rise is not taken for one; the best within 8 points is kept.
    """
    if deviation <= 0:
        return []
    jumps = []
    for k in range(3, len(values) - 2):
        start, end = max(0, k - _STEP_SPAN), min(len(values), k + _STEP_SPAN)
        before, after = values[start:k], values[k:end]
        height = fmean(after) - fmean(before)
        error = deviation * math.sqrt(1 / len(before) + 1 / len(after))
        gain = _line_residual(values[start:end]) - _residual(before) - _residual(after)
        if abs(height) > _STEP * error and gain > _CLEARLY * deviation**2:
            jumps.append((abs(height) / error, k, height))
    steps: list[tuple[int, float]] = []
    while jumps:
        _, index, height = max(jumps)
        steps.append((index, height))
        jumps = [j for j in jumps if abs(j[1] - index) >= _STEP_SPAN]
    return sorted(steps)


def _residual(values: Sequence[float]) -> float:
    """Sum of squares around the mean."""
    mean = fmean(values)
    return math.fsum((v - mean) ** 2 for v in values)


def _line_residual(values: Sequence[float]) -> float:
    """Sum of squares around the best straight line over the positions."""
    n = len(values)
    along = math.fsum((i - (n - 1) / 2) * v for i, v in enumerate(values))
    return _residual(values) - along**2 * 12 / (n**3 - n)


def _steps_rather_than_slopes(values: Sequence[float], deviation: float) -> bool:
    """Whether one jump somewhere fits clearly better than a straight line."""
    best = min(_residual(values[:k]) + _residual(values[k:]) for k in range(1, len(values)))
    return _line_residual(values) - best > _CLEARLY / 2 * deviation**2


Direction = Literal["rising", "falling", "level", "unknown"]


@dataclass(frozen=True, slots=True)
class Drift:
    """What the chart says, by index into the points; the unit is that of the values."""

    centre: float
    limit: float  # distance from the centre
    averages: tuple[float, ...]
    first_out: int | None
    out_since: int | None  # start of the stretch outside that lasts to the end
    steps: tuple[tuple[int, float], ...]
    present: FittedLine | None  # in the unit of the values a unit of the times

    @property
    def direction(self) -> Direction:
        """Where the pressure goes now, beyond doubt."""
        if self.present is None:
            return "unknown"
        surely = abs(self.present.slope) > _SURE_SLOPE * self.present.error
        return "level" if not surely else "rising" if self.present.slope > 0 else "falling"


def find_drift(times: Sequence[float], values: Sequence[float], least: float) -> Drift | None:
    """Chart a series; None under 12 points. The first quarter (at most 30) sets the centre.

    `least` is the smallest standard deviation believed (a display has a step).
    """
    n = len(values)
    if n < FEWEST_POINTS:
        return None
    deviation = short_term_deviation(values, least)
    smooth = without_spikes(values, deviation)
    reference = min(30, max(6, n // 4))
    centre = median(smooth[:reference])
    limit = half_width(deviation, reference)
    averages = tuple(ewma(smooth, centre))
    out = [abs(a - centre) > limit for a in averages]
    inside = [i for i, outside in enumerate(out) if not outside]
    back = inside[-1] + 1 if inside else 0
    steps = find_steps(smooth, deviation)
    start = max([n // 2, *(index for index, _ in steps)])
    present = None
    if n - start >= 8 and not _steps_rather_than_slopes(smooth[start:], deviation):
        present = fit_line(times[start:], smooth[start:], least)
    return Drift(
        centre=centre,
        limit=limit,
        averages=averages,
        first_out=out.index(True) if True in out else None,
        out_since=back if back < n else None,
        steps=tuple(steps),
        present=present,
    )
