"""The usual faults: what each one changes, as a ratio to the normal pressure."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Literal

from ..flow_path import State, scaled
from ..liquid import CannotPredict
from ..ratio import RatioInterval
from ..system import Change, system
from .run import Ratios, Run, Where

Fault = Callable[[Run], tuple[str, Ratios]]
"""Describes the fault on this profile and gives its ratios; raises CannotPredict."""

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


def _heater_off(run: Run) -> tuple[str, Ratios]:
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


def _too_hot(run: Run) -> tuple[str, Ratios]:
    hot = run.system.state.hot + TOO_HOT
    text = f"oven {TOO_HOT:.0f} K above its setting, {hot - 273.15:.4g} degC"
    return text, run.under(lambda normal: normal._replace(hot=hot))


def _only(which: Literal["A", "B"]) -> Fault:
    def fault(run: Run) -> tuple[str, Ratios]:
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
    def fault(run: Run) -> tuple[str, Ratios]:
        try:
            return text, run.under(lambda state: state._replace(flow=factor * state.flow))
        except CannotPredict:  # laminar: pressure in proportion to flow
            return text, _fixed(factor)

    return fault


def _fixed(central: float) -> Ratios:
    ratio = RatioInterval(central, central, central)
    return ratio, ratio


def _constant(text: str, ratios: Ratios) -> Fault:
    def fault(_run: Run) -> tuple[str, Ratios]:
        return text, ratios

    return fault


def _other_size(particle: bool, factor: Literal["smaller", "larger"]) -> Fault:
    """The column of the next size sold, of particle or length, fitted by mistake."""

    def fault(run: Run) -> tuple[str, Ratios]:
        _, column = run.column
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
        return f"column with {text} for {given}", run.under(_unchanged, other)

    return fault


def _no_column(run: Run) -> tuple[str, Ratios]:
    segments = run.system.path.segments
    bare = scaled(segments, {segment.place: 0.0 for segment in segments if segment.heated})
    return "a union in place of the columns", run.under(_unchanged, bare)


def _bed(run: Run) -> tuple[str, Ratios]:
    place, _ = run.column
    blocked = scaled(run.system.path.segments, {place: 1.0 / (1.0 - CLOSED)})
    return f"{CLOSED:.0%} of the bed's cross-section blocked", run.under(_unchanged, blocked)


def _tube(where: Where) -> Fault:
    def fault(run: Run) -> tuple[str, Ratios]:
        tube = run.narrowest(where)
        factor = 1.0 / (1.0 - CLOSED) ** 2  # resistance goes as 1 / area^2
        blocked = scaled(run.system.path.segments, {tube.place: factor})
        text = f"{CLOSED:.0%} of the cross-section of {tube.name} closed"
        return text, run.under(_unchanged, blocked)

    return fault


def _unchanged(state: State) -> State:
    return state


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
        f"inlet frit adds {FRIT_RISE:.0%} to the pressure (time to change it)",
        _fixed(1.0 + FRIT_RISE),
    ),
    "bed-blocked": _bed,
    "tubing-before-injector-blocked": _tube("before the injector"),
    "tubing-after-injector-blocked": _tube("after the injector"),
    "leak": _flow(1.0 - LEAK, f"a leak before the column takes {LEAK:.0%} of the flow"),
    "air-in-pump-head": _constant(
        "air in one of two pump heads: about half the flow, unsteady", (ONE_HEAD, ONE_HEAD)
    ),
}
