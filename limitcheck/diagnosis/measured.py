"""Readings of an opened flow path against normal: drops and what they are above normal.

Two readings next to each other in the plan give the drop over the parts between them; what it is
above the normal drop is the excess of these parts. Readings are rounded to the display's step and
a steady pump still varies a little, and the normal drops are known only so well: each excess has
an interval.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Mapping
from fractions import Fraction
from itertools import pairwise

from ..physics.liquid import CannotPredict
from ..physics.system import Change
from ..profile.model import Profile
from ..units import PRESSURE_UNITS, Pressure
from ..units.printing import short
from .isolation import Excess, PlannedStep, ReadingError
from .normal_drops import NormalDrops, expected_at, normal_drops
from .openings import (
    EVERYTHING,
    REVERSED,
    Opening,
    in_flow_order,
    opening_named,
    openings,
    place_name,
)

VARIATION = 0.01
"""How far a steady reading moves from one minute to the next, as a share of it (common practice,
no source)."""


class Measured:
    """Readings and normal pressures by step; everything in pascal until it is shown."""

    def __init__(
        self,
        profile: Profile,
        readings: Mapping[str, Pressure],
        normal: Mapping[str, Pressure],
        at: Change,
    ) -> None:
        self.profile = profile
        self.unit = profile.instrument.pressure_unit
        self.pascal = float(PRESSURE_UNITS[self.unit].factor)
        self.resolution = float(profile.instrument.step) * self.pascal
        self.steps = {step.name: step for step in openings(profile)}
        self.reversed = readings.get(REVERSED)
        self.readings = self._known(readings)
        self.normal = self._known(normal)
        self.drops, self.no_normal = self._normal_drops(at)

    def _known(self, readings: Mapping[str, Pressure]) -> dict[str, float]:
        """Readings [Pa] in the order of the plan; further steps are added to the plan."""
        most = self._most()
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

    def _most(self) -> Pressure:
        rating = self.profile.flow_path[0].rating
        return rating if rating is not None else Pressure.of(Fraction(3000), "bar")

    def _normal_drops(self, at: Change) -> tuple[NormalDrops | None, str | None]:
        conditions = self.profile.conditions
        if conditions is not None and conditions.gradient and at.percent_b is None:
            at = at._replace(percent_b=float(conditions.gradient[0].percent_b))
        try:
            total = expected_at(self.profile, at)
            if EVERYTHING in self.normal:
                value = self.normal[EVERYTHING]
                reach = self.reach(value)
                total = (value - reach, value + reach)
            return normal_drops(self.profile, at, total), None
        except CannotPredict as error:
            return None, error.message

    def reach(self, *readings: float) -> float:
        """How far readings [Pa] together may be off: rounding, and variation of the pump."""
        rounding = self.resolution / 2 * len(readings)
        return rounding + VARIATION * math.hypot(*readings)

    def show(self, pascal: float, significant: int = 6) -> str:
        """A pressure [Pa] in the display's unit."""
        return f"{short(pascal / self.pascal, significant)} {self.unit}"

    def names(self, places: Collection[int]) -> tuple[str, ...]:
        return tuple(place_name(self.profile, i) for i in in_flow_order(self.profile, places))

    def normal_at(self, name: str, parts: Collection[int]) -> tuple[float, float] | None:
        if name in self.normal:
            return self.normal[name], self.reach(self.normal[name])
        return self.drops.over(parts) if self.drops is not None else None

    def total(self) -> tuple[float, float]:
        """The normal pressure [Pa] with everything connected, and its half-width [Pa]."""
        total = self.normal_at(EVERYTHING, self.steps[EVERYTHING].parts)
        return total if total is not None else (self.readings[EVERYTHING], 0.0)

    def planned(self, step: Opening) -> PlannedStep:
        low = high = None
        if (band := self.normal_at(step.name, step.parts)) is not None:
            central, reach = band
            low, high = max(0.0, central - reach) / self.pascal, (central + reach) / self.pascal
        reading = self.readings.get(step.name)
        return PlannedStep(
            step.name,
            step.action,
            self.names(step.parts),
            low,
            high,
            None if reading is None else reading / self.pascal,
        )

    def groups(self) -> list[tuple[Opening, Opening | None]]:
        """Neighbouring steps that were read; the last one against the free outlet."""
        read = [self.steps[name] for name in self.readings]
        if len(read) < 2 or read[0].name != EVERYTHING:
            return []
        pairs: list[tuple[Opening, Opening | None]] = list(pairwise(read))
        return [*pairs, (read[-1], None)]

    def excess(self, before: Opening, after: Opening | None) -> Excess:
        places = before.parts - (after.parts if after is not None else frozenset())
        upper = self.readings[before.name]
        lower = self.readings[after.name] if after is not None else 0.0
        drop = upper - lower
        reach = self.reach(upper) if after is None else self.reach(upper, lower)
        normal = self._normal_drop(before, after, places)
        low = excess = high = None
        if normal is not None:
            excess = drop - normal[0]
            off = math.hypot(reach, normal[1])
            low, high = (excess - off) / self.pascal, (excess + off) / self.pascal
            excess /= self.pascal
        return Excess(
            parts=self.names(places),
            places=tuple(in_flow_order(self.profile, places)),
            before=before.name,
            after=after.name if after is not None else None,
            drop=drop / self.pascal,
            normal=None if normal is None else normal[0] / self.pascal,
            low=low,
            excess=excess,
            high=high,
        )

    def _normal_drop(
        self, before: Opening, after: Opening | None, places: Collection[int]
    ) -> tuple[float, float] | None:
        upper = self.normal.get(before.name)
        lower = 0.0 if after is None else self.normal.get(after.name)
        if upper is not None and lower is not None:
            reach = self.reach(upper) if after is None else self.reach(upper, lower)
            return upper - lower, reach
        return self.drops.over(places) if self.drops is not None else None

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

    def normal_was_read(self, excess: Excess) -> bool:
        """Whether the normal drop of this group comes from readings of a good day."""
        ends = (excess.before,) if excess.after is None else (excess.before, excess.after)
        return all(end in self.normal for end in ends)

    def rise(self) -> str | None:
        """A reading that goes up although a part was removed: said, not computed through."""
        names = list(self.readings)
        for before, after in pairwise(names):
            upper, lower = self.readings[before], self.readings[after]
            if lower > upper + self.reach(upper, lower):
                return (
                    f"the reading rises from {self.show(upper)} ({before}) to "
                    f"{self.show(lower)} ({after}), although parts were removed. At the same "
                    "flow, mobile phase and temperature that can't be: were the readings "
                    "swapped, was it too early, or did something else change? Read both again."
                )
        return None
