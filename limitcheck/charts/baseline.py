"""The chart of a baseline as SVG: drawn in one colour, told apart by dashes and words."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime
from math import ceil, floor

from ..documents.blocks import Drawing
from ..history.normal import Baseline, PhaseBaseline
from ..units.printing import short
from .scale import round_step

WIDTH, HEIGHT = 440, 260
_LEFT, _RIGHT, _TOP, _BOTTOM = 46, 104, 12, 26


def drawing(phase: PhaseBaseline, baseline: Baseline) -> Drawing:
    """Readings over time with moving average, its limits, the band and the cutoffs."""
    chart = _Chart(phase, baseline)
    return Drawing("\n".join(chart.parts()), chart.caption(), chart.description())


class _Chart:
    def __init__(self, phase: PhaseBaseline, baseline: Baseline) -> None:
        self.phase, self.baseline = phase, baseline
        self.lines = list(self._lines())
        marks = [point.pressure for point in phase.points]
        marks += [value for _, value, _ in self.lines]
        low, high = min(marks), max(marks)
        self.step = round_step((high - low) or 1.0)
        self.low = floor(low / self.step) * self.step
        self.high = max(ceil(high / self.step), self.low / self.step + 1) * self.step
        self.start, self.end = phase.points[0].time, phase.points[-1].time

    def _lines(self) -> Iterator[tuple[str, float, str]]:
        """Label, pressure and dashes of each level line."""
        if self.baseline.high_cutoff is not None:
            yield "high cutoff", self.baseline.high_cutoff, ""
        if self.phase.interval is not None:
            yield "band", self.phase.interval.high, "9 3 2 3"
            yield "band", self.phase.interval.low, "9 3 2 3"
        if self.phase.trend is not None:
            yield "limit", self.phase.trend.high_limit, "2 3"
            yield "limit", self.phase.trend.low_limit, "2 3"
        if self.baseline.low_cutoff is not None:
            yield "low cutoff", self.baseline.low_cutoff, "5 4"

    def _x(self, time: datetime) -> float:
        span = (self.end - self.start).total_seconds() or 1.0
        share = (time - self.start).total_seconds() / span
        return _LEFT + share * (WIDTH - _LEFT - _RIGHT)

    def _y(self, pressure: float) -> float:
        share = (pressure - self.low) / (self.high - self.low)
        return HEIGHT - _BOTTOM - share * (HEIGHT - _TOP - _BOTTOM)

    def parts(self) -> Iterator[str]:
        """The elements in drawing order."""
        yield (
            f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH} {HEIGHT}" '
            'font-family="sans-serif" font-size="12" fill="currentColor" stroke="none">'
        )
        yield from self._axes()
        yield from self._levels()
        yield from self._curves()
        yield "</svg>"

    def caption(self) -> str:
        """What the marks are."""
        return (
            f"Pressure over time, in {self.baseline.unit}: circles are readings (or means of "
            "neighbours), the line their moving average"
        )

    def description(self) -> str:
        """The chart in words."""
        told = [f"{self.phase.readings} readings, median {short(self.phase.median, 5)}"]
        told += [f"{label} {short(value, 5)}" for label, value, _ in self.lines]
        trend = self.phase.trend
        if trend is not None:
            told.append(f"now {trend.direction}")
        return "; ".join(told) + "."

    def _axes(self) -> Iterator[str]:
        right, bottom = WIDTH - _RIGHT, HEIGHT - _BOTTOM
        yield (f'<path d="M{_LEFT} {_TOP}V{bottom}H{right}" fill="none" stroke="currentColor"/>')
        for index in range(round((self.high - self.low) / self.step) + 1):
            value = self.low + index * self.step
            y = self._y(value)
            yield f'<path d="M{_LEFT - 4} {y:.1f}h4" stroke="currentColor"/>'
            yield f'<text x="{_LEFT - 7}" y="{y + 4:.1f}" text-anchor="end">{short(value)}</text>'
        yield f'<text x="{_LEFT}" y="{bottom + 16}">{self.start:%Y-%m-%d}</text>'
        yield f'<text x="{right}" y="{bottom + 16}" text-anchor="end">{self.end:%Y-%m-%d}</text>'

    def _levels(self) -> Iterator[str]:
        below = float("-inf")
        for label, value, dashes in sorted(self.lines, key=lambda line: -line[1]):
            y = self._y(value)
            dashed = f' stroke-dasharray="{dashes}"' if dashes else ""
            yield (f'<path d="M{_LEFT} {y:.1f}H{WIDTH - _RIGHT}" stroke="currentColor"{dashed}/>')
            below = max(y + 4, below + 12)  # labels keep clear of each other
            yield f'<text x="{WIDTH - _RIGHT + 5}" y="{below:.1f}">{label} {short(value, 4)}</text>'

    def _curves(self) -> Iterator[str]:
        points = self.phase.points
        averages = [(p.time, p.average) for p in points if p.average is not None]
        if averages:
            path = " ".join(f"{self._x(t):.1f},{self._y(a):.1f}" for t, a in averages)
            yield f'<polyline points="{path}" fill="none" stroke="currentColor" stroke-width="2"/>'
        for point in points:
            yield (
                f'<circle cx="{self._x(point.time):.1f}" cy="{self._y(point.pressure):.1f}" '
                'r="2.5" fill="none" stroke="currentColor"/>'
            )
