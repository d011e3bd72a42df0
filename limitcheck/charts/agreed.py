"""New readings over time against the agreed band, the chart's limits and the cutoffs."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime

from ..history.judging import Judged
from ..history.running import JudgedPhase
from ..profile.model import Profile
from ..units.printing import figures
from .gradient import far_above, near_cutoffs
from .palette import inked
from .sketch import COLUMNS, Sketch
from .svg import DOTTED, LONG, Axis, Drawing, Frame, Level, NarrowFrame, image, words


def agreed_chart(phase: JudgedPhase, judged: Judged, profile: Profile) -> Drawing:
    """Readings with their moving average; what lies outside the band is filled."""
    points = phase.points
    top = max(phase.high, *(point.pressure for point in points))
    levels = [
        Level("agreed", phase.high, LONG, 2),  # the band that a log itself gives is dash-dot
        Level("agreed", phase.low, LONG, 2),
        Level("limit", phase.centre + phase.limit, DOTTED),
        Level("limit", phase.centre - phase.limit, DOTTED),
        *near_cutoffs(profile, top),
    ]
    marks = [point.pressure for point in points] + [level.amount for level in levels]
    start, end = points[0].time, points[-1].time

    def since(time: datetime) -> float:
        return (time - start).total_seconds()

    def drawn(kind: type[Frame]) -> str:
        upwards = Axis.rounded(min(marks), max(marks), kind.BOTTOM, kind.TOP)
        frame = kind(kind.across(0.0, max(since(end), 1.0)), upwards, levels)
        return image(kind.WIDTH, kind.HEIGHT, parts(frame))

    def parts(frame: Frame) -> Iterator[str]:
        yield from frame.parts()
        yield words(frame.LEFT, frame.BOTTOM + 17, f"{start:%Y-%m-%d}")
        yield words(frame.RIGHT, frame.BOTTOM + 17, f"{end:%Y-%m-%d}", "end")
        averages = [(since(p.time), p.average) for p in points if p.average is not None]
        yield from inked("normal", [frame.curve(averages)])
        for point in points:
            x, y = frame.x.at(since(point.time)), frame.y.at(point.pressure)
            inside = phase.low <= point.pressure <= phase.high
            fill = "none" if inside else "currentColor"
            circle = (
                f'<circle cx="{x:.1f}" cy="{y:.1f}" r="2.5" fill="{fill}" stroke="currentColor"/>'
            )
            yield from [circle] if inside else inked("over", [circle])

    wide, narrow = (drawn(kind) for kind in (Frame, NarrowFrame))
    return Drawing(
        wide,
        f"New readings, in {judged.unit}: circles, filled outside the agreed band (long thick "
        f"dashes); the line is their moving average{far_above(profile, top)}",
        f"{phase.readings} readings, {phase.outside_count} outside {figures(phase.low, 5)} to "
        f"{figures(phase.high, 5)}; moving average {figures(phase.average, 5)}.",
        tuple(_sketch(phase, judged.unit)),
        narrow,
    )


def _sketch(phase: JudgedPhase, unit: str) -> Iterator[str]:
    points = phase.points
    marks = [point.pressure for point in points] + [phase.low, phase.high]
    columns = min(COLUMNS, len(points))
    sketch = Sketch(min(marks), max(marks), columns)
    for level in (phase.low, phase.high):
        sketch.level(level, "=")
    for index, point in enumerate(points):
        if point.average is not None:
            sketch.mark(index * columns // len(points), point.average, "o")
    for index, point in enumerate(points):
        sketch.mark(index * columns // len(points), point.pressure, "*")
    yield from sketch.lines(f"{points[0].time:%Y-%m-%d}", f"{points[-1].time:%Y-%m-%d}")
    yield f"{'':10}* a reading, in {unit}; o moving average; = agreed band"
