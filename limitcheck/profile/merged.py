"""A document with values of other documents filled in, and where each value comes from."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Any, NamedTuple

from ..findings import KeyPath, Location
from .load import Used, place
from .model import Part
from .source import Source


@dataclass(frozen=True)
class Document:
    """A text with its tables; `name` is shown to the user, `real` is free of links."""

    name: str
    real: str
    text: str
    data: Mapping[str, Any]
    sha256: str = ""

    @cached_property
    def source(self) -> Source:
        """The text with its places, scanned when first asked for."""
        return Source(self.text)

    def locate(self, path: KeyPath, *, key: bool = False) -> Location:
        """Where a key path of this document, or its key, stands."""
        return place(self.name, self.source, path, key=key)


class Origin(NamedTuple):
    """A value with the document and key path it comes from."""

    value: Any
    document: Document
    path: KeyPath


Expanded = Mapping[str, Origin]


@dataclass(frozen=True)
class SharedPart:
    """A part as its shared description has it, under a profile that overrides a rating."""

    part: Part
    entries: Expanded

    def locate(self, key: str) -> Location:
        """Where the description gives a key."""
        origin = self.entries[key]
        return origin.document.locate(origin.path)


@dataclass(frozen=True)
class Merged:
    """A document with every `use` filled in, and where each value comes from."""

    document: Document
    data: Mapping[str, Any]
    origins: Mapping[KeyPath, Origin]
    parts: Mapping[int, tuple[SharedPart, ...]]
    """By place in the flow path: each description whose rating may be overridden."""
    uses: tuple[Used, ...]

    def locate(self, path: KeyPath, *, key: bool = False) -> Location:
        """Where the value of a key path, or its key, stands, in whichever file that is."""
        for length in range(len(path), 0, -1):
            origin = self.origins.get(path[:length])
            if origin is not None:
                return origin.document.locate((*origin.path, *path[length:]), key=key)
        return self.document.locate(path, key=key)
