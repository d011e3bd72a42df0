"""The normal drop over each part of a flow path, in pascal.

The prediction gives every part a drop, with an interval. A known normal total (a reading of good
days, or the profile's expected band) sets the sum: what it differs from that of the prediction is
of the parts that are badly known. How far the total moves from day to day is what the band says.
Steps read on a good day move the shares (conditioning of a normal distribution, as a Kalman filter
does).
"""

from __future__ import annotations

import math
from collections.abc import Collection, Mapping, Sequence
from copy import copy

from ..physics.drops import drops
from ..physics.interval import interval
from ..physics.left_out import refuse_unknown_restrictors, unknown_restrictors
from ..physics.liquid import CannotPredict
from ..physics.predict import Prediction, Share, predict
from ..profile.model import Profile
from .openings import places

UNKNOWN_PART = 0.05
"""Most that a part without a given resistance takes of the total (assumed, no source)."""
_FAR = 1.5  # half-widths


class NormalDrops:
    """Normal drops [Pa] by place in the flow path, and their covariance [Pa^2].

    `known` is the middle of the known total [Pa] or None; `predicted` the sum as predicted, with
    its half-width, or None.
    """

    def __init__(
        self,
        central: Mapping[int, float],
        half_width: Mapping[int, float],
        total: tuple[float, float] | None,
        predicted: bool = True,
    ) -> None:
        self._order = sorted(central)
        self._mean = [central[i] for i in self._order]
        sums = math.fsum(self._mean), math.hypot(*half_width.values())
        self.predicted = sums if predicted else None
        self.known: float | None = None
        deviations = [half_width[i] / 2 for i in self._order]
        self._covariance = [
            [a * a if i == k else 0.0 for k in range(len(deviations))]
            for i, a in enumerate(deviations)
        ]
        if total is not None and sums[0] > 0:
            self._take_total(total, deviations)

    def _take_total(self, total: tuple[float, float], deviations: Sequence[float]) -> None:
        known, spread = sum(total) / 2, (total[1] - total[0]) / 4
        self.known = known
        before, self._mean = self._mean, _adding_up_to(known, self._mean, deviations)
        squares = [
            (d * now / was) ** 2 if was else 0.0
            for d, now, was in zip(deviations, self._mean, before, strict=True)
        ]
        variance = math.fsum(squares)
        day = (spread / known) ** 2 if known else 0.0
        for i, row in enumerate(self._covariance):
            for k in range(len(row)):
                row[k] = (squares[i] if i == k else 0.0) + day * self._mean[i] * self._mean[k]
                if variance:
                    row[k] -= squares[i] * squares[k] / variance

    def take(self, parts: Collection[int], drop: float, deviation: float) -> None:
        """Learn that these parts together take a drop [Pa], known to a standard deviation [Pa]."""
        inside = [1.0 if i in parts else 0.0 for i in self._order]
        along = [
            math.fsum(c * u for c, u in zip(row, inside, strict=True)) for row in self._covariance
        ]
        variance = math.fsum(a * u for a, u in zip(along, inside, strict=True)) + deviation**2
        if variance <= 0:
            return
        off = drop - math.fsum(m * u for m, u in zip(self._mean, inside, strict=True))
        self._mean = [m + a * off / variance for m, a in zip(self._mean, along, strict=True)]
        for i, row in enumerate(self._covariance):
            for k in range(len(row)):
                row[k] -= along[i] * along[k] / variance

    def over(self, parts: Collection[int]) -> tuple[float, float]:
        """Normal drop [Pa] over these parts together, and its half-width [Pa]."""
        mean = math.fsum(m for i, m in zip(self._order, self._mean, strict=True) if i in parts)
        return max(mean, 0.0), 2 * math.sqrt(max(self.together(parts, parts), 0.0))

    def ends(self, parts: Collection[int]) -> tuple[float, float]:
        """Normal drop [Pa] over these parts together, at least and at most.

        What is not listed may be none at all.
        """
        mean, off = self.over(parts)
        low, high = mean - off, mean + off
        unlisted = [place for place in parts if place < 0]
        if unlisted and not set(self._order) <= set(parts):
            bare = copy(self)
            bare._covariance = [list(row) for row in self._covariance]
            for place in unlisted:
                bare.take({place}, 0.0, 0.0)
            mean, off = bare.over(parts)
            low, high = mean - off, max(high, mean + off)
        return max(0.0, low), high

    def together(self, some: Collection[int], others: Collection[int]) -> float:
        """Covariance [Pa^2] of the drops over two groups of parts."""
        return math.fsum(
            self._covariance[a][b]
            for a, i in enumerate(self._order)
            if i in some
            for b, k in enumerate(self._order)
            if k in others
        )

    @property
    def far_apart(self) -> bool:
        """Whether the known total lies far outside what the prediction allows."""
        if self.known is None or self.predicted is None:
            return False
        return abs(self.known - self.predicted[0]) > _FAR * self.predicted[1]


def _adding_up_to(total: float, means: Sequence[float], deviations: Sequence[float]) -> list[float]:
    """Drops [Pa] that add up to a known total: what is badly known gives way, not all alike.

    Of each small part of the difference a part takes its share of the variance, as in conditioning
    a normal distribution; its deviation is a share of its drop, and moves with it. So of a drop m
    with the relative variance v becomes m / (1 - t v m), with one t for all; none is ever below 0.
    """
    weights = [d * d / m if m else 0.0 for d, m in zip(deviations, means, strict=True)]
    most = max(weights)

    def at(t: float) -> list[float]:
        return [m / (1.0 - t * w) for m, w in zip(means, weights, strict=True)]

    found = list(means)
    if most > 0.0:
        # t from -infinity to 1 / most, as 1 / most minus the inverse of a number
        low, high = math.log(most) - 60.0, math.log(most) + 60.0
        for _ in range(100):
            middle = 0.5 * (low + high)
            found = at(1.0 / most - math.exp(-middle))
            low, high = (middle, high) if math.fsum(found) < total else (low, middle)
    rest = total / math.fsum(found)  # what no variance is left for, all alike
    return [rest * m for m in found]


def predicted_drops(profile: Profile, total: tuple[float, float] | None) -> NormalDrops:
    """Drops for a normal total of `total` = low, high [Pa], if known; raises CannotPredict."""
    prediction = predict(profile)
    moments = {share.place: _moments(share) for share in prediction.budget}
    central = {place: mean for place, (mean, _) in moments.items()}
    half = {place: 2 * deviation for place, (_, deviation) in moments.items()}
    fit = prediction.ready.path.fit
    # Measured pairs are of all parts: what those without a resistance take is in the others.
    unknown = UNKNOWN_PART * sum(central.values()) / 2 if fit is None or fit.unused else 0.0
    restrictors = unknown_restrictors(profile, prediction.ready.path.segments)
    if total is None:
        refuse_unknown_restrictors(profile, prediction.ready.path.segments)
    for place in places(profile) - central.keys():
        if place in restrictors and total is not None:
            central[place], half[place] = sum(total) / 4, sum(total) / 2  # anything
        elif place < 0 or profile.flow_path[place].part not in ("pump", "waste"):
            central[place] = half[place] = unknown
    return NormalDrops(central, half, total)


def restrictors_not_known(profile: Profile) -> frozenset[int]:
    """The places of restrictors without a resistance that can be used."""
    try:
        segments = predict(profile).ready.path.segments
    except CannotPredict:
        segments = ()
    return frozenset(unknown_restrictors(profile, segments))


def predicted_over(prediction: Prediction, parts: Collection[int]) -> tuple[float, float]:
    """Low and high pressure [Pa] over these parts alone, as `predict` has it over all of them."""
    ready = prediction.ready
    state = ready.at(prediction.highest.percent_b)
    found = drops(ready.path.segments, state)
    pairs = [p for p in zip(ready.path.segments, found, strict=True) if p[0].place in parts]
    low, _, high = interval([segment for segment, _ in pairs], state, [drop for _, drop in pairs])
    return low, high


def _moments(share: Share) -> tuple[float, float]:
    """Mean and standard deviation [Pa] of a part's drop.

    Its interval is two standard deviations of ln either way, below and above apart: a split normal
    distribution of ln (any handbook of statistics).
    """
    if not 0 < share.low < share.high:
        return share.central, (share.high - share.low) / 4
    below, above = (
        math.log(share.central / share.low) / 2,
        math.log(share.high / share.central) / 2,
    )
    shift = math.sqrt(2 / math.pi) * (above - below)
    variance = (1 - 2 / math.pi) * (above - below) ** 2 + above * below
    mean = share.central * math.exp(shift + variance / 2)
    return mean, mean * math.sqrt(math.expm1(variance))


def drops_read(profile: Profile, total: tuple[float, float]) -> NormalDrops:
    """Drops of which nothing is known but their sum, low and high [Pa]."""
    each = total[1] / len(places(profile))
    known = dict.fromkeys(places(profile), each)
    return NormalDrops(known, dict.fromkeys(known, 2 * total[1]), total, predicted=False)
