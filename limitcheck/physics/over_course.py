"""What one composition in the whole flow path makes over what a gradient makes of it.

A composition that is over before it fills the columns makes less than it would make throughout.
Minutes; SI floats otherwise.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise
from math import exp, inf, log
from typing import NamedTuple

from ..profile.model import Profile
from .course import course_ends, dwell_time, transits
from .mixing import HELD, STIRRED, USUAL_DWELL
from .predict import Prediction, RunPoint


class OverCourse(NamedTuple):
    """What one composition in the whole flow path makes over what the run makes of it [-].

    Below 1 at the lowest and above 1 at the highest pressure, where the composition is over before
    it fills the columns. ``logs`` are its ln [-]: one for each share of the dwell volume that may
    be stirred (``mixing.STIRRED``), and one of a last composition that is held; ``unsure`` is the
    half-width in ln [-] of each. ``held`` says whether the last is another than the first.
    """

    logs: tuple[float, ...]
    unsure: float = 0.0
    held: bool = False

    @property
    def least(self) -> float:
        """The least it may be [-]."""
        return exp(min(self.logs) - self.unsure)

    @property
    def most(self) -> float:
        """The most it may be [-]."""
        return exp(max(self.logs) + self.unsure)

    @property
    def factor(self) -> float:
        """The middle of both [-]."""
        return exp(0.5 * (min(self.logs) + max(self.logs)))

    @property
    def half_width(self) -> float:
        """How far it may be from there, in ln [-]."""
        return 0.5 * (max(self.logs) - min(self.logs)) + self.unsure

    def over(self, other: OverCourse) -> OverCourse:
        """This over that of another run [-]; what is stirred is the same in both."""
        logs = tuple(one - two for one, two in zip(self.logs, other.logs, strict=True))
        return OverCourse(logs, self.unsure + other.unsure, self.held or other.held)


_WAYS = len(STIRRED) + 1
_SAME = OverCourse((0.0,) * _WAYS)
_GENTLE = 0.02  # of ln: the course's own error
_AT_LAST = 0.05  # where nobody knows how long the composition is held: anywhere up to it
_NEAR = 0.002  # of ln; nearer is not looked for
_UNSURE = 0.1  # of ln: of what the course makes of a composition; assumed, no source


def is_gentle(found: OverCourse) -> bool:
    """Whether a factor [-] is 1 within the course's own error."""
    return max(abs(log(found.least)), abs(log(found.most))) <= _GENTLE


def over_course(profile: Profile, prediction: Prediction) -> tuple[OverCourse, OverCourse]:
    """That at the lowest and at the highest pressure of a run [-]; 1 without a gradient.

    Where it is the composition the programme ends with, nobody knows how long that is held: then it
    may be 1. Raises as ``course``.
    """
    if len(prediction.ready.programme) == 1:
        return _SAME, _SAME
    least, most = prediction.ends
    last = prediction.ready.programme[-1][1]
    gentle = [
        by
        for end in (least, most)
        if (by := _held_apart(profile, prediction, end)) <= (_AT_LAST if end == last else _GENTLE)
    ]
    if len(gentle) == 2:  # nearly always
        low, high = (0.5 * by for by in gentle)
        return OverCourse((-low,) * _WAYS, low), OverCourse((high,) * _WAYS, high)
    ends = course_ends(profile, prediction)

    def over(one: float, place: int) -> OverCourse:
        if not one or not all(pair[place] for pair in ends):
            return _SAME
        logs = [log(one / pair[place]) for pair in ends]
        held = (least, most)[place] == last
        unsure = _UNSURE * max(map(abs, logs))
        return OverCourse((*logs, 0.0 if held else logs[0]), unsure, held)

    return over(prediction.lowest_central, 0), over(prediction.highest.central, 1)


def about_end(end: float, point: RunPoint) -> RunPoint:
    """The point [Pa] with its interval about an end of a band [Pa] too, in proportion.

    For a band that a transfer wrote: the sender's times a ratio may lie beside what is predicted.
    """
    if not point.central:
        return point
    by = end / point.central
    return point._replace(low=min(point.low, by * point.low), high=max(point.high, by * point.high))


def run_ends(profile: Profile, prediction: Prediction) -> tuple[RunPoint, RunPoint]:
    """The lowest and the highest pressure [Pa] of a run, as the columns see it.

    Each from the least to the most that the prediction, how far its composition fills the columns,
    mixing on the way, and a last composition that may be held leave possible. Raises as ``course``.
    """
    lowest, highest = prediction.lowest, prediction.highest
    if len(prediction.ready.programme) == 1:
        return lowest, highest
    least, most = over_course(profile, prediction)
    return (
        lowest._replace(
            low=lowest.low / least.most,
            central=lowest.central / least.factor,
            high=lowest.high / least.least,
        ),
        # However it is mixed, it makes no more than one composition in the whole flow path.
        highest._replace(low=highest.low / most.most, central=highest.central / most.factor),
    )


def _held_apart(profile: Profile, prediction: Prediction, percent_b: float) -> float:
    """How far what fills the columns around a composition [% B] may be from it, in ln [-].

    A bound: no part sees another composition while a transit of the columns passes, so that none
    makes more or less than one of these would in the whole flow path. What is stirred before them
    has passed by then, but for little.
    """
    ready = prediction.ready
    transit = sum(time or 0.0 for time in transits(profile, ready.state.flow))
    dwell = dwell_time(profile, ready)
    transit += HELD * STIRRED[-1] * (USUAL_DWELL if dwell is None else dwell)
    own, end = prediction.central_at(percent_b), ready.programme[-1][0]

    def apart(since: float) -> float:
        until = since + transit
        ends = [ready.composition(minute) for minute in (since, until)]
        passed = [*ends, *(b for minute, b in ready.programme if since < minute < until)]
        low, high = min(passed), max(passed)
        passed += [b for b in prediction.compositions if low < b < high]
        return max(abs(log(prediction.central_at(b) / own)) for b in passed)

    found = inf
    for minute in _reached(ready.programme, percent_b):
        for share in (1.0, 0.5, 0.0):
            if found > _NEAR and minute + (1.0 - share) * transit <= end:
                found = min(found, apart(minute - share * transit))
    return found


def _reached(programme: Sequence[tuple[float, float]], percent_b: float) -> Iterator[float]:
    """The minutes at which a composition of the programme is set [% B]; both ends of a hold."""
    for (since, before), (until, then) in pairwise(programme):
        if before == percent_b:
            yield since
        elif (before - percent_b) * (then - percent_b) < 0.0:
            yield since + (percent_b - before) / (then - before) * (until - since)
    if programme[-1][1] == percent_b:
        yield programme[-1][0]
