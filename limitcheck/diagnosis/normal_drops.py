"""What each part of the flow path takes of the normal pressure, and how sure that is.

The prediction gives every part a drop and an interval. A known normal total (a reading of good
days, or the profile's expected band) then moves the parts in proportion to the squares of their
intervals, the least-squares adjustment under one sum: the packed bed, known worst, moves most.
"""

from __future__ import annotations

import math
from collections.abc import Collection
from dataclasses import dataclass

from ..physics.liquid import CannotPredict
from ..physics.predict import predict
from ..physics.system import Change
from ..profile.model import Profile
from .openings import UNLISTED_LOOP, places

UNKNOWN_PART = 0.05
"""Most that a part without a given resistance takes of the total (assumed, no source)."""
_FAR = 1.5  # half-widths


@dataclass(frozen=True, slots=True)
class NormalDrops:
    """Normal drops [Pa] by place in the flow path, with half-widths before the sum is known."""

    central: dict[int, float]
    half_width: dict[int, float]
    total_variance: float  # of the sum and its knowledge; infinite where the sum is not known
    predicted: float  # sum [Pa] as predicted, before a known total moved it
    known: float | None  # middle of the known total [Pa]

    @property
    def far_apart(self) -> bool:
        """Whether the known total lies far outside what the prediction allows."""
        if self.known is None or not math.isfinite(self.total_variance):
            return False
        return abs(self.known - self.predicted) > _FAR * math.sqrt(self.total_variance)

    def over(self, parts: Collection[int]) -> tuple[float, float]:
        """Normal drop [Pa] over these parts together, and its half-width [Pa]."""
        variance = sum(self.half_width.get(i, 0.0) ** 2 for i in parts)
        left = variance - variance**2 / self.total_variance
        return sum(self.central.get(i, 0.0) for i in parts), math.sqrt(max(left, 0.0))


def normal_drops(
    profile: Profile, change: Change, total: tuple[float, float] | None
) -> NormalDrops:
    """Drops at the conditions of `change`, for a normal total of `total` = low, high [Pa].

    Raises CannotPredict.
    """
    prediction = predict(profile, change)
    central = {share.place: (share.low + share.high) / 2 for share in prediction.budget}
    half = {share.place: (share.high - share.low) / 2 for share in prediction.budget}
    sure = sum(total) / 2 if total is not None else prediction.central
    for place in places(profile) - central.keys():
        if place == UNLISTED_LOOP or profile.flow_path[place].part not in ("pump", "waste"):
            central[place] = half[place] = UNKNOWN_PART * sure / 2
    predicted = sum(central.values())
    if total is None:
        return NormalDrops(central, half, math.inf, predicted, None)
    middle, reach = sum(total) / 2, (total[1] - total[0]) / 2
    variance = sum(h * h for h in half.values()) + reach * reach
    if variance == 0:
        return NormalDrops(central, half, math.inf, predicted, middle)
    off = (middle - predicted) / variance
    moved = {i: max(0.0, c + half[i] ** 2 * off) for i, c in central.items()}
    return NormalDrops(moved, half, variance, predicted, middle)


def expected_at(profile: Profile, change: Change) -> tuple[float, float] | None:
    """The profile's expected band [Pa] at other conditions, or at one composition of a gradient.

    Each end moves by the ratio of two predictions: the high end belongs to the highest point of
    the run, the low end to the lowest. Raises CannotPredict.
    """
    if profile.expected is None:
        return None
    usual, changed = predict(profile), predict(profile, change)
    if usual.lowest.central <= 0:
        raise CannotPredict("no part with a known resistance")
    ends = (
        float(profile.expected.low) * changed.lowest.central / usual.lowest.central,
        float(profile.expected.high) * changed.highest.central / usual.highest.central,
    )
    return min(ends), max(ends)
