"""What each part of the flow path holds at the method's own flow and temperature, exactly.

A derating table is read as steps, the safe way: each rating holds up to its point, so that
between two points the lower one of both holds. With `interpolate = true`, where the maker draws a
line through the points, it is a straight line between them. Before the first point the first
rating holds, after the last the last one (nothing higher is stated).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction
from itertools import pairwise
from typing import NamedTuple, TypeAlias

from ..findings import KeyPath
from ..units import Flow, Pressure, Temperature
from .model import Column, Conditions, Part, Profile

Points: TypeAlias = Sequence[tuple[Flow | Temperature, Pressure]]
"""A derating table: up to this flow or temperature, this rating."""
_DERATED_BY = ("flow", "temperature")
_ROOM = 308  # K: no laboratory is warmer (assumed, no source)


class Derating(NamedTuple):
    """A rating lowered by flow or temperature, with the point of the method it holds at."""

    by: str
    at: Flow | Temperature
    pressure: Pressure
    beyond: bool
    """Whether the method lies beyond the last point that is stated."""
    path: KeyPath
    last: Flow | Temperature
    """The last point that is stated."""
    step: bool
    """Whether it lies between two points, and a line through them would give more."""


class RatedPart(NamedTuple):
    """A part with a rating: `pressure` is what it holds under the method's conditions."""

    place: int
    part: Part
    pressure: Pressure
    path: KeyPath
    loaded: bool
    """Whether the high cutoff is on it: pump to column. Parts behind see little in normal work."""
    deratings: tuple[Derating, ...] = ()
    unknown: str = ""
    """What its table goes by and the profile does not give: `pressure` is then the least of it."""

    @property
    def told(self) -> str:
        """The part with what it holds, and why that is no more than a least."""
        why = f" (the lowest of its table: the {self.unknown} is not given)" if self.unknown else ""
        return f"{self.name} {self.pressure}{why}"

    @property
    def name(self) -> str:
        """The part for messages: "column", "fitting (column inlet)"."""
        return self.part.name


def column_index(profile: Profile) -> int:
    """Index of the last column."""
    parts = profile.flow_path
    return next(i for i in range(len(parts) - 1, -1, -1) if parts[i].part == "column")


def rated_parts(profile: Profile) -> tuple[RatedPart, ...]:
    """Every part that has a rating, in flow order."""
    last, conditions = column_index(profile), profile.conditions
    found = []
    for index, part in enumerate(profile.flow_path):
        at: KeyPath = ("flow_path", index)
        pressure, path = part.rating, (*at, "rating")
        deratings: tuple[Derating, ...] = ()
        if conditions is not None and (part.rating_at_flow or part.rating_at_temperature):
            deratings = tuple(_deratings(part, conditions, at))
            for derating in deratings:
                if pressure is None or derating.pressure < pressure:
                    pressure, path = derating.pressure, derating.path
        if pressure is not None:
            found.append(RatedPart(index, part, pressure, path, index <= last, deratings))
    return tuple(found)


def under_pressure(profile: Profile) -> tuple[RatedPart, ...]:
    """The rated parts from the pump up to and including the column: the high cutoff is on them.

    Each with what it is sure to hold: where a table goes by a flow or temperature that the profile
    does not give, the lowest of its points.
    """
    found = {part.place: part for part in rated_parts(profile) if part.loaded}
    for place, part in enumerate(profile.flow_path[: column_index(profile) + 1]):
        for by, lacking in unknown(part, profile.conditions):
            least, known = min(rating for _, rating in _points(part, by)), found.get(place)
            path: KeyPath = ("flow_path", place, f"rating_at_{by}")
            if known is None:
                found[place] = RatedPart(place, part, least, path, True, (), lacking)
            elif least < known.pressure:
                found[place] = known._replace(pressure=least, path=path, unknown=lacking)
    return tuple(found[place] for place in sorted(found))


def unknown(part: Part, conditions: Conditions | None) -> tuple[tuple[str, str], ...]:
    """What tables of a part go by, flow or temperature, and the key of it that is not given."""
    found = []
    for by in _DERATED_BY:
        if getattr(part, f"rating_at_{by}") and _here(part, conditions, by) is None:
            given = conditions is not None and getattr(conditions, by) is not None
            found.append((by, "ambient" if given else by))
    return tuple(found)


def _here(part: Part, conditions: Conditions | None, by: str) -> Flow | Temperature | None:
    """The flow or temperature at which a part works; None where that is not given.

    What is outside a cooled oven is as warm as the room; beside a warm one it may be as warm as the
    column.
    """
    if conditions is None:
        return None
    if by == "flow":
        return conditions.flow
    column, room = conditions.temperature, conditions.ambient
    if column is None or isinstance(part, Column):
        return column
    if room is not None:
        return max(column, room)
    return column if column.value >= _ROOM else None


def weakest(parts: Sequence[RatedPart]) -> RatedPart | None:
    """The part of the lowest rating, the first in flow order among equals."""
    return min(parts, key=lambda part: part.pressure, default=None)


class Raised(NamedTuple):
    """A rating of a part above that of its description."""

    key: str
    given: str
    described: str
    point: str = ""
    """The point of the description that the part's own list leaves out."""
    instead: str = ""
    """What the list has in its place, in words."""


def raised_ratings(part: Part, described: Part) -> Iterator[Raised]:
    """Where a part's ratings are above those of its description, of each key the furthest.

    Derating tables are compared at every point of both; a table that is taken away no longer
    lowers the rating.
    """
    if described.rating is not None and part.rating is not None and part.rating > described.rating:
        yield Raised("rating", str(part.rating), str(described.rating))
    for by in _DERATED_BY:
        points, lower = _points(part, by), _points(described, by)
        lines = bool(part.interpolate), bool(described.interpolate)
        key = f"rating_at_{by}"
        if not lower or (points == lower and lines[0] <= lines[1]):
            continue
        if not points:
            at, least = min(lower, key=lambda point: point[1].value)
            given = f"no lower rating at {at}"
            yield Raised(key, given, str(least), f"{least} at {at}", "it is empty")
            continue
        ends = sorted({point for point, _ in (*points, *lower)}, key=lambda p: p.value)
        middles = (a.of((a.to(a.unit) + b.to(a.unit)) / 2, a.unit) for a, b in pairwise(ends))
        both = (
            (at, _holds(at, points, lines[0]), _holds(at, lower, lines[1])[0])
            for at in (*ends, *middles)
        )
        over = [(at, own, least) for at, own, least in both if own[0] > least]
        if not over:
            continue
        at, (holds, beyond), least = max(over, key=lambda o: o[1][0].value / o[2].value)
        raised = Raised("interpolate" if points == lower else key, f"{holds} at {at}", str(least))
        if at in dict(lower) and at not in dict(points):
            last, held = max(points, key=lambda point: point[0].value)
            instead = f"it ends with {held} at {last}" if beyond else f"by it {holds} holds there"
            raised = raised._replace(point=f"{least} at {at}", instead=instead)
        yield raised


def _points(part: Part, by: str) -> Points:
    return [(getattr(point, by), point.rating) for point in getattr(part, f"rating_at_{by}")]


def _deratings(part: Part, conditions: Conditions, at: KeyPath) -> Iterator[Derating]:
    for by in _DERATED_BY:
        points, here = _points(part, by), _here(part, conditions, by)
        if points and here is not None:
            holds, beyond = _holds(here, points, bool(part.interpolate))
            step = not part.interpolate and _holds(here, points, True)[0] > holds
            last = max((point for point, _ in points), key=lambda point: point.value)
            yield Derating(by, here, holds, beyond, (*at, f"rating_at_{by}"), last, step)


def _holds(at: Flow | Temperature, points: Points, line: bool) -> tuple[Pressure, bool]:
    """What is stated there, and whether it lies beyond the last point."""
    ordered = sorted(points, key=lambda point: point[0].value)
    if at.value >= ordered[-1][0].value:
        return ordered[-1][1], at.value > ordered[-1][0].value
    upper = next(i for i, (point, _) in enumerate(ordered) if point.value >= at.value)
    if upper == 0:
        return ordered[0][1], False
    (x0, low), (x1, high) = ordered[upper - 1], ordered[upper]
    if at.value == x1.value:
        return high, False
    if not line:
        return min(low, high), False
    share: Fraction = (at.value - x0.value) / (x1.value - x0.value)
    unit = low.unit
    return Pressure.of(low.to(unit) + share * (high.to(unit) - low.to(unit)), unit), False


def one_instrument(first: Profile, second: Profile) -> bool:
    """Whether both are on the same instrument: its id counts within a site, which both name."""
    sites = first.method.site, second.method.site
    return first.instrument.id == second.instrument.id and sites[0] == sites[1] is not None


def unchanged(sending: Profile, receiving: Profile) -> bool:
    """Whether both run the same parts under the same conditions on one instrument."""
    first, second = ([placeless(part) for part in p.flow_path] for p in (sending, receiving))
    return (
        one_instrument(sending, receiving)
        and first == second
        and sending.conditions == receiving.conditions
    )


def placeless(part: Part) -> dict[str, object]:
    """What a part is, without where its description stands."""
    return {**vars(part), "use": None}


def certified_alike(sending: Profile, receiving: Profile) -> tuple[Profile, Profile]:
    """Both sides, with the certificates of their columns only where both give them.

    Like is compared with like; a column without its geometry keeps its certificate.
    """
    given = [
        [part.certificate is not None for part in side.flow_path if isinstance(part, Column)]
        for side in (sending, receiving)
    ]
    if given[0] == given[1]:
        return sending, receiving
    return _by_geometry(sending), _by_geometry(receiving)


def _has_geometry(column: Column) -> bool:
    packed = column.permeability is None and column.particle != "monolith"
    return None not in (column.length, column.bore) and not (
        packed and column.particle_size is None
    )


def _by_geometry(profile: Profile) -> Profile:
    parts = tuple(
        part.model_copy(update={"certificate": None})
        if isinstance(part, Column) and _has_geometry(part)
        else part
        for part in profile.flow_path
    )
    return profile.model_copy(update={"flow_path": parts})


def ovens_alike(one: Profile, other: Profile) -> tuple[Profile, Profile]:
    """Both with their oven, or neither: what is known of one only would look like a difference."""
    ovens = one.instrument.oven, other.instrument.oven
    if None not in ovens or ovens == (None, None):
        return one, other
    without = [
        side.model_copy(update={"instrument": side.instrument.model_copy(update={"oven": None})})
        for side in (one, other)
    ]
    return without[0], without[1]
