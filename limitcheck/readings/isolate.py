"""Where a restriction sits: pressures read while the flow path is opened step by step.

Two readings next to each other in the plan give the drop over the parts between them; what it is
above the normal drop is the excess of these parts. Readings are rounded to the display's step and
a steady pump still varies a little, and the normal drops are known only so well: each excess has
an interval, and a part is named only when its interval lies above zero.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Mapping, Sequence
from fractions import Fraction
from itertools import pairwise

from ..physics.predict import CannotPredict, Change
from ..profile.model import Profile
from ..units import PRESSURE_UNITS, Pressure, show
from .isolation import Advice, Excess, Isolation, PlannedStep, ReadingError, Verdict
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
from .remedies import remedies

VARIATION = 0.01
"""How far a steady reading moves from one minute to the next, as a share of it (common practice,
no source)."""

_MINOR = 0.2  # of the largest excess: less is not called a restriction of its own
_IMMATERIAL = 0.02  # of the normal pressure


def isolate(
    profile: Profile,
    readings: Mapping[str, Pressure],
    *,
    normal: Mapping[str, Pressure] | None = None,
    at: Change | None = None,
) -> Isolation:
    """The plan for a profile and what the readings (by step name) say so far.

    `normal` holds pressures of the same steps from good days; a normal for `all` alone is of use
    already. `at` names the conditions of the readings where they are not the profile's. Raises
    ReadingError for an unknown step or a reading no instrument can show.
    """
    work = _Work(profile, readings, normal or {}, at or Change())
    return work.result()


class _Work:
    """Everything in pascal until it is shown."""

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
                reach = self._reach(value)
                total = (value - reach, value + reach)
            return normal_drops(self.profile, at, total), None
        except CannotPredict as error:
            return None, error.reason

    def _reach(self, *readings: float) -> float:
        """How far readings [Pa] together may be off: rounding, and variation of the pump."""
        rounding = self.resolution / 2 * len(readings)
        return rounding + VARIATION * math.hypot(*readings)

    def result(self) -> Isolation:
        groups = self._groups()
        excesses = tuple(self._excess(*group) for group in groups)
        verdict, message, named = self._verdict(excesses)
        return Isolation(
            unit=self.unit,
            resolution=self.resolution / self.pascal,
            plan=tuple(self._planned(step) for step in self.steps.values()),
            excesses=excesses,
            verdict=verdict,
            message=message,
            named=named,
            further=self._further(named),
            advice=self._advice(named),
            reversed_column=self._reversed(),
            no_normal=self.no_normal,
        )

    def _planned(self, step: Opening) -> PlannedStep:
        low = high = None
        if (band := self._normal_at(step.name, step.parts)) is not None:
            central, reach = band
            low, high = max(0.0, central - reach) / self.pascal, (central + reach) / self.pascal
        reading = self.readings.get(step.name)
        return PlannedStep(
            step.name,
            step.action,
            self._names(step.parts),
            low,
            high,
            None if reading is None else reading / self.pascal,
        )

    def _names(self, places: Collection[int]) -> tuple[str, ...]:
        return tuple(place_name(self.profile, i) for i in in_flow_order(self.profile, places))

    def _normal_at(self, name: str, parts: Collection[int]) -> tuple[float, float] | None:
        if name in self.normal:
            return self.normal[name], self._reach(self.normal[name])
        return self.drops.over(parts) if self.drops is not None else None

    def _groups(self) -> list[tuple[Opening, Opening | None]]:
        """Neighbouring steps that were read; the last one against the free outlet."""
        read = [self.steps[name] for name in self.readings]
        if len(read) < 2 or read[0].name != EVERYTHING:
            return []
        pairs: list[tuple[Opening, Opening | None]] = list(pairwise(read))
        return [*pairs, (read[-1], None)]

    def _excess(self, before: Opening, after: Opening | None) -> Excess:
        places = before.parts - (after.parts if after is not None else frozenset())
        upper = self.readings[before.name]
        lower = self.readings[after.name] if after is not None else 0.0
        drop = upper - lower
        reach = self._reach(upper) if after is None else self._reach(upper, lower)
        normal = self._normal_drop(before, after, places)
        low = excess = high = None
        if normal is not None:
            excess = drop - normal[0]
            off = math.hypot(reach, normal[1])
            low, high = (excess - off) / self.pascal, (excess + off) / self.pascal
            excess /= self.pascal
        return Excess(
            parts=self._names(places),
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
            reach = self._reach(upper) if after is None else self._reach(upper, lower)
            return upper - lower, reach
        return self.drops.over(places) if self.drops is not None else None

    def _verdict(self, excesses: Sequence[Excess]) -> tuple[Verdict, str, tuple[Excess, ...]]:
        if (rise := self._rise()) is not None:
            return "contradiction", rise, ()
        if not excesses:
            missing = (
                "give the reading of step all and of one more"
                if self.readings
                else "no reading yet"
            )
            return "plan", f"{missing}; the steps are below.", ()
        judged = [e for e in excesses if e.low is not None and e.high is not None]
        if not judged:
            return "unjudged", f"no normal pressure to hold against: {self.no_normal}.", ()
        holding = self._holding(judged)
        if len(holding) == 1:
            return "found", f"the restriction is in {self._where(holding[0])}.", tuple(holding)
        if holding:
            where = ", and in ".join(self._where(e) for e in holding)
            return "several", f"more than one restriction: in {where}.", tuple(holding)
        return self._without_a_name(judged)

    def _holding(self, judged: Sequence[Excess]) -> list[Excess]:
        """Groups surely above normal by an amount that matters, the largest first."""
        surely = [e for e in judged if e.low is not None and e.low > 0]
        largest = max((e.excess or 0.0 for e in surely), default=0.0)
        least = max(_MINOR * largest, _IMMATERIAL * self._total()[0] / self.pascal)
        matter = [e for e in surely if e.excess is not None and e.excess >= least]
        return sorted(matter, key=lambda e: -(e.excess or 0.0))

    def _without_a_name(self, judged: Sequence[Excess]) -> tuple[Verdict, str, tuple[Excess, ...]]:
        central, reach = self._total()
        total = self.readings[EVERYTHING]
        off = math.hypot(self._reach(total), reach)
        if total - central > off:
            able = [e for e in judged if e.high is not None and e.high * self.pascal > off]
            able.sort(key=lambda e: -(e.excess or 0.0))
            where = ", or ".join(", ".join(e.parts) for e in able)
            where = where or "several parts, a little each"
            return (
                "undecided",
                f"the pressure is too high, but the readings can't tell apart: {where}.",
                (),
            )
        if central - total > off:
            return (
                "low",
                "the pressure is below normal: no restriction, but perhaps a leak, air in the "
                "pump, or another mobile phase (see: limitcheck reading).",
                (),
            )
        return "normal", "every drop is normal within what the readings can show.", ()

    def _total(self) -> tuple[float, float]:
        total = self._normal_at(EVERYTHING, self.steps[EVERYTHING].parts)
        return total if total is not None else (self.readings[EVERYTHING], 0.0)

    def _rise(self) -> str | None:
        """A reading that goes up although a part was removed: said, not computed through."""
        names = list(self.readings)
        for before, after in pairwise(names):
            upper, lower = self.readings[before], self.readings[after]
            if lower > upper + self._reach(upper, lower):
                return (
                    f"the reading rises from {self._show(upper)} ({before}) to "
                    f"{self._show(lower)} ({after}), although parts were removed. At the same "
                    "flow, mobile phase and temperature that can't be: were the readings "
                    "swapped, was it too early, or did something else change? Read both again."
                )
        return None

    def _where(self, excess: Excess) -> str:
        """The parts of a group and how far above normal its drop is."""
        assert excess.excess is not None
        amount = f"{excess.excess:.3g} {self.unit} above normal"
        if len(excess.parts) == 1:
            return f"the {excess.parts[0]} ({amount})"
        return f"one of: {', '.join(excess.parts)} ({amount} together)"

    def _show(self, pascal: float) -> str:
        return f"{pascal / self.pascal:g} {self.unit}"

    def _further(self, named: Sequence[Excess]) -> tuple[PlannedStep, ...]:
        """Openings between the parts of a group that holds the restriction."""
        found = []
        for excess in named:
            for place in sorted(excess.places, reverse=True)[:-1]:
                step = opening_named(f"part-{place + 1}", self.profile)
                if step is not None and all(
                    known.parts != step.parts for known in self.steps.values()
                ):
                    found.append(self._planned(step))
        return tuple(found)

    def _advice(self, named: Sequence[Excess]) -> tuple[Advice, ...]:
        """For each part named, from the one it is likeliest to be: see remedies."""
        return tuple(
            Advice(place_name(self.profile, i), remedies(self.profile, i))
            for excess in named
            for i in excess.places
        )

    def _reversed(self) -> str | None:
        """What the reading with the column reversed says."""
        if self.reversed is None:
            return None
        parts = self.steps.get("column-outlet", self.steps[EVERYTHING]).parts
        normal = self._normal_at("column-outlet", parts)
        if normal is None:
            return None
        value = float(self.reversed)
        high = normal[0] + math.hypot(normal[1], self._reach(value))
        shown = show(self.reversed, self.unit)
        if value <= high:
            return (
                f"reversed, the column is at {shown}, which is normal: what blocked it sat at its "
                "inlet. Replace the inlet frit, and look for where the particles come from."
            )
        return (
            f"reversed, the column is still at {shown} (normal up to {high / self.pascal:.3g} "
            f"{self.unit}): bed or both frits. Wash it backwards to waste; if that does not help, "
            "replace it."
        )
