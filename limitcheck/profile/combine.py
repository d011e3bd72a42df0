"""A method's columns on another instrument: its parts between those of the instrument.

An instrument's flow path marks where columns go with a part "column" (and guard column): from
the first to the last of them it gives way to the same stretch of the method's flow path.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any, NamedTuple

from .model import AnyPart, Instrument, Profile

_COLUMNS = ("guard column", "column")


class System(NamedTuple):
    """An instrument with the parts of its flow path, columns among them."""

    name: str
    sha256: str
    instrument: Instrument
    flow_path: tuple[AnyPart, ...]
    tables: Mapping[str, Any]
    """[instrument] and [[flow_path]] as TOML gives them, shared values filled in."""


def column_stretch(names: Sequence[str]) -> slice:
    """From the first to the last column of a flow path, by the names of its parts."""
    places = [index for index, name in enumerate(names) if name in _COLUMNS]
    return slice(places[0], places[-1] + 1)


def on_instrument(method: Profile, system: System) -> Profile:
    """The method with its columns on an instrument; its cutoffs are left out."""
    stretch = column_stretch([part.part for part in system.flow_path])
    own = column_stretch([part.part for part in method.flow_path])
    before, after = system.flow_path[: stretch.start], system.flow_path[stretch.stop :]
    parts = (*before, *method.flow_path[own], *after)
    cutoffs = method.cutoffs.model_copy(update={"high": None, "low": None})
    return method.model_copy(
        update={"instrument": system.instrument, "flow_path": parts, "cutoffs": cutoffs}
    )
