"""The pressure over a gradient as the column sees it: late by the dwell volume, and as a front.

A composition set at the pump reaches the column inlet after the dwell volume, and then takes the
column's own transit time to its outlet: at each moment the bed holds a stretch of the gradient, not
one composition. Its drop is the mean over that stretch; what is before the column sees its inlet,
what is behind its outlet. Minutes; SI floats otherwise.

Mixing on the way rounds the course: it fills a trough, lowers a short peak, and raises that of a
step between two compositions whose mixture is the most viscous. ``course_ends`` has what it may do;
``course`` is without it. Not covered: organic solvent held back by the packing, which moves a peak
later and mostly lowers it.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator, Sequence
from functools import cached_property
from itertools import accumulate, pairwise
from math import pi
from operator import itemgetter

from ..profile.model import Column, Profile
from ..units.printing import short
from .drops import Drop, drops
from .flow_path import Segment
from .interval import interval
from .mixing import STIRRED, USUAL_DWELL, as_set, stirred
from .predict import Ends, Prediction, RunPoint
from .resistance import TOTAL_POROSITY
from .system import System

_PRESSURE = itemgetter(1)
_COMPOSITIONS, _FEW_COMPOSITIONS = 12, 8  # few, here and below, for who needs its ends alone
_MOMENTS, _FEW = 60, 24  # over the programme
_LEAST, _FEW_LEAST = 8, 6  # in each of its steps
_PAST_CORNER = (
    1 / 3,
    1 / 2,
    2 / 3,
)  # of the columns' transit: there a steep corner fills them best
_JUMP = 1e-6  # min
_EACH = 4  # of them, one is followed until it leaves the columns


class Course:
    """Pressure [Pa] over the run, with the composition [% B] at the column inlet.

    ``delay`` [min] is None where no dwell volume is given: then the gradient is taken to reach the
    column as it is set. ``transit`` [min] is that of all columns; None without their geometry.
    """

    def __init__(self, seen: _Seen, delay: float | None, transit: float | None) -> None:
        self.delay, self.transit, self._seen = delay, transit, seen

    @cached_property
    def points(self) -> tuple[RunPoint, ...]:
        """Every moment worked out [Pa]."""
        return tuple(self._seen.point(*moment) for moment in self._seen.moments)

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
    def ends(self) -> tuple[float, float]:
        """The lowest and the highest pressure [Pa], without the work of their intervals."""
        pressures = [pressure for _, pressure in self._seen.moments]
        return min(pressures), max(pressures)

    @cached_property
    def highest(self) -> RunPoint:
        """The point of the highest pressure [Pa]."""
        return self._seen.point(*max(self._seen.moments, key=_PRESSURE))

    @cached_property
    def lowest(self) -> RunPoint:
        """The point of the lowest pressure [Pa]."""
        return self._seen.point(*min(self._seen.moments, key=_PRESSURE))


def course_ends(profile: Profile, prediction: Prediction) -> Ends:
    """The lowest and the highest pressure [Pa] of the run, by how much is mixed on the way.

    One pair for each share of ``mixing.STIRRED``; the first, with none, is within 3 % of those of
    ``course``. Raises as it.
    """
    if prediction.mixed is None:
        prediction.mixed = tuple(_mixed_ends(profile, prediction.ready))
    return prediction.mixed


def _mixed_ends(profile: Profile, ready: System) -> Iterator[tuple[float, float]]:
    dwell = dwell_time(profile, ready)
    time = USUAL_DWELL if dwell is None else dwell
    made = _Parts(profile, ready, _FEW_COMPOSITIONS)
    moments = _FEW, _FEW_LEAST
    if made.turbulent:  # few miss where the pressure bends
        made, moments = _Parts(profile, ready, _COMPOSITIONS), (_MOMENTS, _LEAST)
    # As late as in ``course``: until then what is set first is in all parts.
    through = (t or 0.0 for t in transits(profile, ready.state.flow))
    later = list(accumulate(through, initial=dwell or 0.0))
    transit = later[-1] - later[0]
    past = [m + later[0] + by * transit for m, _ in ready.programme for by in _PAST_CORNER]
    for share in STIRRED:
        stirs = share * time
        if stirs > _JUMP:
            entering = list(stirred(ready.programme, stirs, *moments))
        else:
            entering = list(as_set(ready.programme, *moments))
        yield Course(_Seen(made, entering, later, past), None, None).ends


def dwell_time(profile: Profile, ready: System) -> float | None:
    """How long the dwell volume takes [min]; None where it is not given."""
    dwell = profile.instrument.dwell_volume
    return None if dwell is None else float(dwell) / (60.0 * ready.state.flow)


def course(profile: Profile, ready: System, moments: int = _MOMENTS) -> Course:
    """The pressure [Pa] from the start until the last composition set enters the column [min].

    What is set after the programme's end is not known, so the course ends where it would enter the
    column: by the delay later than the programme. Every step of the programme has some moments of
    its own, as they enter the columns, and some of these as they leave them. Drops are worked out
    at 13 compositions, with parabolas between. Raises as ``predict``.
    """
    delay = dwell_time(profile, ready)
    through = transits(profile, ready.state.flow)
    # What enters each column and what leaves the last, later by this [min].
    later = list(accumulate((t or 0.0 for t in through), initial=delay or 0.0))
    entering = list(as_set(ready.programme, moments, _LEAST))
    seen = _Seen(_Parts(profile, ready, _COMPOSITIONS), entering, later)
    return Course(seen, delay, None if None in through else later[-1] - later[0])


MIXED = 1.1
"""Times: by so much one composition in the whole flow path must make more than the course for
mixing on the way, or a hold at the end, to be worth a word; less is within its error."""


class _Series:
    """Values over minutes that do not fall, straight lines between; the last holds beyond."""

    def __init__(self, minutes: Sequence[float], values: Sequence[float]) -> None:
        self.minutes, self.values = minutes, values
        steps = zip(pairwise(minutes), pairwise(values), strict=True)
        self.slopes = [(then - now) / (b - a) if b > a else 0.0 for (a, b), (now, then) in steps]
        self.slopes.append(0.0)

    @cached_property
    def areas(self) -> list[float]:
        """Under the line up to each point."""
        steps = zip(pairwise(self.minutes), pairwise(self.values), strict=True)
        areas = [0.5 * (b - a) * (now + then) for (a, b), (now, then) in steps]
        return list(accumulate(areas, initial=0.0))

    def place(self, minute: float) -> _Place:
        """Where a minute lies, not before the first; the same for all series over these minutes."""
        index = bisect_right(self.minutes, minute) - 1
        return index, minute - self.minutes[index]

    def at(self, place: _Place) -> float:
        """The value at a place."""
        index, past = place
        return self.values[index] + self.slopes[index] * past

    def mean(self, since: _Place, until: _Place, length: float) -> float:
        """The mean over a stretch of a length; the value there where it has none."""
        if length <= 1e-9:
            return self.at(until)
        return (self._area(until) - self._area(since)) / length

    def _area(self, place: _Place) -> float:
        index, past = place
        return self.areas[index] + past * (self.values[index] + 0.5 * self.slopes[index] * past)


_Place = tuple[int, float]
"""The point before a minute, and the minutes from it."""


class _Parts:
    """The drops before and behind the columns and over each, at compositions over a programme."""

    def __init__(self, profile: Profile, ready: System, compositions: int) -> None:
        self.ready = ready
        shares = [percent_b for _, percent_b in ready.programme]
        self.least = min(shares)
        self.width = (max(shares) - self.least) / compositions
        count = compositions + 1 if self.width else 1
        states = [ready.at(self.least + self.width * i) for i in range(count)]
        segments = ready.path.segments
        self.found = [(state, drops(segments, state)) for state in states]
        places = [i for i, part in enumerate(profile.flow_path) if isinstance(part, Column)]
        self.rows = [_by_part(segments, found, places) for _, found in self.found]

    @property
    def turbulent(self) -> bool:
        """Whether the flow in a tube leaves the laminar at any of them, or a coil adds to it."""
        pairs = zip(
            self.ready.path.segments, zip(*(d for _, d in self.found), strict=True), strict=True
        )
        return any(
            segment.open is not None and any(drop.below or any(drop.regimes) for drop in found)
            for segment, found in pairs
        )

    def place(self, percent_b: float) -> float:
        """Where a composition lies among them, in steps."""
        return (percent_b - self.least) / self.width if self.width else 0.0

    def row(self, percent_b: float) -> Sequence[float]:
        """Those drops at a composition [Pa]."""
        return _between(self.rows, self.place(percent_b))


class _Seen:
    """A run as its parts see it, each ``later`` [min] than it comes (``entering``) [min, % B].

    ``moments`` are its minutes with the pressure of each [Pa], ``more`` [min] among them.
    """

    def __init__(
        self,
        made: _Parts,
        entering: Sequence[tuple[float, float]],
        later: Sequence[float],
        more: Sequence[float] = (),
    ) -> None:
        self.made, self.ready, self.later = made, made.ready, later
        minutes = [minute for minute, _ in entering]
        # What each part would take if it saw the composition as it comes; the first from long ago.
        rows = [made.row(b) for _, b in entering]
        since_ever = [minutes[0] - later[-1] - 1.0, *minutes]
        before, behind, *beds = (
            _Series(since_ever, values) for values in zip(rows[0], *rows, strict=True)
        )
        corners = [minute for minute, _ in self.ready.programme]
        # A jump ends what was before it: that counts until then.
        jumps = [m - _JUMP for m, other in pairwise(corners) if m == other and m > corners[0]]
        told = {corners[0], *more, *(minute + later[0] for minute in (*minutes, *jumps))}
        told.update(m + by for m in (*corners, *minutes[::_EACH]) for by in later[1:])
        end = corners[-1] + later[0]
        lengths = [after - before_it for before_it, after in pairwise(later)]

        def pressure(minute: float) -> float:
            places = [before.place(minute - by) for by in later]
            central = before.at(places[0]) + behind.at(places[-1])
            for bed, length, until, since in zip(beds, lengths, places, places[1:], strict=False):
                central += bed.mean(since, until, length)
            return central

        self.moments = [(minute, pressure(minute)) for minute in sorted(told) if minute <= end]

    def point(self, minute: float, central: float) -> RunPoint:
        """The point at a moment [Pa], with the interval of the composition half-way through."""
        entering = self.ready.composition(minute - self.later[0])
        middle = self.ready.composition(minute - 0.5 * (self.later[0] + self.later[-1]))
        low, high = _between(self._spread, self.made.place(middle))
        return RunPoint(minute, entering, central * low, central, central * high)

    @cached_property
    def _spread(self) -> list[tuple[float, float]]:
        """Low and high over central [-] by composition."""
        found = (interval(self.ready.path.segments, *both) for both in self.made.found)
        return [(low / mid, high / mid) if mid else (1.0, 1.0) for low, mid, high in found]


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


def transits(profile: Profile, flow: float) -> list[float | None]:
    """Minutes that liquid takes through each column at a flow [m^3/s]; None without its size."""
    times: list[float | None] = []
    for part in profile.flow_path:
        if isinstance(part, Column):
            time = None
            if part.length is not None and part.bore is not None:
                empty = pi / 4.0 * float(part.bore) ** 2 * float(part.length)
                time = TOTAL_POROSITY[part.particle] * empty / (60.0 * flow)
            times.append(time)
    return times


def _by_part(
    segments: Sequence[Segment], found: Sequence[Drop], places: Sequence[int]
) -> tuple[float, ...]:
    """Before and behind the columns, and each column [Pa]."""
    by_place = {s.place: d.pressure for s, d in zip(segments, found, strict=True)}
    others = {place: drop for place, drop in by_place.items() if place not in places}
    return (
        sum(drop for place, drop in others.items() if place < places[0]),
        sum(drop for place, drop in others.items() if place > places[0]),
        *(by_place.get(place, 0.0) for place in places),
    )
