"""A profile made ready to compute: resistances in series, conditions, composition programme."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from ..profile.model import Conditions, Profile
from .flow_path import AMBIENT, FlowPath, Segment, State, first_column, flow_path, in_range, scaled
from .liquid import CannotPredict, Liquid
from .mobile_phase import liquid
from .resistance import bed_apart_error


class Change(NamedTuple):
    """What differs from the profile; None keeps the profile's value.

    Flow [m^3/s], column temperature [K], ambient [K], percent B from 0 to 100 [%] (isocratic
    at that composition), and the length [m] and particle size [m] of the first column.
    """

    flow: float | None = None
    temperature: float | None = None
    ambient: float | None = None
    percent_b: float | None = None
    column_length: float | None = None
    particle_size: float | None = None


class System(NamedTuple):
    """A profile made ready to compute: segments, and the composition programme.

    ``programme`` holds (minute, percent B) pairs, one for an isocratic method.
    """

    path: FlowPath
    state: State
    solvent_a: str | None
    solvent_b: str | None
    programme: tuple[tuple[float, float], ...]

    def at(self, percent_b: float) -> State:
        """The state at a composition [% B]; raises CannotPredict."""
        return self.state._replace(liquid=self.liquid(percent_b))

    def liquid(self, percent_b: float) -> Liquid:
        """The mobile phase at a composition [% B]; raises CannotPredict."""
        mixed, fit = liquid(self.solvent_a, self.solvent_b, percent_b), self.path.fit
        if fit is None:
            return mixed
        return mixed._replace(measured=fit.correction(mixed.solvents, self.state.hot))

    def composition(self, minute: float) -> float:
        """Percent B at a moment [min]: straight lines between the points of the programme."""
        before = self.programme[0]
        if minute <= before[0]:
            return before[1]
        for point in self.programme[1:]:
            if minute < point[0]:
                step = (minute - before[0]) / (point[0] - before[0])
                return before[1] + step * (point[1] - before[1])
            before = point
        return before[1]


def system(profile: Profile, change: Change | None = None) -> System:
    """A profile, changed if wanted, as resistances [1/m^3], state and programme [min, %].

    Measured pairs of the profile scale the resistances. Raises CannotPredict where flow,
    temperature, a solvent or the column's geometry is missing
    or out of range.
    """
    conditions = profile.conditions or Conditions()
    programme = _programme(conditions)
    state = _state(profile, conditions, programme[0][1])
    path = flow_path(profile, state)
    if profile.measured:
        from .measured import fitted  # few profiles have any

        path = fitted(profile, path, state)
    solvents = conditions.solvent_a, conditions.solvent_b
    if change is None:
        return System(path, state, *solvents, programme)
    if change.column_length is not None or change.particle_size is not None:
        path = path._replace(segments=other_column(profile, path.segments, change))
    if change.percent_b is not None:
        programme = ((0.0, change.percent_b),)
    changed = State(
        state.flow if change.flow is None else change.flow,
        liquid(conditions.solvent_a, conditions.solvent_b, programme[0][1]),
        in_range(state.hot if change.temperature is None else change.temperature),
        in_range(state.cold if change.ambient is None else change.ambient),
        state.cold_known or change.ambient is not None,
        state.oven,
        state.hot_known or change.temperature is not None,
    )
    return System(path, changed, *solvents, programme)


def oven_not_told() -> CannotPredict:
    """Why nothing is said that depends on the columns' temperature [K] where nobody gives it."""
    return CannotPredict(
        "the temperature of the columns is not given in [conditions]; ambient is only assumed",
        "temperature in [conditions], the room's where they are in no oven",
        ("conditions",),
    )


def _programme(conditions: Conditions) -> tuple[tuple[float, float], ...]:
    if conditions.gradient is not None:
        return tuple((float(p.minute), float(p.percent_b)) for p in conditions.gradient)
    if conditions.percent_b is not None:
        return ((0.0, float(conditions.percent_b)),)
    if conditions.solvent_b is None:
        return ((0.0, 0.0),)
    raise CannotPredict(
        "solvent_b is given, but neither percent_b nor gradient", at=("conditions", "solvent_b")
    )


def _state(profile: Profile, conditions: Conditions, percent_b: float) -> State:
    if conditions.flow is None:
        raise CannotPredict("no conditions.flow", at=("conditions",))
    hot = conditions.temperature or conditions.ambient
    if hot is None:
        raise CannotPredict("no conditions.temperature", at=("conditions",))
    heats = "ambient" if conditions.temperature is None else "temperature"
    return State(
        float(conditions.flow),
        liquid(conditions.solvent_a, conditions.solvent_b, percent_b),
        in_range(float(hot), ("conditions", heats)),
        AMBIENT
        if conditions.ambient is None
        else in_range(float(conditions.ambient), ("conditions", "ambient")),
        conditions.ambient is not None,
        profile.instrument.oven,
        conditions.temperature is not None,
    )


def other_column(
    profile: Profile, segments: Sequence[Segment], change: Change
) -> tuple[Segment, ...]:
    """The segments with another length [m] or particle size [m] of the first column.

    That is another bed: what was measured of this one says as much of it as of any other of its
    kind. Raises CannotPredict where its own is not given.
    """
    place, column = first_column(profile)
    factor = 1.0
    if change.column_length is not None:
        if column.length is None:
            raise CannotPredict("no column length", at=("flow_path", place))
        factor *= change.column_length / float(column.length)
    if change.particle_size is not None:
        if column.particle_size is None or column.particle == "monolith":
            raise CannotPredict("no particle size", at=("flow_path", place))
        factor *= (float(column.particle_size) / change.particle_size) ** 2
    apart = bed_apart_error(column.particle)
    return tuple(
        segment._replace(other_bed=apart) if segment.place == place else segment
        for segment in scaled(segments, {place: factor})
    )
