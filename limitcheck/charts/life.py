"""A column's pressure against its injections, with the line and the pressure of a worn one."""

from __future__ import annotations

from collections.abc import Iterator

from ..history.life import Life
from ..units.printing import figures, short
from .palette import inked
from .sketch import COLUMNS, Sketch
from .svg import DASH_DOT, FULL, Axis, Drawing, Frame, Level, NarrowFrame, image, line, words


def life_chart(life: Life) -> Drawing:
    """Readings, the line through them, and where it reaches the pressure of a worn column."""
    points, at = life.points, life.worn_at
    last = points[-1].injections
    end = last if at is None else 1.05 * min(at.high or 1.5 * at.central, 5 * max(last, 1.0))
    marks = [p.pressure for p in points] + [life.worn]

    def drawn(kind: type[Frame]) -> str:
        upwards = Axis.rounded(min(marks), max(marks), kind.BOTTOM, kind.TOP)
        across = kind.across(points[0].injections, max(end, points[0].injections + 1))
        frame = kind(across, upwards, [Level("worn", life.worn, FULL)])
        return image(kind.WIDTH, kind.HEIGHT, parts(frame))

    def parts(frame: Frame) -> Iterator[str]:
        across, upwards = frame.x, frame.y
        yield from frame.parts()
        for amount in across.ticks():
            x = across.at(amount)
            yield line(f"M{x:.1f} {frame.BOTTOM}v4")
            yield words(x, frame.BOTTOM + 17, short(amount), "middle", size=11)
        told = "injections" if life.counted else "runs in the log"
        yield words((frame.LEFT + frame.RIGHT) / 2, frame.HEIGHT - 6, told, "middle")
        course = frame.curve([(points[0].injections, life.start), (last, life.end)])
        yield from inked("normal", [course])
        for point in points:
            x, y = across.at(point.injections), upwards.at(point.pressure)
            yield f'<circle cx="{x:.1f}" cy="{y:.1f}" r="2" fill="none" stroke="currentColor"/>'
        if at is not None and at.low <= end:
            low, high = across.at(at.low), across.at(at.high if at.high is not None else end)
            y = upwards.at(life.worn)
            yield from inked("over", [line(f"M{low:.1f} {y:.1f}H{high:.1f}", width=6)])
            yield line(
                f"M{across.at(last):.1f} {upwards.at(life.end):.1f}"
                f"L{across.at(min(at.central, end)):.1f} {y:.1f}",
                dashes=DASH_DOT,
            )

    name = f"column {life.serial}" if life.serial else "the column"
    wide, narrow = (drawn(kind) for kind in (Frame, NarrowFrame))
    return Drawing(
        wide,
        f"Life of {name}, in {life.unit}: circles are readings, the line their course; the thick "
        "stretch is where it will be worn",
        f"{life.readings} readings; the line goes from {short(life.start, 4)} to "
        f"{short(life.end, 4)}, worn at {figures(life.worn, 4)} {life.unit}.",
        tuple(_sketch(life)),
        narrow,
    )


def _sketch(life: Life) -> Iterator[str]:
    points = life.points
    marks = [p.pressure for p in points] + [life.worn]
    columns = min(COLUMNS, len(points))
    sketch = Sketch(min(marks), max(marks), columns)
    sketch.level(life.worn, "=")
    for index, point in enumerate(points):
        sketch.mark(index * columns // len(points), point.pressure, "*")
    yield from sketch.lines(short(points[0].injections), short(points[-1].injections))
    yield f"{'':10}* a reading, in {life.unit}, by injections; = worn"
