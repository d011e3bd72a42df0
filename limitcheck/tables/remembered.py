"""What many rows share, worked out once: validated tables, predictions, ratings of a flow path."""

from __future__ import annotations

import gc
from collections.abc import Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING, Any

from ..meant import Evidence, Predicted, RatedPath
from ..profile.hardware import rated_parts
from ..profile.model import Profile
from ..profile.pieces import Pieces

if TYPE_CHECKING:
    from .planned import Planned

_MOST, _MOST_TABLES = 5000, 10_000
"""Flow paths, and tables, that are remembered, at most."""


@contextmanager
def without_collection() -> Iterator[None]:
    """Python looks for no garbage meanwhile: what is made for a row is kept for the answer, and
    looking through it again and again takes a third of the time."""
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_on:
            gc.enable()


class Remembered:
    """What is known of the tables and flow paths of one import."""

    def __init__(self) -> None:
        self.pieces = Pieces()
        self.tried: dict[int, Planned] = {}
        """By id of its record: a valid profile that was made to see in which unit it can be."""
        self._alike: dict[tuple[object, ...], dict[str, Any]] = {}
        self._known: dict[tuple[int, ...], tuple[Profile, Predicted | None, RatedPath]] = {}

    def one(self, table: dict[str, Any]) -> dict[str, Any]:
        """One table for all that are the same, but for how a number is written."""
        if len(self._alike) >= _MOST_TABLES:
            self._alike.clear()
        return self._alike.setdefault((*table, *map(repr, table.values())), table)

    def evidence(self, profile: Profile) -> Evidence:
        """The numbers of a profile, beside the pressure that its flow path makes."""
        # Pieces gives each table as one object; the profile that is kept keeps them alive.
        key = (id(profile.instrument), id(profile.conditions), *map(id, profile.flow_path))
        known = self._known.get(key)
        if known is None:
            if len(self._known) >= _MOST:
                self._known.clear()
            path = RatedPath.of(profile, rated_parts(profile))
            known = self._known[key] = (profile, Predicted.made_by(profile), path)
        return Evidence(profile, known[1], path=known[2])
