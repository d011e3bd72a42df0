"""Descriptions of instruments and parts that several profiles use, in files of their own.

`[instrument] use = "../instruments/kb-lc-03.toml"` takes the [instrument] table of that file,
`[[flow_path]] use = "../columns/tea.toml#column"` its [[flow_path]] table whose label or part is
"column". A key beside `use` overrides the shared value, whole. Paths are relative to the file
that holds them and stay inside its root: the nearest folder upward with `.git`, else with
`limitcheck.toml` or `pyproject.toml`, else the file's own folder. A described part may itself
use another.
"""

from __future__ import annotations

import hashlib
import os
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from functools import cached_property, lru_cache
from pathlib import PurePosixPath, PureWindowsPath
from typing import Any, NamedTuple

from pydantic import TypeAdapter, ValidationError

from ..findings import Finding, KeyPath, Location, path_text
from .load import (
    UnreadableProfile,
    Used,
    decode,
    parse_text,
    place,
    read_file,
    unreadable,
)
from .model import AnyPart, Part
from .source import Source

USE = "use"
RATINGS = ("rating", "rating_at_flow", "rating_at_temperature")
_ROOT_MARKS = ((".git",), ("limitcheck.toml", "pyproject.toml"))
_PART: TypeAdapter[Part] = TypeAdapter(AnyPart)


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
    parts: Mapping[int, SharedPart]
    """By place in the flow path: the descriptions whose ratings are overridden."""
    uses: tuple[Used, ...]

    def locate(self, path: KeyPath, *, key: bool = False) -> Location:
        """Where the value of a key path, or its key, stands, in whichever file that is."""
        for length in range(len(path), 0, -1):
            origin = self.origins.get(path[:length])
            if origin is not None:
                return origin.document.locate((*origin.path, *path[length:]), key=key)
        return self.document.locate(path, key=key)


def merge(data: Mapping[str, Any], name: str, text: str) -> Merged:
    """Fill in what a document uses; raises UnreadableProfile with every fault found."""
    resolver = _Resolver(Document(name, os.path.realpath(name), text, data))
    merged = resolver.merged()
    if resolver.problems:
        raise UnreadableProfile(name, tuple(resolver.problems))
    return merged


def real_files_used(data: Mapping[str, Any], name: str, text: str) -> frozenset[str]:
    """The real paths of all files that a document uses, as far as they can be followed."""
    resolver = _Resolver(Document(name, os.path.realpath(name), text, data))
    resolver.merged()
    return frozenset(resolver.files)


def root_of(path: str) -> str:
    """The folder that the files used by a file must lie in."""
    return _root(os.path.dirname(os.path.realpath(path)))


@lru_cache(maxsize=4096)
def _root(folder: str) -> str:
    for marks in _ROOT_MARKS:
        at = folder
        while True:
            if any(os.path.exists(os.path.join(at, mark)) for mark in marks):
                return at
            above = os.path.dirname(at)
            if above == at:
                break
            at = above
    return folder


def _using(data: Mapping[str, Any]) -> Iterator[tuple[KeyPath, dict[str, Any]]]:
    """The tables that have a `use`, with their paths."""
    instrument, parts = data.get("instrument"), data.get("flow_path")
    if isinstance(instrument, dict) and USE in instrument:
        yield ("instrument",), instrument
    for index, part in enumerate(parts if isinstance(parts, list) else ()):
        if isinstance(part, dict) and USE in part:
            yield ("flow_path", index), part


class _Refused(Exception):
    """A `use` that cannot be followed; carries the findings."""

    def __init__(self, *findings: Finding) -> None:
        self.findings = findings


@dataclass
class _Resolver:
    """Follows every `use` of one document."""

    own: Document
    files: dict[str, Document] = field(default_factory=dict)
    problems: list[Finding] = field(default_factory=list)

    def merged(self) -> Merged:
        data = dict(self.own.data)
        origins: dict[KeyPath, Origin] = {}
        parts: dict[int, SharedPart] = {}
        if isinstance(data.get("flow_path"), list):
            data["flow_path"] = list(data["flow_path"])
        for path, table in _using(self.own.data):
            trail = ((self.own.real, path),)
            try:
                shared = self._follow(self.own, path, table, trail)
                if path[0] == "flow_path" and any(key in table for key in RATINGS):
                    parts[int(path[1])] = self._shared_part(shared)
            except _Refused as refused:
                self.problems += refused.findings
                continue
            values = {key: origin.value for key, origin in shared.items() if key != USE}
            if path[0] == "instrument":
                data["instrument"] = values | table
            else:
                data["flow_path"][path[1]] = values | table
            origins |= {(*path, key): o for key, o in shared.items() if key not in table}
        uses = tuple(Used(file.name, file.sha256) for file in self.files.values())
        return Merged(self.own, data, origins, parts, uses)

    def _follow(
        self, holder: Document, path: KeyPath, table: Mapping[str, Any],
        trail: tuple[tuple[str, KeyPath], ...],
    ) -> Expanded:  # fmt: skip
        """The table that `table` at `path` of `holder` uses, itself filled in."""
        at = holder.locate((*path, USE))
        document, found = self._find(table[USE], holder, path, at)
        if (document.real, found) in trail:
            raise _refusal(f"{path_text(path)}: {table[USE]} leads back to where it is used",
                           "let one of the files hold the values itself", at)  # fmt: skip
        target: Any = document.data
        for step in found:
            target = target[step]
        own = {key: Origin(value, document, (*found, key)) for key, value in target.items()}
        if USE not in target:
            return own
        trail = (*trail, (document.real, found))
        return {**self._follow(document, found, target, trail), **own}

    def _find(
        self, reference: object, holder: Document, path: KeyPath, at: Location
    ) -> tuple[Document, KeyPath]:
        """The document and table that a reference means."""
        example = (
            'as in use = "../instruments/kb-lc-03.toml"' if path == ("instrument",)
            else 'as in use = "../columns/tea.toml#column"'
        )  # fmt: skip
        if not isinstance(reference, str) or not reference.strip():
            raise _refusal("use: a file's path in quotes belongs here", example, at)
        file, _, name = reference.partition("#")
        if not file:
            raise _refusal(f'use: "{reference}" names no file', example, at)
        absolute = PurePosixPath(file).is_absolute() or PureWindowsPath(file).drive
        if absolute or "\\" in file or "\x00" in file:
            raise _refusal(f'use: "{reference}" is not a relative path with forward slashes',
                           f"write it from this file's folder, {example}", at)  # fmt: skip
        document = self._read(file, holder, at)
        if path == ("instrument",):
            if name:
                raise _refusal(f'use: "#{name}" has no meaning for an instrument',
                               "leave it out: the [instrument] table is taken", at)  # fmt: skip
            if not isinstance(document.data.get("instrument"), Mapping):
                raise _refusal(f"{document.name} has no [instrument] table",
                               "name a file that describes an instrument", at)  # fmt: skip
            return document, ("instrument",)
        return document, _part_path(document, name, at)

    def _read(self, file: str, holder: Document, at: Location) -> Document:
        root = root_of(self.own.real)
        joined = os.path.join(os.path.dirname(holder.name), *file.split("/"))
        tidy = os.path.normpath(joined)
        real = os.path.realpath(joined)
        name = tidy if os.path.realpath(tidy) == real else joined
        if not _inside(real, root):
            link = " by a link" if _inside(os.path.abspath(tidy), root) else ""
            raise _refusal(
                f'use: "{file}" leads{link} out of {root}',
                "keep shared files in the repository; without .git, a limitcheck.toml marks its "
                "top folder", at,
            )  # fmt: skip
        if real not in self.files:
            if os.path.exists(real) and not os.path.isfile(real):
                raise _refusal(f"{name} is not a file", "name a file of descriptions", at)
            try:
                status = os.stat(real)
                self.files[real] = _document(name, real, status.st_mtime_ns, status.st_size)
            except OSError as error:
                raise _refusal(f"{name} cannot be read: {error.strerror}",
                               "correct the path or add the file", at) from None  # fmt: skip
            except UnreadableProfile as error:
                raise _Refused(*error.findings) from None
        return self.files[real]

    def _shared_part(self, entries: Expanded) -> SharedPart:
        try:
            values = {key: origin.value for key, origin in entries.items()}
            return SharedPart(_PART.validate_python(values), entries)
        except ValidationError as error:
            keys = {str(step) for detail in error.errors() for step in detail["loc"]}
            known = [origin for key, origin in entries.items() if key in keys]
            origin = known[0] if known else next(iter(entries.values()))
            raise _refusal(f"the described part is not valid by itself: {path_text(origin.path)}",
                           "correct the description, then what overrides it",
                           origin.document.locate(origin.path)) from None  # fmt: skip


def _part_path(document: Document, name: str, at: Location) -> KeyPath:
    """The [[flow_path]] entry whose label, or else whose part, is `name`."""
    parts = document.data.get("flow_path")
    tables = [part if isinstance(part, Mapping) else {} for part in parts or ()] \
        if isinstance(parts, list) else []  # fmt: skip
    names = [str(part[key]) for part in tables for key in ("part", "label") if key in part]
    known = f"it describes: {', '.join(names)}" if names else "it has no [[flow_path]] table"
    if not name:
        raise _refusal(f"which part of {document.name}?", f"write #name after the path; {known}",
                       at)  # fmt: skip
    for key in ("label", "part"):
        found = [index for index, part in enumerate(tables) if part.get(key) == name]
        if len(found) == 1:
            return "flow_path", found[0]
        if found:
            raise _refusal(f'{document.name} has {len(found)} parts with {key} = "{name}"',
                           "give them labels that differ and name one", at)  # fmt: skip
    raise _refusal(f'{document.name} describes no "{name}"', known, at)


@lru_cache(maxsize=256)
def _document(name: str, real: str, modified: int, size: int) -> Document:  # noqa: ARG001
    """A shared file, read again when its time or size changes."""
    content = read_file(name)
    text = decode(content, name)
    data = parse_text(text, name)
    return Document(name, real, text, data, hashlib.sha256(content).hexdigest())


def _inside(path: str, root: str) -> bool:
    return os.path.commonpath((path, root)) == root


def _refusal(message: str, advice: str, at: Location) -> _Refused:
    return _Refused(unreadable(message, advice, at))
