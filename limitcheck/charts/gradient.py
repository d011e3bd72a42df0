"""The predicted pressure over a gradient, with its interval and the cutoffs."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterator, Sequence
from typing import TypeAlias

from ..physics.course import Course
from ..physics.predict import RunPoint
from ..profile.model import Profile
from ..units.printing import digits, in_unit, short
from .palette import inked
from .sketch import COLUMNS, Sketch
from .svg import DASHED, FULL, Axis, Drawing, Frame, Level, NarrowFrame, image, line, words

Moment: TypeAlias = tuple[float, float, float, float]
"""Minute; low, central and high pressure."""
_FAR = 3.0
"""A cutoff above this times the highest pressure is not drawn, but told."""


def gradient_curve(profile: Profile, run: Course) -> Drawing:
    """The curve as the column sees the gradient, in the instrument's unit."""
    unit = profile.instrument.pressure_unit
    points = [_moment(point, unit) for point in run.points]
    start, end = points[0][0], points[-1][0]
    most = max(high for *_, high in points)
    levels = list(near_cutoffs(profile, most))
    top = 1.05 * max([most, *(level.amount for level in levels)])

    def drawn(kind: type[Frame]) -> str:
        upwards = Axis(0.0, top, kind.BOTTOM, kind.TOP)
        frame = kind(kind.across(start, end), upwards, levels)
        return image(kind.WIDTH, kind.HEIGHT, parts(frame))

    def parts(frame: Frame) -> Iterator[str]:
        around = [(x, high) for x, _, _, high in points]
        around += [(x, low) for x, low, _, _ in reversed(points)]
        shade = f'<polygon points="{frame.points(around)}" fill="currentColor" fill-opacity="0.3"/>'
        curve = frame.curve((x, central) for x, _, central, _ in points)
        yield from inked("predicted", [shade])
        yield curve
        yield from frame.parts()
        for minute in frame.x.ticks():
            x = frame.x.at(minute)
            yield line(f"M{x:.1f} {frame.BOTTOM}v4")
            yield words(x, frame.BOTTOM + 17, short(minute), "middle")
        middle = (frame.LEFT + frame.RIGHT) / 2
        yield words(middle, frame.HEIGHT - 6, "minutes from the start", "middle")

    low, high = (in_unit(p.central, unit) for p in (run.lowest, run.highest))
    wide, narrow = (drawn(kind) for kind in (Frame, NarrowFrame))
    return Drawing(
        wide,
        f"Predicted pressure over the gradient, in {unit}: line central, shaded interval"
        f"{far_above(profile, most)}",
        f"Predicted pressure over {digits(end)} min: from {digits(low)} to {digits(high)} "
        f"{unit}, highest at {digits(run.highest.minute)} min.",
        tuple(_sketch(points, unit)),
        narrow,
    )


def _moment(point: RunPoint, unit: str) -> Moment:
    low, central, high = (in_unit(pascal, unit) for pascal in point[2:])
    return point.minute, low, central, high


def _sketch(points: Sequence[Moment], unit: str) -> Iterator[str]:
    sketch = Sketch(min(p[1] for p in points), max(p[3] for p in points), COLUMNS)
    for column, moments in enumerate(_columns(points)):
        sketch.fill(column, min(p[1] for p in moments), max(p[3] for p in moments), ".")
        # Of a column the highest, so that no peak is lost between two of them.
        sketch.mark(column, max(p[2] for p in moments), "*")
    yield f"In {unit}; * central, . interval"
    yield from sketch.lines(digits(points[0][0]), f"{digits(points[-1][0])} min")


def _columns(points: Sequence[Moment]) -> Iterator[list[Moment]]:
    """The moments in each of the columns, which are evenly long; at least its middle."""
    start, end = points[0][0], points[-1][0]
    minutes = [point[0] for point in points]
    for column in range(COLUMNS):
        since, until = (start + (end - start) * (column + n) / COLUMNS for n in (0, 1))
        within = points[bisect_left(minutes, since) : bisect_left(minutes, until)]
        middle = min(max(bisect_left(minutes, 0.5 * (since + until)), 1), len(points) - 1)
        before, after = points[middle - 1], points[middle]
        span = after[0] - before[0]
        share = min((0.5 * (since + until) - before[0]) / span, 1.0) if span else 0.0
        between = (a + share * (b - a) for a, b in zip(before, after, strict=True))
        minute, low, central, high = between
        yield [*within, (minute, low, central, high)]


def near_cutoffs(profile: Profile, most: float) -> Iterator[Level]:
    """The cutoffs to draw beside pressures up to ``most`` [instrument's unit]."""
    return (level for level in cutoff_levels(profile) if level.amount <= _FAR * most)


def far_above(profile: Profile, most: float) -> str:
    """The cutoffs that are not drawn, for a caption; "" where all are."""
    unit = profile.instrument.pressure_unit
    far = (level for level in cutoff_levels(profile) if level.amount > _FAR * most)
    return "".join(
        f"; {level.label} {short(level.amount)} {unit}, far above, is not drawn" for level in far
    )


def cutoff_levels(profile: Profile) -> Iterator[Level]:
    """The cutoffs that are on, in the instrument's unit."""
    for label, cutoff, dashes in (
        ("high cutoff", profile.cutoffs.high, FULL),
        ("low cutoff", profile.cutoffs.low, DASHED),
    ):
        if cutoff is not None and cutoff.value > 0:
            yield Level(label, float(cutoff.to(profile.instrument.pressure_unit)), dashes)
