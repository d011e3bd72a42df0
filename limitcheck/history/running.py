"""The charts of one phase, going on reading by reading from where they stood."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from . import dispersion
from .agreed import BOTH, Agreement, Chart
from .drift import SMOOTHING
from .summaries import MOST_LISTED, Point

_MOST_POINTS = 400  # of the picture
_SHARE, _SELDOM = 0.05, 0.002  # of normal readings outside the band; of times by chance


@dataclass(frozen=True, slots=True)
class JudgedPhase:
    """One phase of the new rows: how many, those outside the band, the charts' first signals."""

    phase: str
    readings: int
    low: float
    high: float
    centre: float
    limit: float
    average: float
    outside: tuple[Point, ...]
    outside_count: int
    far_count: int
    level_out: Point | None
    scatter_out: Point | None
    points: tuple[Point, ...]

    @property
    def too_many_outside(self) -> bool:
        """Whether more are outside the band than chance puts there once in about 500 times."""
        n, k = self.readings, self.outside_count
        fewer = (
            math.exp(
                math.lgamma(n + 1)
                - math.lgamma(i + 1)
                - math.lgamma(n - i + 1)
                + i * math.log(_SHARE)
                + (n - i) * math.log1p(-_SHARE)
            )
            for i in range(k)
        )
        return k > 0 and 1 - math.fsum(fewer) < _SELDOM

    @property
    def moved(self) -> bool:
        """Whether the readings are not as agreed."""
        charts = self.level_out is not None or self.scatter_out is not None
        return charts or self.far_count > 0 or self.too_many_outside


class RunningCharts:
    """The charts of one phase, going on from where they stood."""

    def __init__(self, chart: Chart, agreed: Agreement) -> None:
        self._agreed = next(phase for phase in agreed.phases if phase.phase == chart.phase)
        self._average, self._squares = chart.average, chart.squares
        self._before, self._judged = chart.before, chart.judged
        self._limit = self._agreed.limit
        reference = dispersion.reference_of(self._agreed.readings)
        self._most_squares = BOTH * dispersion.limit(reference) * self._agreed.scatter**2
        self._count = self._outside_count = self._far_count = 0
        self._outside: list[Point] = []
        self._points: list[Point] = []
        self._level_out: Point | None = None
        self._scatter_out: Point | None = None

    def add(self, point: Point) -> None:
        """Take in the next reading."""
        agreed, value = self._agreed, point.pressure
        self._count += 1
        beyond = max(agreed.low - value, value - agreed.high)
        if beyond > 0:
            self._outside_count += 1
            self._far_count += beyond > (agreed.high - agreed.low) / 2
            if len(self._outside) < MOST_LISTED:
                self._outside.append(point)
        # A wild reading is told as outside the band; the chart moves by four deviations at most.
        reach = 4 * agreed.deviation
        counted = min(max(value, agreed.centre - reach), agreed.centre + reach)
        self._average += SMOOTHING * (counted - self._average)
        if self._judged + self._count > 1:
            square = min((value - self._before) ** 2 / 2, dispersion.MOST * agreed.scatter**2)
            self._squares += dispersion.SMOOTHING * (square - self._squares)
        self._before = value
        if self._level_out is None and abs(self._average - agreed.centre) > self._limit:
            self._level_out = point
        if self._scatter_out is None and self._squares > self._most_squares:
            self._scatter_out = point
        self._points.append(replace(point, average=self._average))
        if len(self._points) > _MOST_POINTS:
            del self._points[: _MOST_POINTS // 2]

    def state(self) -> Chart:
        """Where the charts stand now."""
        return Chart(
            phase=self._agreed.phase,
            average=self._average,
            squares=self._squares,
            before=self._before,
            judged=self._judged + self._count,
        )

    def finish(self) -> JudgedPhase:
        """What the new readings say."""
        agreed = self._agreed
        return JudgedPhase(
            phase=agreed.phase,
            readings=self._count,
            low=agreed.low,
            high=agreed.high,
            centre=agreed.centre,
            limit=self._limit,
            average=self._average,
            outside=tuple(self._outside),
            outside_count=self._outside_count,
            far_count=self._far_count,
            level_out=self._level_out,
            scatter_out=self._scatter_out,
            points=tuple(self._points),
        )
