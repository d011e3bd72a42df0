"""The pressure over a gradient as the column sees it: late by the dwell volume, and as a front.

A composition set at the pump reaches the column inlet after the dwell volume, and then takes the
column's own transit time to its outlet: at each moment the bed holds a stretch of the gradient, not
one composition. Its drop is the mean over that stretch; what is before the column sees its inlet,
what is behind its outlet. Minutes; SI floats otherwise.

Not covered: mixing in the dwell volume, which rounds the course, and organic solvent held back by
the packing. They move a peak later and mostly lower it; but at a step between two compositions
whose mixture is the most viscous mixing raises it, as far as that mixture fills the columns:
``predict`` has that bound.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator, Sequence
from itertools import accumulate, pairwise
from math import exp, log, pi
from typing import NamedTuple

from ..profile.model import Column, Profile
from ..units.printing import short
from .drops import drops
from .interval import interval
from .predict import Prediction, RunPoint
from .resistance import TOTAL_POROSITY
from .system import System

_COMPOSITIONS = 12
_MOMENTS = 60  # over the programme
_LEAST = 8  # in each of its steps


class Course(NamedTuple):
    """Pressure [Pa] over the run, with the composition [% B] at the column inlet.

    ``delay`` [min] is None where no dwell volume is given: then the gradient is taken to reach the
    column as it is set. ``transit`` [min] is that of all columns; None without their geometry.
    """

    delay: float | None
    transit: float | None
    points: tuple[RunPoint, ...]

    @property
    def told(self) -> str:
        """When the composition set reaches the column and leaves it [min]."""
        reaches = (
            "no dwell_volume: the gradient is taken to reach the column as it is set"
            if self.delay is None
            else f"the gradient reaches the column {short(self.delay, 3)} min late (dwell volume)"
        )
        through = (
            "and fills it at once, its geometry is not given"
            if self.transit is None
            else f"and takes {short(self.transit, 2)} min through it"
        )
        return f"{reaches}, {through}; mixing on the way is left out"

    @property
    def highest(self) -> RunPoint:
        """The point of the highest pressure [Pa]."""
        return max(self.points, key=lambda point: point.central)

    @property
    def lowest(self) -> RunPoint:
        """The point of the lowest pressure [Pa]."""
        return min(self.points, key=lambda point: point.central)


def course(profile: Profile, ready: System, moments: int = _MOMENTS) -> Course:
    """The pressure [Pa] from the start until the last composition set enters the column [min].

    What is set after the programme's end is not known, so the course ends where it would enter the
    column: by the delay later than the programme. Every step of the programme has some moments of
    its own, where it enters the columns and where it has passed them; about twice ``moments`` in
    all. Drops are worked out at 13 compositions, with parabolas between. Raises as ``predict``.
    """
    dwell = profile.instrument.dwell_volume
    minute_flow = 60.0 * ready.state.flow
    delay = None if dwell is None else float(dwell) / minute_flow
    transits = [_transit(part, minute_flow) for part in _columns(profile)]
    # What enters each column and what leaves the last, later by this [min].
    later = list(accumulate((t or 0.0 for t in transits), initial=delay or 0.0))
    as_set = list(_as_set(ready.programme, moments))
    end = ready.programme[-1][0] + later[0]
    seen = _Seen(profile, ready, as_set)

    def point(minute: float) -> RunPoint:
        central = seen.before.at(minute - later[0]) + seen.behind.at(minute - later[-1])
        for bed, since, until in zip(seen.beds, later, later[1:], strict=False):
            central += bed.mean(minute - until, minute - since)
        middle = minute - 0.5 * (later[0] + later[-1])
        low, high = seen.low.at(middle), seen.high.at(middle)
        entering = ready.composition(minute - later[0])
        return RunPoint(minute, entering, central * low, central, central * high)

    told = {ready.programme[0][0], *(minute + by for minute, _ in as_set for by in later)}
    points = tuple(point(minute) for minute in sorted(told) if minute <= end)
    return Course(delay, None if None in transits else later[-1] - later[0], points)


MIXED = 1.1
"""Times: by so much one composition in the whole flow path must make more than the course for
mixing on the way, or a hold at the end, to be worth a word; less is within its error."""


class OverCourse(NamedTuple):
    """What one composition in the whole flow path makes over what the run makes of it [-].

    Below 1 at the lowest and above 1 at the highest pressure, where the composition is over before
    it fills the columns. ``unsure`` is its half-width in ln [-].
    """

    factor: float
    unsure: float

    def over(self, other: OverCourse) -> OverCourse:
        """This over that of another run [-]."""
        return OverCourse(self.factor / other.factor, self.unsure + other.unsure)


_SAME = OverCourse(1.0, 0.0)
_UNSURE = 0.25  # of ln: how far it fills them rests on dwell volume and mixing; assumed, no source


def over_course(profile: Profile, prediction: Prediction) -> tuple[OverCourse, OverCourse]:
    """That at the lowest and at the highest pressure of a run [-]; 1 without a gradient.

    Where it is the composition the programme ends with, nobody knows how long that is held: then it
    lies anywhere from the course's to 1. Raises as ``course``.
    """
    if len(prediction.ready.programme) == 1:
        return _SAME, _SAME
    run, last = course(profile, prediction.ready), prediction.ready.programme[-1][1]

    def over(one: float, seen: float, percent_b: float) -> OverCourse:
        if not one or not seen:
            return _SAME
        apart = log(one / seen)
        if percent_b == last:
            return OverCourse(exp(0.5 * apart), 0.5 * abs(apart))
        return OverCourse(exp(apart), _UNSURE * abs(apart))

    least, most = prediction.ends
    return (
        over(prediction.lowest_central, run.lowest.central, least),
        over(prediction.highest.central, run.highest.central, most),
    )


def _as_set(programme: Sequence[tuple[float, float]], count: int) -> Iterator[tuple[float, float]]:
    """Minutes and compositions [% B] along a programme, some of every step however short."""
    yield programme[0]
    whole = programme[-1][0] - programme[0][0]
    for (minute, percent_b), (until, then) in pairwise(programme):
        parts = 1
        if until > minute and percent_b != then:
            parts = max(_LEAST, round(count * (until - minute) / whole))
        for part in range(1, parts + 1):
            share = part / parts
            yield minute + share * (until - minute), percent_b + share * (then - percent_b)


class _Series:
    """Values over minutes that do not fall, straight lines between; the ends hold beyond."""

    def __init__(self, minutes: Sequence[float], values: Sequence[float]) -> None:
        self.minutes, self.values = minutes, values
        steps = zip(pairwise(minutes), pairwise(values), strict=True)
        areas = (0.5 * (b - a) * (one + other) for (a, b), (one, other) in steps)
        self.areas = list(accumulate(areas, initial=0.0))

    def at(self, minute: float) -> float:
        """The value at a minute."""
        index = bisect_right(self.minutes, minute) - 1
        if index < 0:
            return self.values[0]
        if index == len(self.minutes) - 1:
            return self.values[-1]
        since, until = self.minutes[index : index + 2]
        before, after = self.values[index : index + 2]
        return before + (after - before) * (minute - since) / (until - since)

    def mean(self, since: float, until: float) -> float:
        """The mean over a stretch; the value there where it has no length."""
        if until - since <= 1e-9:
            return self.at(until)
        return (self._area(until) - self._area(since)) / (until - since)

    def _area(self, minute: float) -> float:
        index = max(bisect_right(self.minutes, minute) - 1, 0)
        half = 0.5 * (self.values[index] + self.at(minute))
        return self.areas[index] + half * (minute - self.minutes[index])


class _Seen:
    """What each part would take if it saw the composition as set: drops [Pa] over the minutes."""

    def __init__(
        self, profile: Profile, ready: System, as_set: Sequence[tuple[float, float]]
    ) -> None:
        minutes, shares = zip(*as_set, strict=True)
        low, high = min(shares), max(shares)
        width = (high - low) / _COMPOSITIONS
        places = [i for i, part in enumerate(profile.flow_path) if isinstance(part, Column)]
        grid = [low + width * i for i in range(_COMPOSITIONS + 1)] if width else [low]
        rows = [_drops(ready, percent_b, places) for percent_b in grid]
        seen = [_between(rows, (percent_b - low) / width if width else 0.0) for percent_b in shares]
        self.before, self.behind, self.low, self.high, *self.beds = (
            _Series(minutes, values) for values in zip(*seen, strict=True)
        )


def _between(rows: Sequence[Sequence[float]], place: float) -> Sequence[float]:
    """The row at a place from 0 to the last, on a parabola through the nearest three."""
    if len(rows) < 3:
        return rows[0]
    middle = min(max(round(place), 1), len(rows) - 2)
    t = place - middle
    return [
        b + 0.5 * t * (c - a + t * (c - b - b + a))
        for a, b, c in zip(*rows[middle - 1 : middle + 2], strict=True)
    ]


def _columns(profile: Profile) -> list[Column]:
    return [part for part in profile.flow_path if isinstance(part, Column)]


def _transit(column: Column, flow: float) -> float | None:
    """Minutes that liquid takes through a column at a flow [m^3/min]."""
    if column.length is None or column.bore is None:
        return None
    empty = pi / 4.0 * float(column.bore) ** 2 * float(column.length)
    return TOTAL_POROSITY[column.particle] * empty / flow


def _drops(ready: System, percent_b: float, places: Sequence[int]) -> tuple[float, ...]:
    """Before and behind the columns [Pa], low and high over central [-], each column [Pa]."""
    segments, state = ready.path.segments, ready.at(percent_b)
    found = drops(segments, state)
    low, central, high = interval(segments, state, found)
    by_place = {s.place: d.pressure for s, d in zip(segments, found, strict=True)}
    others = {place: drop for place, drop in by_place.items() if place not in places}
    return (
        sum(drop for place, drop in others.items() if place < places[0]),
        sum(drop for place, drop in others.items() if place > places[0]),
        low / central if central else 1.0,
        high / central if central else 1.0,
        *(by_place.get(place, 0.0) for place in places),
    )
