"""The normal pressure that faults start from, and how sure its ends are. SI floats."""

from __future__ import annotations

from collections.abc import Callable
from typing import Literal, NamedTuple

from ...profile.model import Expected, Profile
from ...units import Pressure
from ..left_out import left_out_allowance, refuse_unknown_restrictors
from ..liquid import CannotPredict
from ..over_course import about_end, run_ends
from ..predict import Prediction, RunPoint
from ..system import oven_not_told

Cutoff = Literal["high", "low"]


class Span(NamedTuple):
    """Where a pressure [Pa] lies: somewhere from low to high, most likely at central."""

    low: float
    central: float
    high: float


class Normal(NamedTuple):
    """The normal pressure [Pa] over the whole run, and where it comes from.

    ``gradient``: the band is the course of one run, not the spread of many readings. ``lowest``
    and ``highest`` say where the pressure lies at the lowest and at the highest point of the run:
    anywhere in the band without a gradient; at its ends with one, or as far around them as a
    prediction is unsure.
    """

    low: float
    high: float
    basis: str
    gradient: bool
    lowest: Span
    highest: Span
    typed: tuple[Pressure, ...] = ()
    """The ends as the profile has them; none of a band that was predicted."""
    left_out: float = 0.0
    """What of the high ends [Pa] is for parts without a known resistance, or not listed."""
    unused_pairs: str = ""
    """Why measured pairs do not say it, where it is predicted without them."""

    @property
    def central(self) -> float:
        """The middle of the band [Pa]."""
        return 0.5 * (self.low + self.high)

    def reaching(self, cutoff: Cutoff) -> Span:
        """The normal pressures [Pa] that reach a cutoff first: all, or a gradient's extreme."""
        return self.highest if cutoff == "high" else self.lowest


def outranked(profile: Profile, predict: Callable[[], Prediction]) -> bool:
    """Whether measured pairs say what is normal better than a band that nobody measured."""
    if not profile.measured or profile.expected is None or profile.expected.basis == "measured":
        return False
    try:
        fit = predict().ready.path.fit
    except CannotPredict:
        return False
    return fit is not None and not fit.unused


def normal_pressure(profile: Profile, predict: Callable[[], Prediction]) -> Normal:
    """The normal pressure [Pa]: the band of a profile, else what ``predict`` gives.

    Where measured pairs outrank the band, it is what they predict.

    Raises CannotPredict where there is neither, and for what is only predicted of columns whose
    temperature is not given.
    """
    expected, conditions = profile.expected, profile.conditions
    if outranked(profile, predict):
        expected = None
    gradient = conditions is not None and conditions.gradient is not None
    if expected is not None and not expected.no_band:
        return _of_band(profile, expected, predict, gradient)
    try:
        found = predict()
    except CannotPredict as error:
        if expected is None or not expected.no_band:
            raise
        raise CannotPredict(f"{expected.no_band}, and {error.message}", at=error.at) from None
    if not found.ready.state.hot_known:
        raise oven_not_told()
    more = _left_out(profile, found)
    lowest, highest = (Span(p.low, p.central, p.high + more) for p in run_ends(profile, found))
    ends = lowest.low, highest.high
    unused = _unused_pairs(found)
    return Normal(*ends, "predicted", gradient, lowest, highest, (), more, unused)


def _unused_pairs(found: Prediction | None) -> str:
    fit = None if found is None else found.ready.path.fit
    return "" if fit is None else fit.unused


def _left_out(profile: Profile, found: Prediction) -> float:
    """What parts left out may add [Pa], as checks allow it; raises CannotPredict for any amount."""
    refuse_unknown_restrictors(profile, found.ready.path.segments)
    return left_out_allowance(profile, found)


def _of_band(
    profile: Profile, expected: Expected, predict: Callable[[], Prediction], gradient: bool
) -> Normal:
    low, high = float(expected.low), float(expected.high)
    found, more = None, 0.0
    if expected.basis == "predicted":
        try:
            found = predict()
        except CannotPredict as error:
            told = "[expected] is only predicted, and that can't be done again here"
            raise CannotPredict(f"{told}: limitcheck predict says why", at=error.at) from None
        if not found.ready.state.hot_known:
            raise oven_not_told()
    if found is None:
        ends = (low, low), (high, high)
        spans = [Span(a, 0.5 * (a + b), b) for a, b in (ends if gradient else ((low, high),) * 2)]
    else:
        more = _left_out(profile, found)
        lowest, highest = run_ends(profile, found)
        moved = expected.is_moved or bool(profile.source)
        first, last = _unsure(low, lowest, more, moved), _unsure(high, highest, more, moved)
        both = Span(first.low, 0.5 * (first.central + last.central), last.high)
        spans = [first, last] if gradient else [both, both]
    typed = expected.low, expected.high
    at_lowest, at_highest = spans
    unused = _unused_pairs(found)
    return Normal(low, high, expected.basis, gradient, at_lowest, at_highest, typed, more, unused)


def _unsure(end: float, point: RunPoint, more: float, moved: bool) -> Span:
    """Where a pressure lies that is typed as predicted: no surer than what is predicted here.

    Parts left out may add ``more``. The number typed may be the most likely pressure or an end of
    its interval. A band ``moved`` from another method or instrument is no prediction by itself: its
    ends are as unsure, ``about_end``.
    """
    around = about_end(end, point) if moved else point
    central = end if moved and point.central else point.central
    return Span(min(end, around.low), central, max(end, around.high + more))
