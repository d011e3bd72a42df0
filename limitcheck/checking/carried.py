"""The ratings that a row of the fleet shows, each in a column of its own."""

from __future__ import annotations

from collections import Counter

from ..profile.model import Profile
from ..units import Pressure

PARTS = ("pump", "tubing", "injector", "fitting", "column", "detector cell")
"""Parts whose rating has a column of its own, where there is one of the kind."""


def ratings_of(profile: Profile) -> dict[str, Pressure]:
    """By kind of part the rating stated, of which there is one in the flow path."""
    often = Counter(part.part for part in profile.flow_path)
    return {
        part.part: part.rating
        for part in profile.flow_path
        if part.part in PARTS and often[part.part] == 1 and part.rating is not None
    }
