"""Files that describe instruments and parts: read by themselves, and who uses them."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from typing import Any

from pydantic import ValidationError

from ..findings import Location
from .combine import System
from .errors import explain
from .fields import InstrumentContext
from .load import (
    USE_PATTERN,
    UnreadableProfile,
    decode,
    is_description,
    load_bytes,
    parse_text,
    read_file,
    unreadable,
)
from .model import AnyPart, Instrument, Table
from .shared import USE, merge, real_files_used


class SharedTables(Table):
    """The tables of a file that only describes an instrument or parts for profiles to use."""

    instrument: Instrument | None = None
    flow_path: tuple[AnyPart, ...] = ()


def files_used(path: str) -> frozenset[str]:
    """The real paths of all files that a profile uses; none for another file."""
    try:
        text = decode(read_file(path), path)
        if USE_PATTERN.search(text) is None:
            return frozenset()
        data = parse_text(text, path)
    except UnreadableProfile:
        return frozenset()
    return frozenset() if is_description(data) else real_files_used(data, path, text)


def load_description(path: str) -> tuple[SharedTables, Mapping[str, Any]]:
    """Read and validate a description: its models and its tables with every `use` filled in.

    Raises UnreadableProfile.
    """
    text = decode(read_file(path), path)
    merged = merge(parse_text(text, path), path, text)
    instrument = merged.data.get("instrument")
    context = InstrumentContext.of(instrument if isinstance(instrument, Mapping) else {})
    try:
        return SharedTables.model_validate(merged.data, context=context), merged.data
    except ValidationError as error:
        problems = explain(error, merged.data, SharedTables)
        raise UnreadableProfile(
            path,
            tuple(unreadable(p.message, p.advice, merged.locate(p.path), p.path) for p in problems),
        ) from None


def load_system(path: str) -> System:
    """The instrument and flow path of a description or a profile; raises UnreadableProfile."""
    content = read_file(path)
    instrument: Instrument | None
    parts: tuple[AnyPart, ...]
    if is_description(parse_text(decode(content, path), path)):
        tables, data = load_description(path)
        instrument, parts = tables.instrument, tables.flow_path
    else:
        file = load_bytes(content, path)
        instrument, parts, data = file.profile.instrument, file.profile.flow_path, file.tables
    if instrument is None:
        raise _lacks(path, "has no [instrument] table", "name a file that describes an instrument")
    if not parts or parts[0].part != "pump":
        raise _lacks(
            path,
            "has no flow path that begins with the pump",
            "list its parts in flow order as [[flow_path]] tables",
        )
    if not any(part.part == "column" for part in parts):
        raise _lacks(
            path,
            "does not say where the column goes",
            'put a [[flow_path]] with part = "column" there',
        )
    own = {
        "instrument": _without_use(data["instrument"]),
        "flow_path": [_without_use(part) for part in data["flow_path"]],
    }
    return System(path, hashlib.sha256(content).hexdigest(), instrument, parts, own)


def _without_use(table: Mapping[str, Any]) -> dict[str, Any]:
    return {key: value for key, value in table.items() if key != USE}


def _lacks(path: str, message: str, advice: str) -> UnreadableProfile:
    return UnreadableProfile(
        path, (unreadable(f"{path} {message}", advice, Location(path, 1, 1, 1, 1)),)
    )
