"""The usual faults: what each one changes, as a ratio to the normal pressure."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from functools import cached_property
from typing import Literal

from ...profile.hardware import column_index
from ...profile.model import Profile
from ..flow_path import Segment, State, first_column, scaled
from ..liquid import CannotPredict
from ..predict import Prediction, predict_system
from ..ratio import RatioInterval, between
from ..system import Change, System, system

# Sizes that are sold (common practice, no source).
PARTICLE_SIZES = (1.7e-6, 2.5e-6, 2.7e-6, 3.0e-6, 3.5e-6, 5.0e-6, 10.0e-6)  # m
COLUMN_LENGTHS = (0.030, 0.050, 0.075, 0.100, 0.150, 0.250, 0.300)  # m
APART = 1.1  # the next size is at least this factor away
TOO_HOT = 10.0  # K above the set temperature
LEAK = 0.25  # of the flow
CLOSED = 0.5  # of a cross-section
FRIT_RISE = 0.25  # over normal: when the in-line frit is changed (LCGC troubleshooting column)
# One head of two delivers: about half the flow, unsteady (common practice, no source).
ONE_HEAD = RatioInterval(0.4, 0.5, 0.7)

Where = Literal["before the injector", "after the injector"]
Ratios = tuple[RatioInterval, RatioInterval]
"""Pressure over normal pressure [-] at the lowest and at the highest point of the run."""


class NormalRun:
    """A profile, its resistances and its normal course, worked out once when asked for."""

    def __init__(self, profile: Profile) -> None:
        self.profile = profile

    @cached_property
    def system(self) -> System:
        """The profile ready to compute; raises CannotPredict."""
        return system(self.profile)

    @cached_property
    def prediction(self) -> Prediction:
        """The prediction without a fault; raises CannotPredict."""
        return predict_system(self.system)

    def share(self, place: int) -> float:
        """The share [-] of a part in the highest pressure of the run; raises CannotPredict."""
        found = self.prediction
        own = sum(share.central for share in found.budget if share.place == place)
        return own / found.central

    def under(
        self,
        change: Callable[[State], State] = lambda state: state,
        segments: Sequence[Segment] | None = None,
    ) -> Ratios:
        """Ratios [-] at the lowest and highest point of the run; raises CannotPredict."""
        before = self.system.path.segments
        after = before if segments is None else segments
        lowest, highest = self.prediction.lowest.percent_b, self.prediction.highest.percent_b
        ratios = {
            percent_b: between(before, state, after, change(state))
            for percent_b, state in ((point, self.system.at(point)) for point in {lowest, highest})
        }
        return ratios[lowest], ratios[highest]

    def narrowest(self, where: Where) -> Segment:
        """The most resistive tube before the injector, or from it to the last column."""
        parts = self.profile.flow_path
        injector = next((i for i, part in enumerate(parts) if part.part == "injector"), None)
        if injector is None:
            raise CannotPredict("no injector in the flow path")
        before = where == "before the injector"
        first, end = (0, injector) if before else (injector, column_index(self.profile))
        tubes = [
            segment
            for segment in self.system.path.segments
            if first <= segment.place < end and parts[segment.place].part in ("tubing", "loop")
        ]
        if not tubes:
            raise CannotPredict(f"no tubing with length and bore {where}")
        return max(tubes, key=lambda segment: segment.resistance)


Fault = Callable[[NormalRun], tuple[str, Ratios]]
"""Describes the fault on this profile and gives its ratios; raises CannotPredict."""


def _heater_off(run: NormalRun) -> tuple[str, Ratios]:
    state = run.system.state
    conditions = run.profile.conditions
    if conditions is None or conditions.temperature is None:
        raise CannotPredict("no conditions.temperature")
    if conditions.ambient is None:
        raise CannotPredict("no conditions.ambient")
    if conditions.temperature.value <= conditions.ambient.value:
        raise CannotPredict("the column is not warmer than its surroundings")
    text = f"columns at ambient, {conditions.ambient}"
    return text, run.under(lambda normal: normal._replace(hot=state.cold))


def _too_hot(run: NormalRun) -> tuple[str, Ratios]:
    hot = run.system.state.hot + TOO_HOT
    text = f"oven {TOO_HOT:.0f} K above its setting, {hot - 273.15:.4g} degC"
    return text, run.under(lambda normal: normal._replace(hot=hot))


def _only(which: Literal["A", "B"]) -> Fault:
    def fault(run: NormalRun) -> tuple[str, Ratios]:
        ready = run.system
        if ready.solvent_b is None:
            raise CannotPredict("the method has one solvent")
        percent = 0.0 if which == "A" else 100.0
        if ready.programme == ((0.0, percent),):
            raise CannotPredict(f"the method runs on {which} alone")
        name = ready.solvent_a if which == "A" else ready.solvent_b
        mixed = ready.at(percent).liquid
        return (
            f"only solvent {which} delivered, {name}",
            run.under(lambda normal: normal._replace(liquid=mixed)),
        )

    return fault


def _flow(factor: float, text: str) -> Fault:
    def fault(run: NormalRun) -> tuple[str, Ratios]:
        try:
            return text, run.under(lambda state: state._replace(flow=factor * state.flow))
        except CannotPredict:  # laminar: pressure in proportion to flow
            return text, _fixed(factor)

    return fault


def _fixed(central: float) -> Ratios:
    ratio = RatioInterval(central, central, central)
    return ratio, ratio


def _constant(text: str, ratios: Ratios) -> Fault:
    def fault(_run: NormalRun) -> tuple[str, Ratios]:
        return text, ratios

    return fault


def _other_size(particle: bool, factor: Literal["smaller", "larger"]) -> Fault:
    """The column of the next size sold, of particle or length, fitted by mistake."""

    def fault(run: NormalRun) -> tuple[str, Ratios]:
        _, column = first_column(run.profile)
        given = column.particle_size if particle else column.length
        if given is None:
            raise CannotPredict("no particle size" if particle else "no column length")
        sizes = PARTICLE_SIZES if particle else COLUMN_LENGTHS
        now = float(given)
        if factor == "smaller":
            found = max((size for size in sizes if size * APART <= now), default=None)
        else:
            found = min((size for size in sizes if size >= now * APART), default=None)
        if found is None:
            raise CannotPredict(f"no {factor} size is usual")
        change = Change(particle_size=found) if particle else Change(column_length=found)
        text = f"particles of {found * 1e6:.4g} um" if particle else f"length {found * 1e3:.4g} mm"
        other = system(run.profile, change).path.segments
        return f"column with {text} for {given}", run.under(segments=other)

    return fault


def _no_column(run: NormalRun) -> tuple[str, Ratios]:
    segments = run.system.path.segments
    bare = scaled(segments, {segment.place: 0.0 for segment in segments if segment.heated})
    return "a union in place of the columns", run.under(segments=bare)


def _bed(run: NormalRun) -> tuple[str, Ratios]:
    place, _ = first_column(run.profile)
    blocked = scaled(run.system.path.segments, {place: 1.0 / (1.0 - CLOSED)})
    return f"{100 * CLOSED:.0f} % of the bed's cross-section blocked", run.under(segments=blocked)


def _tube(where: Where) -> Fault:
    def fault(run: NormalRun) -> tuple[str, Ratios]:
        tube = run.narrowest(where)
        factor = 1.0 / (1.0 - CLOSED) ** 2  # resistance goes as 1 / area^2
        blocked = scaled(run.system.path.segments, {tube.place: factor})
        text = f"{100 * CLOSED:.0f} % of the cross-section of {tube.name} closed"
        return text, run.under(segments=blocked)

    return fault


FAULTS: Mapping[str, Fault] = {
    "heater-off": _heater_off,
    "oven-too-hot": _too_hot,
    "only-a": _only("A"),
    "only-b": _only("B"),
    "flow-doubled": _flow(2.0, "twice the flow"),
    "flow-halved": _flow(0.5, "half the flow"),
    "smaller-particles": _other_size(True, "smaller"),
    "larger-particles": _other_size(True, "larger"),
    "longer-column": _other_size(False, "larger"),
    "shorter-column": _other_size(False, "smaller"),
    "no-column": _no_column,
    "inlet-frit-blocked": _constant(
        f"inlet frit adds {100 * FRIT_RISE:.0f} % to the pressure (time to change it)",
        _fixed(1.0 + FRIT_RISE),
    ),
    "bed-blocked": _bed,
    "tubing-before-injector-blocked": _tube("before the injector"),
    "tubing-after-injector-blocked": _tube("after the injector"),
    "leak": _flow(1.0 - LEAK, f"a leak before the column takes {100 * LEAK:.0f} % of the flow"),
    "air-in-pump-head": _constant(
        "air in one of two pump heads: about half the flow, unsteady", (ONE_HEAD, ONE_HEAD)
    ),
}
