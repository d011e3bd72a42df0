"""What each part of the flow path holds at the method's own flow and temperature, exactly, and
what parts of its kind usually hold.

Between two points of a derating table the rating is interpolated in a straight line; before
the first point the first rating holds, after the last the last one (nothing higher is stated).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction
from typing import NamedTuple, TypeAlias

from ..findings import KeyPath
from ..units import TRADE_UNITS, Flow, Pressure, Temperature
from .model import Conditions, Part, Profile

Points: TypeAlias = Sequence[tuple[Flow | Temperature, Pressure]]
"""A derating table: up to this flow or temperature, this rating."""


class Derating(NamedTuple):
    """A rating lowered by flow or temperature, with the point of the method it holds at."""

    by: str
    at: Flow | Temperature
    pressure: Pressure
    beyond: bool
    """Whether the method lies beyond the last point that is stated."""
    path: KeyPath


class RatedPart(NamedTuple):
    """A part with a rating: `pressure` is what it holds under the method's conditions."""

    place: int
    part: Part
    pressure: Pressure
    path: KeyPath
    loaded: bool
    """Whether the high cutoff is on it: pump to column. Parts behind see little in normal work."""
    deratings: tuple[Derating, ...] = ()

    @property
    def name(self) -> str:
        """The part for messages: "column", "fitting (column inlet)"."""
        return self.part.name


def column_index(profile: Profile) -> int:
    """Index of the last column."""
    return max(i for i, part in enumerate(profile.flow_path) if part.part == "column")


def rated_parts(profile: Profile) -> tuple[RatedPart, ...]:
    """Every part that has a rating, in flow order."""
    last, conditions = column_index(profile), profile.conditions
    found = []
    for index, part in enumerate(profile.flow_path):
        at: KeyPath = ("flow_path", index)
        deratings = tuple(_deratings(part, conditions, at)) if conditions is not None else ()
        stated: list[tuple[Pressure, KeyPath]] = [(d.pressure, d.path) for d in deratings]
        if part.rating is not None:
            stated.insert(0, (part.rating, (*at, "rating")))
        if stated:
            pressure, path = min(stated, key=lambda pair: pair[0])
            found.append(RatedPart(index, part, pressure, path, index <= last, deratings))
    return tuple(found)


def under_pressure(profile: Profile) -> tuple[RatedPart, ...]:
    """The rated parts from the pump up to and including the column: the high cutoff is on them."""
    return tuple(part for part in rated_parts(profile) if part.loaded)


def weakest(parts: Sequence[RatedPart]) -> RatedPart | None:
    """The part of the lowest rating, the first in flow order among equals."""
    return min(parts, key=lambda part: part.pressure, default=None)


def raised_ratings(part: Part, described: Part) -> Iterator[tuple[str, str, str]]:
    """Where a part's ratings are above those of its description: key, its value, theirs.

    Derating tables are compared at every point of both; a table that is taken away no longer
    lowers the rating.
    """
    if described.rating is not None and part.rating is not None and part.rating > described.rating:
        yield "rating", str(part.rating), str(described.rating)
    for key, points, lower in (
        ("rating_at_flow", _flow_points(part), _flow_points(described)),
        ("rating_at_temperature", _temperature_points(part), _temperature_points(described)),
    ):
        if points == lower or not lower:
            continue
        for at in sorted({point for point, _ in (*points, *lower)}, key=lambda p: p.value):
            least = _derate("", at, lower, ()).pressure
            if not points:
                yield key, f"no lower rating at {at}", str(least)
            elif _derate("", at, points, ()).pressure > least:
                yield key, f"{_derate('', at, points, ()).pressure} at {at}", str(least)
            else:
                continue
            break


def _flow_points(part: Part) -> Points:
    return [(point.flow, point.rating) for point in part.rating_at_flow]


def _temperature_points(part: Part) -> Points:
    return [(point.temperature, point.rating) for point in part.rating_at_temperature]


def _deratings(part: Part, conditions: Conditions, at: KeyPath) -> Iterator[Derating]:
    if part.rating_at_flow and conditions.flow is not None:
        yield _derate("flow", conditions.flow, _flow_points(part), (*at, "rating_at_flow"))
    if part.rating_at_temperature and conditions.temperature is not None:
        points, path = _temperature_points(part), (*at, "rating_at_temperature")
        yield _derate("temperature", conditions.temperature, points, path)


def _derate(by: str, at: Flow | Temperature, points: Points, path: KeyPath) -> Derating:
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


# Wide ranges of what parts of each kind are rated, in bar (common practice, no source).
_RANGES = {
    "pump": (15, 2500),
    "tubing": (15, 4000),
    "mixer": (15, 2500),
    "filter": (15, 2500),
    "injector": (15, 2500),
    "loop": (15, 4000),
    "fitting": (10, 3000),
    "guard column": (3, 2500),
    "column": (3, 2500),
    "detector cell": (2, 2000),
    "restrictor": (2, 2000),
    "waste": (1, 1000),
}
_PRESSURES = {
    part: (Pressure.of(least, "bar"), Pressure.of(most, "bar"))
    for part, (least, most) in _RANGES.items()
}


def plausible_range(part: str) -> tuple[Pressure, Pressure]:
    """The lowest and highest rating seen on parts of this kind."""
    return _PRESSURES[part]


def plausible_units(part: Part) -> list[str]:
    """The units in which the number of the part's rating would be plausible."""
    if part.rating is None:
        return []
    least, most = plausible_range(part.part)
    return [
        unit
        for unit in TRADE_UNITS
        if least.value <= Pressure.of(part.rating.number, unit).value <= most.value
    ]
