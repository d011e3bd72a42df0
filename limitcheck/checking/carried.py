"""What a row of a table carries of a profile, and what of the profile it does not."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping

from pydantic import BaseModel

from ..profile.model import Part, Profile
from ..units import Pressure

PARTS = ("pump", "tubing", "injector", "fitting", "column", "detector cell")
"""Parts whose rating has a column of its own, where there is one of the kind."""
_CARRIED: Mapping[str, frozenset[str]] = {
    "method": frozenset({"id", "revision", "site"}),
    "instrument": frozenset({"id", "pressure_unit"}),
    "cutoffs": frozenset({"high", "low"}),
    "expected": frozenset({"low", "high"}),
}


def ratings_of(profile: Profile) -> dict[str, Pressure]:
    """By kind of part the rating stated, of which there is one in the flow path."""
    often = Counter(part.part for part in profile.flow_path)
    return {
        part.part: part.rating
        for part in profile.flow_path
        if part.part in PARTS and often[part.part] == 1 and part.rating is not None
    }


def not_carried(profile: Profile) -> tuple[str, ...]:
    """What a row leaves out: keys of the profile, whole tables and parts by name."""
    return tuple(dict.fromkeys(_not_carried(profile)))


def _not_carried(profile: Profile) -> Iterator[str]:
    for name in type(profile).model_fields:
        value = getattr(profile, name)
        default = type(profile).model_fields[name].get_default(call_default_factory=True)
        if name in ("format", "flow_path") or not value or value == default:
            continue
        if name not in _CARRIED:
            yield name
            continue
        for key in _given(value):
            if key not in _CARRIED[name] and (name, key, getattr(value, key)) != _DECLARED:
                yield f"{name}.{key}"
    often = Counter(part.part for part in profile.flow_path)
    for part in profile.flow_path:
        yield from _of_part(part, alone=often[part.part] == 1)


_DECLARED = ("expected", "basis", "declared")
"""What a band is that says nothing else."""


def _of_part(part: Part, *, alone: bool) -> Iterator[str]:
    if part.part not in PARTS or not alone:
        yield part.name
        return
    for key in _given(part):
        if key not in ("part", "rating"):
            yield f"{part.part}.{key}"


def _given(model: BaseModel) -> Iterator[str]:
    return (key for key in type(model).model_fields if getattr(model, key) not in (None, (), []))
