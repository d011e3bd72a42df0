"""Files that describe instruments and parts; a method's columns put on such an instrument.

An instrument's flow path marks where columns go with a part "column" (and guard column): from
the first to the last of them it gives way to the same stretch of the method's flow path.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Annotated, Any, NamedTuple

from pydantic import Field, ValidationError

from .fields import InstrumentContext
from .load import USE_PATTERN, invalid, load_parsed, merged_text
from .model import AnyPart, Instrument, Profile
from .shared import USE, real_files_used
from .table import MOST, FormatTable
from .text import ParsedText, UnreadableProfile, is_description, read_text, refusal


class SharedTables(FormatTable):
    """The tables of a file that only describes an instrument or parts for profiles to use."""

    instrument: Instrument | None = None
    flow_path: Annotated[tuple[AnyPart, ...], Field(max_length=MOST)] = ()


class DescribedInstrument(NamedTuple):
    """An instrument with the parts of its flow path, columns among them."""

    name: str
    sha256: str
    instrument: Instrument
    flow_path: tuple[AnyPart, ...]
    tables: Mapping[str, Any]
    """[instrument] and [[flow_path]] as TOML gives them, shared values filled in."""
    own: ParsedText
    """The file as it is, with its references."""

    @property
    def is_description(self) -> bool:
        """Whether the file is there for profiles to use."""
        return is_description(self.own.data)


def files_used(path: str) -> frozenset[str]:
    """The real paths of all files that a profile uses; none for another file."""
    try:
        own = read_text(path)
    except UnreadableProfile:
        return frozenset()
    if USE_PATTERN.search(own.text) is None or is_description(own.data):
        return frozenset()
    return real_files_used(own)


def load_description(own: ParsedText) -> tuple[SharedTables, Mapping[str, Any]]:
    """The models of a description, and its tables with every `use` filled in.

    Raises UnreadableProfile.
    """
    merged = merged_text(own)
    instrument = merged.data.get("instrument")
    context = InstrumentContext.of(instrument if isinstance(instrument, Mapping) else {})
    try:
        return SharedTables.model_validate(merged.data, context=context), merged.data
    except ValidationError as error:
        raise invalid(error, merged, SharedTables) from None


def load_instrument(path: str) -> DescribedInstrument:
    """The instrument and flow path of a description or a profile; raises UnreadableProfile."""
    own = read_text(path)
    instrument: Instrument | None
    parts: tuple[AnyPart, ...]
    if is_description(own.data):
        shared, data = load_description(own)
        instrument, parts = shared.instrument, shared.flow_path
    else:
        file = load_parsed(own)
        instrument, parts, data = file.profile.instrument, file.profile.flow_path, file.tables
    if instrument is None:
        lacks, advice = "has no [instrument] table", "name a file that describes an instrument"
    elif not parts or parts[0].part != "pump":
        lacks = "has no flow path that begins with the pump"
        advice = "list its parts in flow order as [[flow_path]] tables"
    elif not any(part.part == "column" for part in parts):
        lacks = "does not say where the column goes"
        advice = 'put a [[flow_path]] with part = "column" there'
    else:
        tables = {
            "instrument": _without_use(data["instrument"]),
            "flow_path": [_without_use(part) for part in data["flow_path"]],
        }
        return DescribedInstrument(path, own.sha256, instrument, parts, tables, own)
    raise refusal(path, f"{path} {lacks}", advice)


def _without_use(table: Mapping[str, Any]) -> dict[str, Any]:
    return {key: value for key, value in table.items() if key != USE}


OF_THE_PIECE = ("serial", "certificate", "plate_number", "resistance_at")
"""Keys of a part that are true of one piece, not of its kind."""


def _own_keys(part: AnyPart) -> list[str]:
    return [key for key in OF_THE_PIECE if key in type(part).model_fields]


def column_stretch(parts: Sequence[str]) -> slice:
    """From the first to the last column of a flow path, by the names of its parts."""
    places = [index for index, name in enumerate(parts) if name in ("guard column", "column")]
    return slice(places[0], places[-1] + 1)


def on_instrument(method: Profile, other: DescribedInstrument) -> Profile:
    """The method on an instrument, with columns of the kind of its own; cutoffs are left out."""
    stretch = column_stretch([part.part for part in other.flow_path])
    own = column_stretch([part.part for part in method.flow_path])
    before, after = other.flow_path[: stretch.start], other.flow_path[stretch.stop :]
    columns = (
        part.model_copy(update=dict.fromkeys(_own_keys(part))) for part in method.flow_path[own]
    )
    parts = (*before, *columns, *after)
    moved: dict[str, object] = {
        "instrument": other.instrument,
        "flow_path": parts,
        "cutoffs": method.cutoffs.model_copy(update={"high": None, "low": None}),
        "measured": (),
        "expected": method.expected and method.expected.for_another_instrument(),
    }
    return method.model_copy(update=moved)
