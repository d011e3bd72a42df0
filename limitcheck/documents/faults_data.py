"""What faults do to the pressure, as plain data."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import Any

from ..physics.faults import Faults, Normal, NotRated, Overload
from ..profile.load import ProfileFile
from .data import frame, path_data, plain_data, predicted_data, pressure_data, profile_data
from .faults import open_ratings, overloaded


def faults_data(file: ProfileFile, found: Faults, *, doubt: str) -> dict[str, Any]:
    """The faults as plain data; `ratio` is over the normal pressure, at the run's highest point.

    `stopped_by` is null where nobody notices; shares are of the cross-section closed, of the flow
    lost, or of the normal pressure added.
    """
    unit = file.profile.instrument.pressure_unit
    shape = partial(predicted_data, unit=unit)
    cutoffs = (("high", file.profile.cutoffs.high), ("low", file.profile.cutoffs.low))
    return frame(
        profile=profile_data(file),
        normal=_normal_data(found.normal, shape),
        band_in_doubt=doubt or None,
        cutoffs={
            name: pressure_data(value) if value is not None and value.value > 0 else None
            for name, value in cutoffs
        },
        faults=[
            {
                **plain_data(effect, shape, ("ratio",)),
                "ratio": effect.ratio._asdict(),
                "overloads": _overload_data(overloaded(found, effect), shape),
            }
            for effect in found.effects
        ],
        not_rated=[_not_rated_data(fault, part) for fault, part in open_ratings(found)],
        smallest=plain_data(found.smallest),
        not_computed=plain_data(found.not_computed),
    )


def _normal_data(normal: Normal, shape: Callable[[float], dict[str, str]]) -> dict[str, Any]:
    """What faults start from; `left_out` and `unused_pairs` only where there is something of it."""
    fields = {name: value for name, value in normal._asdict().items() if name != "typed"}
    for name in ("left_out", "unused_pairs"):
        if not fields[name]:
            del fields[name]
    found: dict[str, Any] = plain_data(fields, shape)
    return found


def _not_rated_data(fault: str, part: NotRated) -> dict[str, Any]:
    """A part of which it is not stated what it holds under a fault; null: in the method itself."""
    return {
        "fault": fault or None,
        "part": part.part.name,
        "path": path_data(part.path),
        "by": part.by,
        "at": str(part.at) if part.at is not None else None,
        "above": str(part.above) if part.above is not None else None,
    }


def _overload_data(
    hit: Overload | None, shape: Callable[[float], dict[str, str]]
) -> dict[str, Any] | None:
    """The part that a fault takes past what it holds; None where none is known to be."""
    if hit is None:
        return None
    return {
        "part": hit.part.name,
        "path": path_data(hit.part.path),
        "rating": pressure_data(hit.part.pressure),
        "at": hit.at or None,
        "reached": shape(hit.reached),
    }
