"""The drop over each part of an opened flow path, against what the part takes normally.

Two readings next to each other in the plan give the drop over the parts between them; what it is
above the normal drop is the excess of these parts. Readings are rounded to the display's step and
a steady pump still varies a little, and the normal drops are known only so well: each excess has
an interval. Pressures are SI floats in pascal.

Normal drops: the prediction gives every part a drop and an interval. A known normal total (a
reading of good days, or the profile's expected band) then moves the parts in proportion to the
squares of their intervals, the least-squares adjustment under one sum: the packed bed, known
worst, moves most.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Mapping
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

from ..errors import LimitcheckError
from ..physics.liquid import CannotPredict
from ..physics.predict import predict
from ..physics.system import Change
from ..profile.model import Profile
from ..units import Pressure
from ..units.printing import as_read
from .conditions import at_conditions
from .openings import (
    EVERYTHING,
    REVERSED,
    UNLISTED_LOOP,
    Opening,
    in_flow_order,
    opening_named,
    openings,
    place_name,
    places,
)

VARIATION = 0.01
"""How far a steady reading moves from one minute to the next, as a share of it (common practice,
no source)."""
UNKNOWN_PART = 0.05
"""Most that a part without a given resistance takes of the total (assumed, no source)."""
_FAR = 1.5  # half-widths


class ReadingError(LimitcheckError):
    """A reading that cannot be used; `advice` says what to give instead."""


@dataclass(frozen=True, slots=True)
class PlannedStep:
    """One step: what to open, which parts stay, the normal pressure then [Pa], what was read."""

    name: str
    action: str
    parts: tuple[str, ...]
    low: float | None
    high: float | None
    reading: Pressure | None


@dataclass(frozen=True, slots=True)
class Excess:
    """Drop [Pa] over the parts between two readings, the normal one, and the excess over it."""

    parts: tuple[str, ...]
    places: tuple[int, ...]
    before: str
    after: str | None
    drop: float
    normal: float | None
    low: float | None
    excess: float | None
    high: float | None


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


def normal_drops(profile: Profile, total: tuple[float, float] | None) -> NormalDrops:
    """Drops for a normal total of `total` = low, high [Pa], if known; raises CannotPredict."""
    prediction = predict(profile)
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


class Measurements:
    """Readings and normal pressures by step, and what they tell of the parts between.

    Raises ReadingError for an unknown step or a reading no instrument can show.
    """

    def __init__(
        self,
        profile: Profile,
        readings: Mapping[str, Pressure],
        normal: Mapping[str, Pressure],
        at: Change,
    ) -> None:
        self.profile = profile
        self.unit = profile.instrument.pressure_unit
        self.resolution = float(Pressure.of(profile.instrument.step, self.unit))
        self.steps = {step.name: step for step in openings(profile)}
        self.reversed = readings.get(REVERSED)
        self._as_read = readings
        self.readings = self._known(readings)
        self.normal = self._known(normal)
        self.drops, self.no_normal = self._normal_drops(at)

    def _known(self, readings: Mapping[str, Pressure]) -> dict[str, float]:
        """Readings [Pa] in the order of the plan; further steps are added to the plan."""
        most = self.profile.flow_path[0].rating or Pressure.of(Fraction(3000), "bar")
        for name, pressure in readings.items():
            if pressure > most:
                raise ReadingError(
                    f"{name}: {pressure} is above the rating of the pump, {most}",
                    "correct the reading; is its unit right?",
                )
            if name == REVERSED or name in self.steps:
                continue
            step = opening_named(name, self.profile)
            if step is None:
                names = ", ".join([*self.steps, REVERSED])
                raise ReadingError(
                    f'"{name}" is not a step of this flow path', f"steps: {names}, or part-N"
                )
            same = [known for known in self.steps.values() if known.parts == step.parts]
            if same:
                raise ReadingError(
                    f"{name} is the same opening as {same[0].name}", f"give it as {same[0].name}"
                )
            self.steps[name] = step
        self.steps = dict(sorted(self.steps.items(), key=lambda s: -len(s[1].parts)))
        return {name: float(readings[name]) for name in self.steps if name in readings}

    def _normal_drops(self, at: Change) -> tuple[NormalDrops | None, str | None]:
        conditions = self.profile.conditions
        if conditions is not None and conditions.gradient and at.percent_b is None:
            at = at._replace(percent_b=float(conditions.gradient[0].percent_b))
        try:
            profile = at_conditions(self.profile, at)
            total = None
            if EVERYTHING in self.normal:
                value = self.normal[EVERYTHING]
                total = (value - self.reach(value), value + self.reach(value))
            elif profile.expected is not None:
                total = (float(profile.expected.low), float(profile.expected.high))
            return normal_drops(profile, total), None
        except CannotPredict as error:
            return None, error.message

    def reach(self, *readings: float) -> float:
        """How far readings [Pa] together may be off: rounding, and variation of the pump."""
        rounding = self.resolution / 2 * len(readings)
        return rounding + VARIATION * math.hypot(*readings)

    def show(self, pascal: float, significant: int = 6) -> str:
        """A pressure [Pa] in the display's unit."""
        return f"{as_read(pascal, self.unit, significant)} {self.unit}"

    def names(self, places: Collection[int]) -> tuple[str, ...]:
        """The parts at these places, in flow order."""
        return tuple(place_name(self.profile, i) for i in in_flow_order(self.profile, places))

    def normal_at(self, name: str, parts: Collection[int]) -> tuple[float, float] | None:
        """The normal pressure [Pa] at a step, and its half-width [Pa]."""
        if name in self.normal:
            return self.normal[name], self.reach(self.normal[name])
        return self.drops.over(parts) if self.drops is not None else None

    def total(self) -> tuple[float, float]:
        """The normal pressure [Pa] with everything connected, and its half-width [Pa]."""
        total = self.normal_at(EVERYTHING, self.steps[EVERYTHING].parts)
        return total if total is not None else (self.readings[EVERYTHING], 0.0)

    def planned(self, step: Opening) -> PlannedStep:
        """The step with its normal pressure and its reading."""
        low = high = None
        if (band := self.normal_at(step.name, step.parts)) is not None:
            low, high = max(0.0, band[0] - band[1]), band[0] + band[1]
        read = self._as_read.get(step.name)
        return PlannedStep(step.name, step.action, self.names(step.parts), low, high, read)

    def excesses(self) -> tuple[Excess, ...]:
        """One for each pair of neighbouring steps that were read, the last to the free outlet."""
        read = [self.steps[name] for name in self.readings]
        if len(read) < 2 or read[0].name != EVERYTHING:
            return ()
        return tuple(self._excess(*pair) for pair in pairwise([*read, None]))

    def _excess(self, before: Opening | None, after: Opening | None) -> Excess:
        assert before is not None
        places = before.parts - (after.parts if after is not None else frozenset())
        drop, reach = self._difference(self.readings, before, after)
        normal = None
        if before.name in self.normal and (after is None or after.name in self.normal):
            normal = self._difference(self.normal, before, after)
        elif self.drops is not None:
            normal = self.drops.over(places)
        low = excess = high = None
        if normal is not None:
            excess, off = drop - normal[0], math.hypot(reach, normal[1])
            low, high = excess - off, excess + off
        return Excess(
            parts=self.names(places),
            places=tuple(in_flow_order(self.profile, places)),
            before=before.name,
            after=after.name if after is not None else None,
            drop=drop,
            normal=None if normal is None else normal[0],
            low=low,
            excess=excess,
            high=high,
        )

    def _difference(
        self, readings: Mapping[str, float], before: Opening, after: Opening | None
    ) -> tuple[float, float]:
        """Drop [Pa] between two steps, and how far it may be off [Pa]."""
        ends = [readings[step.name] for step in (before, after) if step is not None]
        return ends[0] - sum(ends[1:]), self.reach(*ends)

    def normal_was_read(self, excess: Excess) -> bool:
        """Whether the normal drop of this group comes from readings of a good day."""
        return all(end in self.normal for end in (excess.before, excess.after) if end is not None)

    def doubt(self) -> str | None:
        """Where normal total and prediction do not go together, the drops rest on little."""
        drops = self.drops
        if drops is None or drops.known is None or not drops.far_apart:
            return None
        if self.readings and self.readings.keys() <= self.normal.keys():
            return None
        return (
            f"the normal pressure, about {self.show(drops.known, 3)}, is far from the predicted "
            f"{self.show(drops.predicted, 3)}: check units, geometry and conditions of the "
            "profile first (limitcheck check), or give the normal pressure of every step."
        )

    def rise(self) -> str | None:
        """A reading that goes up although a part was removed: said, not computed through."""
        for (before, upper), (after, lower) in pairwise(self.readings.items()):
            if lower > upper + self.reach(upper, lower):
                return (
                    f"the reading rises from {self.show(upper)} ({before}) to "
                    f"{self.show(lower)} ({after}), although parts were removed. At the same "
                    "flow, mobile phase and temperature that can't be: were the readings "
                    "swapped, was it too early, or did something else change? Read both again."
                )
        return None
