"""What each part of the flow path holds at the method's own flow and temperature, exactly.

Between two points of a derating table the rating is interpolated in a straight line; before
the first point the first rating holds, after the last the last one (nothing higher is stated).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from ..findings import KeyPath
from ..units import Flow, Pressure, Temperature
from .model import Part, Profile


@dataclass(frozen=True, slots=True)
class Derating:
    """A rating lowered by flow or temperature, with the point of the method it holds at."""

    by: str
    at: Flow | Temperature
    pressure: Pressure
    beyond: bool
    """Whether the method lies beyond the last point that is stated."""
    path: KeyPath


@dataclass(frozen=True, slots=True)
class RatedPart:
    """A part with a rating: `pressure` is what it holds under the method's conditions."""

    index: int
    part: Part
    pressure: Pressure
    path: KeyPath
    deratings: tuple[Derating, ...] = ()

    @property
    def name(self) -> str:
        """The part for messages: "column", "fitting (column inlet)"."""
        return self.part.name


def column_index(profile: Profile) -> int:
    """Index of the last column: what stands after it sees little pressure in normal work."""
    return max(i for i, part in enumerate(profile.flow_path) if part.part == "column")


def rated_parts(profile: Profile) -> tuple[RatedPart, ...]:
    """Every part that has a rating, in flow order."""
    found = (_rated(profile, index, part) for index, part in enumerate(profile.flow_path))
    return tuple(part for part in found if part is not None)


def under_pressure(profile: Profile) -> tuple[RatedPart, ...]:
    """The rated parts from the pump up to and including the column: the high cutoff is on them."""
    last = column_index(profile)
    return tuple(part for part in rated_parts(profile) if part.index <= last)


def weakest(parts: Sequence[RatedPart]) -> RatedPart | None:
    """The part of the lowest rating, the first in flow order among equals."""
    return min(parts, key=lambda part: part.pressure.value, default=None)


def _rated(profile: Profile, index: int, part: Part) -> RatedPart | None:
    conditions, at = profile.conditions, ("flow_path", index)
    deratings = []
    flow = conditions.flow if conditions is not None else None
    temperature = conditions.temperature if conditions is not None else None
    if flow is not None and part.rating_at_flow:
        flows = [(point.flow, point.rating) for point in part.rating_at_flow]
        deratings.append(_derate("flow", flow, flows, (*at, "rating_at_flow")))
    if temperature is not None and part.rating_at_temperature:
        temperatures = [(point.temperature, point.rating) for point in part.rating_at_temperature]
        deratings.append(
            _derate("temperature", temperature, temperatures, (*at, "rating_at_temperature"))
        )
    stated: list[tuple[Pressure, KeyPath]] = [(d.pressure, d.path) for d in deratings]
    if part.rating is not None:
        stated.insert(0, (part.rating, (*at, "rating")))
    if not stated:
        return None
    pressure, path = min(stated, key=lambda pair: pair[0].value)
    return RatedPart(index, part, pressure, path, tuple(deratings))


def _derate(
    by: str,
    at: Flow | Temperature,
    points: Sequence[tuple[Flow | Temperature, Pressure]],
    path: KeyPath,
) -> Derating:
    ordered = sorted(points, key=lambda point: point[0].value)
    (first, first_rating), (last, last_rating) = ordered[0], ordered[-1]
    if at.value <= first.value:
        return Derating(by, at, first_rating, beyond=False, path=path)
    if at.value >= last.value:
        return Derating(by, at, last_rating, beyond=at.value > last.value, path=path)
    upper = next(i for i, (point, _) in enumerate(ordered) if point.value >= at.value)
    (x0, low), (x1, high) = ordered[upper - 1], ordered[upper]
    share: Fraction = (at.value - x0.value) / (x1.value - x0.value)
    unit = low.unit
    between = low.to(unit) + share * (high.to(unit) - low.to(unit))
    return Derating(by, at, Pressure.of(between, unit), beyond=False, path=path)
