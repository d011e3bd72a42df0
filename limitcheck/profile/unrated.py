"""What has no rating in force from the pump up to the column: no high cutoff is sure to protect it.

One decision for what checks, proposes, answers and lists.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from ..findings import KeyPath
from .hardware import column_index, rated_parts, unknown
from .model import Part, Profile

MUST_BE_RATED = ("pump", "column", "guard column")


class NotRated(NamedTuple):
    """Why it is not known what a part holds, what to add to the profile, and where."""

    reason: str
    add: str
    path: KeyPath
    beyond: bool = False
    """Whether it is known for less than the method's flow or temperature."""


def not_rated(profile: Profile) -> NotRated | None:
    """The first part of which it is not known what it holds; None where no cutoff is in doubt.

    A pump or column without a rating, and any part that is rated only for less than the method's
    flow or temperature, or by one that is not given: nothing says that it is within the table.
    """
    for place, part in enumerate(profile.flow_path[: column_index(profile) + 1]):
        if part.part in MUST_BE_RATED and not is_rated(part):
            reason = f"the {part.name} has no rating"
            return NotRated(reason, f"rating of the {part.name}", ("flow_path", place))
        if (lacking := next(depends(part, profile, place), None)) is not None:
            return lacking
    for rated in rated_parts(profile):
        for derating in rated.deratings if rated.loaded else ():
            if derating.beyond:
                reason = f"the {rated.name} has no rating at {derating.at}, only for less"
                add = f"rating of the {rated.name} at {derating.at}"
                return NotRated(reason, add, derating.path, beyond=True)
    return None


def is_rated(part: Part) -> bool:
    """Whether a part has a rating, or a table of them."""
    return bool(part.rating or part.rating_at_flow or part.rating_at_temperature)


def without_rating(profile: Profile) -> Iterator[Part]:
    """The parts from the pump up to and including the column that have neither."""
    loaded = profile.flow_path[: column_index(profile) + 1]
    yield from (part for part in loaded if not is_rated(part))


def depends(part: Part, profile: Profile, place: int) -> Iterator[NotRated]:
    """The tables of a part that go by a flow or temperature that the profile does not give."""
    for by, lacking in unknown(part, profile.conditions):
        what = by if by == lacking else f"{lacking} {by}"
        reason = f"what the {part.name} holds depends on the {what}, which is not given"
        path: KeyPath = ("flow_path", place, f"rating_at_{by}")
        yield NotRated(reason, f"{lacking} in [conditions]", path)


def unrated(profile: Profile) -> tuple[str, ...]:
    """What has no rating in force from the pump up to and including the column, in words.

    A part without one, one that is rated only for less than the method's flow or temperature, and
    one whose rating depends on a flow or temperature that is not given.
    """
    deratings = {part.place: part.deratings for part in rated_parts(profile)}
    found = []
    for place, part in enumerate(profile.flow_path[: column_index(profile) + 1]):
        if not is_rated(part):
            found.append(part.name)
        missing = unknown(part, profile.conditions)
        found += [f"{part.name} without the {lacking}" for _, lacking in missing]
        beyond = [item for item in deratings.get(place, ()) if item.beyond]
        found += [f"{part.name} at a {item.by} of {item.at}" for item in beyond]
    return tuple(found)
