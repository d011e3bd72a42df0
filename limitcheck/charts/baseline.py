"""The readings of a log over time, with their band and the cutoffs."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime

from ..history.baseline import Baseline
from ..history.phase import PhaseBaseline
from ..units.printing import figures
from .palette import inked
from .sketch import COLUMNS, Sketch
from .svg import (
    DASH_DOT,
    DASHED,
    DOTTED,
    FULL,
    Axis,
    Drawing,
    Frame,
    Level,
    NarrowFrame,
    image,
    words,
)


def baseline_chart(phase: PhaseBaseline, baseline: Baseline) -> Drawing:
    """Readings over time with moving average, its limits, the band and the cutoffs."""
    levels = list(_levels(phase, baseline))
    marks = [point.pressure for point in phase.points] + [level.amount for level in levels]
    start, end = phase.points[0].time, phase.points[-1].time

    def since(time: datetime) -> float:
        return (time - start).total_seconds()

    def drawn(kind: type[Frame]) -> str:
        upwards = Axis.rounded(min(marks), max(marks), kind.BOTTOM, kind.TOP)
        frame = kind(kind.across(0.0, since(end)), upwards, levels)
        return image(kind.WIDTH, kind.HEIGHT, parts(frame))

    def parts(frame: Frame) -> Iterator[str]:
        yield from frame.parts()
        yield words(frame.LEFT, frame.BOTTOM + 17, f"{start:%Y-%m-%d}")
        yield words(frame.RIGHT, frame.BOTTOM + 17, f"{end:%Y-%m-%d}", "end")
        averages = [(since(p.time), p.average) for p in phase.points if p.average is not None]
        if averages:
            yield from inked("normal", [frame.curve(averages)])
        for point in phase.points:
            x, y = frame.x.at(since(point.time)), frame.y.at(point.pressure)
            yield (f'<circle cx="{x:.1f}" cy="{y:.1f}" r="2.5" fill="none" stroke="currentColor"/>')

    told = [f"{phase.readings} readings, median {figures(phase.median, 5)}"]
    told += [f"{level.label} {figures(level.amount, 5)}" for level in levels]
    told += [f"now {phase.trend.direction}"] if phase.trend is not None else []
    wide, narrow = (drawn(kind) for kind in (Frame, NarrowFrame))
    return Drawing(
        wide,
        f"Pressure over time, in {baseline.unit}: circles are readings (or means of "
        f"neighbours), the line their moving average{_band(phase)}",
        "; ".join(told) + ".",
        tuple(_sketch(phase, baseline.unit)),
        narrow,
    )


def _band(phase: PhaseBaseline) -> str:
    return ", dashes with dots the band of this log" if phase.interval is not None else ""


def _sketch(phase: PhaseBaseline, unit: str) -> Iterator[str]:
    """Readings, their moving average and its limits, in order of time."""
    points, trend = phase.points, phase.trend
    limits = [trend.low_limit, trend.high_limit] if trend is not None else []
    marks = [point.pressure for point in points] + limits
    columns = min(COLUMNS, len(points))
    sketch = Sketch(min(marks), max(marks), columns)
    for limit in limits:
        sketch.level(limit, "-")
    placed = [(index * columns // len(points), point) for index, point in enumerate(points)]
    for column, point in placed:
        if point.average is not None:
            sketch.mark(column, point.average, "o")
    for column, point in placed:
        sketch.mark(column, point.pressure, "*")
    yield from sketch.lines(f"{points[0].time:%Y-%m-%d}", f"{points[-1].time:%Y-%m-%d}")
    most = max(point.readings for point in points)
    yield f"{'':10}* {'a reading' if most == 1 else f'mean of {most} readings'}, in {unit}"
    if trend is not None:
        yield f"{'':10}o moving average; - its limits"


def _levels(phase: PhaseBaseline, baseline: Baseline) -> Iterator[Level]:
    if baseline.high_cutoff is not None:
        yield Level("high cutoff", baseline.high_cutoff, FULL)
    if phase.interval is not None:
        yield Level("band", phase.interval.high, DASH_DOT)
        yield Level("band", phase.interval.low, DASH_DOT)
    if phase.trend is not None:
        yield Level("limit", phase.trend.high_limit, DOTTED)
        yield Level("limit", phase.trend.low_limit, DOTTED)
    if baseline.low_cutoff is not None:
        yield Level("low cutoff", baseline.low_cutoff, DASHED)
