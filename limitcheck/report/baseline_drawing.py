"""The chart of a baseline as SVG: stands alone, prints in black, has a text for screen readers."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime
from html import escape
from math import ceil, floor, log10

from ..readings.normal import Baseline, PhaseBaseline

WIDTH, HEIGHT = 720, 300
_LEFT, _RIGHT, _TOP, _BOTTOM = 58, 110, 12, 40


def drawing(phase: PhaseBaseline, baseline: Baseline, name: str = "baseline") -> str:
    """Readings over time with moving average, its limits, the band and the cutoffs.

    `name` begins the ids of title and description, which must differ on one page.
    """
    return "\n".join(_Drawing(phase, baseline, name).parts())


class _Drawing:
    def __init__(self, phase: PhaseBaseline, baseline: Baseline, name: str) -> None:
        self.phase, self.baseline, self.name = phase, baseline, name
        self.lines = list(self._lines())
        marks = [point.pressure for point in phase.points]
        marks += [value for _, value, _ in self.lines]
        low, high = min(marks), max(marks)
        self.step = _step((high - low) or 1.0)
        self.low = floor(low / self.step) * self.step
        self.high = max(ceil(high / self.step), self.low / self.step + 1) * self.step
        self.start, self.end = phase.points[0].time, phase.points[-1].time

    def _lines(self) -> Iterator[tuple[str, float, str]]:
        """Label, pressure and dashes of each level line."""
        if self.baseline.high_cutoff is not None:
            yield "high cutoff", self.baseline.high_cutoff, ""
        if self.phase.interval is not None:
            yield "band", self.phase.interval.high, "8 4"
            yield "band", self.phase.interval.low, "8 4"
        if self.phase.trend is not None:
            yield "limit", self.phase.trend.high_limit, "2 3"
            yield "limit", self.phase.trend.low_limit, "2 3"
        if self.baseline.low_cutoff is not None:
            yield "low cutoff", self.baseline.low_cutoff, ""

    def _x(self, time: datetime) -> float:
        span = (self.end - self.start).total_seconds() or 1.0
        share = (time - self.start).total_seconds() / span
        return _LEFT + share * (WIDTH - _LEFT - _RIGHT)

    def _y(self, pressure: float) -> float:
        share = (pressure - self.low) / (self.high - self.low)
        return HEIGHT - _BOTTOM - share * (HEIGHT - _TOP - _BOTTOM)

    def parts(self) -> Iterator[str]:
        """The elements in drawing order."""
        title, description = f"{self.name}-title", f"{self.name}-text"
        yield (
            f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH} {HEIGHT}" role="img" '
            f'aria-labelledby="{title} {description}" font-family="sans-serif" font-size="11" '
            'fill="currentColor" stroke="none">'
        )
        yield f'<title id="{title}">{escape(self._title())}</title>'
        yield f'<desc id="{description}">{escape(self._description())}</desc>'
        yield from self._axes()
        yield from self._levels()
        yield from self._curves()
        yield "</svg>"

    def _title(self) -> str:
        phase = f", phase {self.phase.phase}" if self.phase.phase else ""
        return f"Pressure over time, in {self.baseline.unit}{phase}"

    def _description(self) -> str:
        told = [f"{self.phase.readings} readings, median {self.phase.median:.5g}"]
        told += [f"{label} {value:.5g}" for label, value, _ in self.lines]
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
            yield f'<text x="{_LEFT - 7}" y="{y + 4:.1f}" text-anchor="end">{value:.6g}</text>'
        yield f'<text x="{_LEFT}" y="{bottom + 16}">{self.start:%Y-%m-%d}</text>'
        yield f'<text x="{right}" y="{bottom + 16}" text-anchor="end">{self.end:%Y-%m-%d}</text>'
        legend = f"dots: readings; line: moving average; in {self.baseline.unit}"
        yield f'<text x="{_LEFT}" y="{bottom + 32}">{escape(legend)}</text>'

    def _levels(self) -> Iterator[str]:
        below = float("-inf")
        for label, value, dashes in sorted(self.lines, key=lambda line: -line[1]):
            y = self._y(value)
            dashed = f' stroke-dasharray="{dashes}"' if dashes else ""
            yield (f'<path d="M{_LEFT} {y:.1f}H{WIDTH - _RIGHT}" stroke="currentColor"{dashed}/>')
            below = max(y + 4, below + 12)  # labels keep clear of each other
            yield f'<text x="{WIDTH - _RIGHT + 5}" y="{below:.1f}">{label} {value:.4g}</text>'

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


def _step(span: float) -> float:
    """A round step that divides a span above zero into four to eight."""
    size = 10.0 ** floor(log10(span))
    return next(size * factor for factor in (0.2, 0.5, 1.0, 2.0) if span / (size * factor) <= 8)
