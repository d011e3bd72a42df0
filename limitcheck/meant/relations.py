"""What a profile's numbers say under one reading: which relations break, and how usual they look.

`NumbersRead.cost` is a scale of surprise, like a negative log likelihood: 0 is what people
usually set, 1 is seen, 3 is hardly seen. All figures in it are common practice, no source; they
are kept by the measurements in tests/detection.
"""

from __future__ import annotations

from collections.abc import Iterator
from math import inf, log
from typing import NamedTuple

from ..profile.plausible import made_bores
from .evidence import (
    ENTRY_MAX,
    EXPECTED,
    EXPECTED_HIGH,
    EXPECTED_LOW,
    HIGH,
    INSTRUMENT,
    LOW,
    Evidence,
    Group,
    Numbers,
)

_EVEN = 1 + 1e-9
"""Floats this close are equal."""
ROUNDING = 1.005 * _EVEN
"""A value up to this many times a limit is a rounding: it is no reason to doubt a unit."""
AGAINST_PREDICTION = "expected-against-prediction"
FAR_FROM_PREDICTION = 3.0
"""An expected pressure this many times off the prediction contradicts it."""
_FAR_FOR_ODD_BORE = 1.5
"""The same where a column has a bore that none is made with: it may be the radius."""
_USUAL_STEPS = {
    "bar": (0.1, 1.0),
    "psi": (1.0, 10.0),
    "MPa": (0.01, 0.1),
    "kPa": (1.0, 100.0),
    "kgf/cm2": (0.1, 1.0),
}
_FOLLOWS = 0.1
"""Cost of a low cutoff that follows the method."""
_USUAL_RATING = (100.0, 1500.0)
"""Ratings of most parts between pump and column, in bar."""
_UNUSUAL_RATING, _ODD_PUMP = 0.6, 1.5
AT_LIMIT = -1.5
"""Cost of a high cutoff that is exactly a rating or the largest entry: many are, few by chance."""
_TWIN = -1.5
"""Cost of a rating that, read otherwise, is just that of another part."""
_NO_RATING = 2.0
"""Most that a high cutoff far above the band costs where no rating is given."""
_RARE = 1.5
"""Most that a method of low pressure counts beside."""
_WIDE_BAND = 4.0
"""A band whose ends are this many times apart is unusual, even for a gradient."""


class Broken(NamedTuple):
    """A relation that does not hold, by the check that reports it."""

    check: str
    path: Group
    factor: float
    """How many times it is missed."""
    mends: frozenset[Group]
    """The groups of which any one, read otherwise, may mend it."""
    together: frozenset[Group] = frozenset()
    """Groups that may mend it only together: several ratings under one pressure."""


class RatingsRead(NamedTuple):
    """What the ratings alone say."""

    weakest: float
    cost: float
    broken: tuple[Broken, ...]


class NumbersRead(NamedTuple):
    """What the numbers say under one reading: broken relations, and surprise."""

    broken: tuple[Broken, ...]
    worst: float
    """By what factor the worst of them is missed; 1 where none is."""
    cost: float
    surprise: float
    """The part of `cost` that may start a search: not the low cutoff or the ratings alone, which
    vary widely from laboratory to laboratory."""
    low_follows: bool
    """Whether the low cutoff is a usual share of the expected minimum: the two agree."""
    weakest: float
    """The weakest rating, in bar; infinite where none is given."""


def read(
    evidence: Evidence, now: Numbers, ratings: RatingsRead | None = None, *, lenient: bool = False
) -> NumbersRead:
    """The numbers under one reading; `ratings` as read already, where they are as typed.

    Where nothing is contradicted the reading is `lenient`: a column without a rating may be
    weaker than all that is rated, so that a cutoff far under the ratings surprises nobody.
    """
    rated = ratings or read_ratings(evidence, now.ratings)
    known = inf if lenient and not evidence.column_rated else rated.weakest
    surprise = _high_cost(now, known) + _entry_cost(evidence, now)
    if now.band is not None:
        surprise += _expected_cost(now, now.band, known)
    broken = (*rated.broken, *_relations(evidence, now, rated.weakest))
    low_cost = _low_cost(now.low, now.band)
    return NumbersRead(
        broken,
        max((item.factor for item in broken), default=1.0),
        surprise + rated.cost + low_cost,
        surprise,
        low_cost == _FOLLOWS,
        rated.weakest,
    )


def read_ratings(evidence: Evidence, full: tuple[float, ...]) -> RatingsRead:
    """The weakest rating, how unusual the ratings are, and those that are impossible."""
    weakest, cost = inf, 0.0
    broken: list[Broken] = []
    least_usual, most_usual = _USUAL_RATING
    for rating, bar in zip(evidence.ratings, full, strict=True):
        if not rating.least <= bar * _EVEN or not bar <= rating.most * _EVEN:
            factor = max(rating.least / bar, bar / rating.most) if bar else inf
            broken.append(
                Broken("rating-implausible", rating.group, factor, frozenset({rating.group}))
            )
        if rating.loaded:
            if not least_usual <= bar <= most_usual:
                off = least_usual / bar if bar < least_usual else bar / most_usual
                cost += _UNUSUAL_RATING * log(off)
                cost += _ODD_PUMP if rating.group[1] == 0 else 0.0
            weakest = min(weakest, bar * rating.derated)
    return RatingsRead(weakest, cost, tuple(broken))


def _relations(evidence: Evidence, now: Numbers, weakest: float) -> Iterator[Broken]:
    """The order low < expected low <= expected high < high <= ratings and largest entry, as far
    as the numbers are given, and the predicted pressure."""
    high, low, band = now.high, now.low, now.band
    if high > weakest * ROUNDING:
        yield _over_ratings(evidence, now, "high-cutoff-above-rating", HIGH, high, weakest)
    if high > now.entry_max * ROUNDING:
        mends = frozenset({HIGH, ENTRY_MAX})
        yield Broken("entry-beyond-field", HIGH, high / now.entry_max, mends)
    if high and low > high * ROUNDING:
        mends = frozenset({LOW, HIGH})
        yield Broken("low-cutoff-not-below-high", LOW, low / high, mends)
    if band is None:
        return
    bare = {INSTRUMENT} if not evidence.bare_band else set()
    least, most = band
    if high and most > high * ROUNDING:
        mends = frozenset({HIGH, EXPECTED, EXPECTED_HIGH} | bare)
        yield Broken("high-cutoff-below-expected", HIGH, most / high, mends)
    if low and low > least * ROUNDING:
        mends = frozenset({LOW, EXPECTED, EXPECTED_LOW} | bare)
        yield Broken("low-cutoff-above-expected", LOW, low / least if least else inf, mends)
    if least > most * ROUNDING:
        mends = frozenset({EXPECTED_LOW, EXPECTED_HIGH})
        yield Broken("expected-inverted", EXPECTED_HIGH, least / most if most else inf, mends)
    if most > weakest * ROUNDING:
        yield _over_ratings(evidence, now, "expected-above-rating", EXPECTED_HIGH, most, weakest)
    if now.predicted is not None:
        yield from _against_prediction(evidence, now, most)


def _over_ratings(
    evidence: Evidence, now: Numbers, check: str, path: Group, pressure: float, weakest: float
) -> Broken:
    under = [
        rating.group
        for rating, bar in zip(evidence.ratings, now.ratings, strict=True)
        if rating.loaded and pressure > bar * rating.derated * ROUNDING
    ]
    mends = {HIGH, INSTRUMENT} if path == HIGH else {EXPECTED, EXPECTED_HIGH}
    if path != HIGH and evidence.bare_band:
        mends.add(INSTRUMENT)
    mends |= set(under) if len(under) == 1 else set()
    together = frozenset(under) if len(under) > 1 else frozenset()
    return Broken(check, path, pressure / weakest, frozenset(mends), together)


def _against_prediction(evidence: Evidence, now: Numbers, most: float) -> Iterator[Broken]:
    predicted = now.predicted
    assert predicted is not None
    if predicted.low <= most <= predicted.high + predicted.left_out:
        return
    far = FAR_FROM_PREDICTION if made_bores(evidence.profile) else _FAR_FOR_ODD_BORE
    top = max(predicted.high, far * predicted.central) + predicted.left_out
    bottom = min(predicted.low, predicted.central / far)
    if bottom <= most <= top:
        return
    factor = far * (most / top if most > top else bottom / most if most else inf)
    mends = {EXPECTED, EXPECTED_HIGH, *evidence.predicted_by}
    if evidence.bare_band:
        mends.add(INSTRUMENT)
    yield Broken(AGAINST_PREDICTION, EXPECTED_HIGH, factor, frozenset(mends))


def _high_cost(now: Numbers, weakest: float) -> float:
    """Usual: 5 to 120 % above the expected maximum, or 75 to 100 % of the weakest rating."""
    high, band = now.high, now.band
    if not high:
        return 0.0
    if now.untouched:
        return 0.5
    costs = []
    if weakest < inf:
        share = high / weakest
        far = 0.6 if band is None else 2.5  # with no band, a method of low pressure is as likely
        costs.append(0.9 if share >= 0.75 else 0.9 + far * log(0.75 / share))
    if band is not None and band[1] > 0:
        above = high / band[1]
        if above <= 1.05:
            costs.append(1.0)
        elif above <= 2.2:
            costs.append(0.3 * abs(log(above / 1.3)))
        else:
            costs.append(0.16 + 2.5 * log(above / 2.2))
    usual = min(costs, default=0.0)
    return usual if weakest < inf else min(usual, _NO_RATING)  # it may be the largest entry


def _expected_cost(now: Numbers, band: tuple[float, float], weakest: float) -> float:
    """Usual: 10 to 85 % of the weakest rating, hardly ever under 1 %; as predicted; not wide."""
    least, top = band
    if top <= 0:
        return 3.0
    cost = 0.0
    if weakest < inf:
        share = top / weakest
        cost += 0.8 * log(0.1 / share) if share < 0.1 else 0.5 if share > 0.85 else 0.0
        cost += 2.5 * log(0.012 / share) if share < 0.012 else 0.0
    elif top < 20 or top > 1300:
        cost += 0.5
    if least * _WIDE_BAND < top:
        cost += 3.0 * log(top / (_WIDE_BAND * least)) if least else 0.5
    if now.predicted is not None:
        most = now.predicted.high + now.predicted.left_out
        if top > most:
            cost += 2.0 * log(top / most)
        elif top < now.predicted.low:
            cost += 2.0 * log(now.predicted.low / top)
    return cost


def rare_cost(evidence: Evidence, now: Numbers, weakest: float) -> float:
    """What tells explanations apart where something is broken, and starts nothing.

    A method of low pressure on hardware of high pressure; a high cutoff that is just a rating, and
    a rating that is just another part's.
    """
    as_typed, cost, high, band = evidence.declared.ratings, 0.0, now.high, now.band
    if now.ratings is not as_typed:
        changed = [b for a, b in zip(as_typed, now.ratings, strict=True) if a != b]
        cost += sum(_TWIN for bar in changed if _times(bar, now.ratings) > 1)
    if not now.untouched and any(abs(high / limit - 1) < 1e-3 for limit in _limits(now)):
        cost += AT_LIMIT
    if band is not None and 0 < band[1] < 0.1 * weakest < inf:
        cost += min(_RARE, log(0.1 * weakest / band[1]))
    return cost


def _times(bar: float, ratings: tuple[float, ...]) -> int:
    """How many parts have this rating."""
    return sum(abs(bar / rating - 1) < 1e-3 for rating in ratings if rating)


def _limits(now: Numbers) -> tuple[float, ...]:
    """What a high cutoff may have been left at: ratings and the largest entry."""
    return (*now.ratings, now.entry_max)


def _entry_cost(evidence: Evidence, now: Numbers) -> float:
    """The entry field's step and its largest value, where given, belong to a unit too."""
    cost = 0.0
    if evidence.step is not None:
        least, most = _USUAL_STEPS[now.unit]
        if not least / _EVEN <= evidence.step <= most * _EVEN:
            cost += 2.0
    if now.entry_max < inf and evidence.ratings and evidence.ratings[0].group[1] == 0:
        share = now.entry_max / now.ratings[0]
        if not 0.45 <= share <= 2.5:
            cost += 3.0 * log(0.45 / share if share < 0.45 else share / 2.5)
    return cost


def _low_cost(low: float, band: tuple[float, float] | None) -> float:
    """Usual: off, 25 to 85 % of the expected minimum, or 3 to 25 bar whatever the method."""
    if not low or band is None or band[0] <= 0:
        return 0.0
    share = low / band[0]
    if 0.25 <= share <= 0.85:
        return _FOLLOWS
    if share > 0.85:
        return 0.8
    weak = 0.6 if 3 <= low <= 25 else 0.6 + 1.5 * (log(3 / low) if low < 3 else log(low / 25))
    return min(weak, 0.6 + 1.2 * log(0.25 / share))
