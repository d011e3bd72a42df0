"""Pressures read while a flow path is opened step by step, and the drops they tell.

Two readings next to each other in the plan give the drop over the parts between them; what it is
above the normal drop is the excess of these parts, with an interval: readings are rounded to the
display's step and vary, and the normal drops are known only so well. SI floats in pascal.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Mapping, Sequence
from fractions import Fraction
from itertools import combinations, pairwise
from statistics import fmean

from ..errors import LimitcheckError
from ..physics.left_out import NO_TUBING
from ..physics.liquid import CannotPredict
from ..physics.predict import Prediction, predict
from ..physics.system import Change
from ..profile.model import Profile
from ..units import Pressure
from ..units.printing import as_stated
from .bounds import Bounds, Position, Usual, usual
from .conditions import at_conditions, moved_band
from .drops import NormalDrops, drops_read, predicted_drops, predicted_over, restrictors_not_known
from .one_pressure import VARIATION
from .openings import (
    EVERYTHING,
    REVERSED,
    Opening,
    in_flow_order,
    opening_named,
    openings,
    place_name,
)
from .steps import Excess, PlannedStep
from .weighing import Weights, weigh

ZERO = 1e5
"""How far a display's zero may be off [Pa], two standard deviations, in all readings alike: 1 bar
(common practice, no source), or one step of a coarser display."""
IN_DOUBT = "the expected band is in doubt"
AGAIN, THIRD = "-again", "-third"
"""What the name of a step ends with where it is read once more."""


class ReadingError(LimitcheckError):
    """A reading that cannot be used; `advice` says what to give instead."""


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
        *,
        in_doubt: bool,
    ) -> None:
        self.profile = profile
        self.unit = profile.instrument.pressure_unit
        self.resolution = float(Pressure.of(profile.instrument.step, self.unit))
        self.zero = max(ZERO, self.resolution)
        self.steps = {step.name: step for step in openings(profile)}
        self.reversed = readings.get(REVERSED)
        self._as_read = dict(readings)
        self._check(readings, normal)
        self.repeated = {
            name: tuple(
                float(readings[n]) for n in (name, name + AGAIN, name + THIRD) if n in readings
            )
            for name in self.steps
            if name in readings
        }
        self.readings = {name: middle(values) for name, values in self.repeated.items()}
        self.normal = {name: float(normal[name]) for name in self.steps if name in normal}
        band = profile.expected
        ends = () if band is None else (band.low, band.high)
        self.typed = (*readings.values(), *normal.values(), *ends)
        self.usual: Usual | None = None
        self.prediction: Prediction | None = None  # where nothing else says what is normal
        self.drops, self.no_normal = self._normal_drops(at, in_doubt=in_doubt)

    @property
    def in_doubt(self) -> bool:
        """Whether what is normal is in doubt, so that no reading can be judged by it."""
        return self.usual is not None and self.usual.bounds.in_doubt

    @property
    def left_out(self) -> float:
        """What parts left out may add to drops that nobody measured [Pa].

        Of a known total without any tubing listed: nobody knows where in it that is.
        """
        if self.usual is None:
            return 0.0
        if self.usual.total is None:
            return self.usual.left_out
        tubed = any(part.part == "tubing" for part in self.profile.flow_path)
        return 0.0 if tubed or len(self.normal) > 1 else min(NO_TUBING, self.usual.total[1])

    @property
    def told(self) -> str:
        """What everything connected makes on good days; only where something says it."""
        assert self.usual is not None
        return self.usual.told(self.show, self.unit)

    def _check(self, *all_readings: Mapping[str, Pressure]) -> None:
        """Every step named is one of the plan, or is added to it."""
        most = self.profile.flow_path[0].rating or Pressure.of(Fraction(3000), "bar")
        for readings in all_readings:
            for name, pressure in readings.items():
                if pressure > most:
                    raise ReadingError(
                        f"{name}: {pressure} is above the rating of the pump, {most}",
                        "if that is right, stop the flow; else correct it: is its unit right?",
                    )
                first = name.removesuffix(AGAIN).removesuffix(THIRD)
                before = first if name.endswith(AGAIN) else first + AGAIN
                if name != first and before not in readings:
                    raise ReadingError(f"{name} without {before}", f"give {before} as well")
                self._add(first)
        self.steps = dict(sorted(self.steps.items(), key=lambda s: -len(s[1].parts)))

    def _add(self, name: str) -> None:
        if name == REVERSED or name in self.steps:
            return
        step = opening_named(name, self.profile)
        if step is None:
            names = ", ".join([*self.steps, REVERSED])
            raise ReadingError(
                f'"{name}" is not a step of this flow path',
                f"steps: {names}, or part-N; a step read once more: {EVERYTHING}{AGAIN}",
            )
        same = [known for known in self.steps.values() if known.parts == step.parts]
        if same:
            raise ReadingError(
                f"{name} is the same opening as {same[0].name}", f"give it as {same[0].name}"
            )
        self.steps[name] = step

    def _normal_drops(self, at: Change, *, in_doubt: bool) -> tuple[NormalDrops | None, str | None]:
        conditions = self.profile.conditions
        if conditions is not None and conditions.gradient and at.percent_b is None:
            at = at._replace(percent_b=float(conditions.gradient[0].percent_b))
        no_normal = moved = None
        try:
            moved = moved_band(self.profile, at)
            profile = at_conditions(self.profile, at)
        except CannotPredict as error:
            profile, no_normal = self.profile.model_copy(update={"expected": None}), error.message
        self.usual, drops = usual(profile, moved, in_doubt=in_doubt), None
        self.restrictors = restrictors_not_known(profile)
        if EVERYTHING in self.normal:
            value = self.normal[EVERYTHING]
            read = value - self.reach(value), value + self.reach(value)
            self.usual = Usual(Bounds(*read, read, in_doubt=False), "measured", read)
        if self.in_doubt:
            return None, IN_DOUBT
        total = self.usual.total if self.usual is not None else None
        try:
            if no_normal is None:
                drops = predicted_drops(profile, total)
                if total is None and not self.normal:
                    self.prediction = predict(profile)
        except CannotPredict as error:
            no_normal = error.message
        if drops is None and total is not None and len(self.normal) > 1:
            drops = drops_read(self.profile, total)
        for name, value in self.normal.items():
            if drops is not None and name != EVERYTHING:
                drops.take(self.steps[name].parts, value, self.noise(value))
        return drops, no_normal

    def noise(self, reading: float, times: int = 1) -> float:
        """Standard deviation [Pa] of a reading [Pa]: rounding, and what it varies."""
        return math.hypot(self.resolution / math.sqrt(12), VARIATION / 2 * reading) / math.sqrt(
            times
        )

    def reach(self, *readings: float) -> float:
        """How far readings [Pa] together may be off: rounding, and variation of the pump."""
        return 2 * math.hypot(*(self.noise(reading) for reading in readings))

    def show(self, pascal: float, significant: int = 6) -> str:
        """A pressure [Pa] in the display's unit."""
        return f"{as_stated(pascal, self.unit, significant, typed=self.typed)} {self.unit}"

    def names(self, places: Collection[int]) -> tuple[str, ...]:
        """The parts at these places, in flow order."""
        return tuple(place_name(self.profile, i) for i in in_flow_order(self.profile, places))

    def normal_at(self, name: str, parts: Collection[int]) -> tuple[float, float] | None:
        """The normal pressure [Pa] at a step, and its half-width [Pa]."""
        if name in self.normal and self.drops is None:
            return self.normal[name], self.reach(self.normal[name])
        return self.drops.over(parts) if self.drops is not None else None

    def total(self) -> float:
        """The normal pressure [Pa] with everything connected."""
        total = self.normal_at(EVERYTHING, self.steps[EVERYTHING].parts)
        return total[0] if total is not None else self.readings[EVERYTHING]

    def planned(self, step: Opening, ending: str = "") -> PlannedStep:
        """The step with its normal pressure and its reading; `ending` where it is read again."""
        low = high = None
        known = self.usual is not None and not self.in_doubt
        if step.name == EVERYTHING and self.usual is not None and known and not self.normal:
            low, high = self.usual.bounds.band
        elif self.prediction is not None:
            low, high = predicted_over(self.prediction, step.parts)
        elif self.drops is not None:
            low, high = self.drops.ends(step.parts)
        elif (band := self.normal_at(step.name, step.parts)) is not None:
            low, high = max(0.0, band[0] - band[1]), band[0] + band[1]
        connected = step.name != EVERYTHING and step.parts - {0}  # more than the pump
        if high is not None and connected and step.name not in self.normal:
            high += self.left_out
        name, action = step.name + ending, step.action
        if ending:
            action = f"again: {action}"
        return PlannedStep(name, action, self.names(step.parts), low, high, self._as_read.get(name))

    def plan(self) -> tuple[PlannedStep, ...]:
        """Every step, and after it what was read of it once more."""
        return tuple(
            self.planned(step, ending)
            for step in self.steps.values()
            for ending in ("", AGAIN, THIRD)
            if not ending or step.name + ending in self._as_read
        )

    def again(self, step: str) -> PlannedStep | None:
        """One more reading of a step; None after the third."""
        times = len(self.repeated[step])
        return self.planned(self.steps[step], (AGAIN, THIRD)[times - 1]) if times < 3 else None

    def excesses(self) -> tuple[Excess, ...]:
        """One for each pair of neighbouring steps that were read, the last to the free outlet."""
        read = [self.steps[name] for name in self.readings]
        if len(read) < 2 or read[0].name != EVERYTHING:
            return ()
        return tuple(self._excess(*pair) for pair in pairwise([*read, None]))

    @property
    def position(self) -> Position | None:
        """Where everything connected reads; None without a reading or anything to compare with."""
        total = self.readings.get(EVERYTHING)
        return None if total is None or self.usual is None else self.usual.bounds.position(total)

    def weights(self) -> Weights | None:
        """What the readings speak for; None without two readings and a normal to compare with."""
        drops, read = self.drops, [self.steps[name] for name in self.readings]
        if drops is None or len(read) < 2 or read[0].name != EVERYTHING:
            return None
        times = [min(len(self.repeated[step.name]), 2) for step in read]
        values = list(self.readings.values())
        return weigh(
            values,
            [self.noise(value, n) for value, n in zip(values, times, strict=True)],
            times,
            [drops.over(step.parts)[0] for step in read],
            [[drops.together(a.parts, b.parts) for b in read] for a in read],
            self.zero / 2,
        )

    def _excess(self, before: Opening | None, after: Opening | None) -> Excess:
        assert before is not None
        places = before.parts - (after.parts if after is not None else frozenset())
        ends = [self.readings[step.name] for step in (before, after) if step is not None]
        drop, reach = ends[0] - sum(ends[1:]), self.reach(*ends)
        if after is None:  # no second reading with the same zero
            reach = math.hypot(reach, self.zero)
        normal = self.drops.over(places) if self.drops is not None else None
        low = excess = high = None
        on_good_days = {step.name for step in (before, after) if step is not None}
        if self.restrictors & places and not on_good_days <= self.normal.keys():
            normal = None  # no computed number says what a restrictor takes
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

    def doubt(self) -> str | None:
        """Where normal total and prediction do not go together, the drops rest on little."""
        drops = self.drops
        if drops is None or drops.known is None or drops.predicted is None or not drops.far_apart:
            return None
        if self.readings and self.readings.keys() <= self.normal.keys():
            return None
        return (
            f"the normal pressure, about {self.show(drops.known, 3)}, is far from the predicted "
            f"{self.show(drops.predicted[0], 3)}: check units, geometry and conditions of the "
            "profile first (limitcheck check), or give the normal pressure of every step."
        )


def middle(values: Sequence[float]) -> float:
    """The reading of a step [Pa]: of three the mean of the two nearest."""
    if len(values) < 2:
        return values[0]
    near = min(combinations(values, 2), key=lambda pair: abs(pair[0] - pair[1]))
    return fmean(near)
