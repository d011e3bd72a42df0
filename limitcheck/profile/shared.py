"""Descriptions of instruments and parts that several profiles use, in files of their own.

`[instrument] use = "../instruments/kb-lc-03.toml"` takes the [instrument] table of that file,
`[[flow_path]] use = "../columns/tea.toml#column"` its [[flow_path]] table whose label or part is
"column". A key beside `use` overrides the shared value, whole. Paths are relative to the file
that holds them and stay inside its root: the nearest folder upward with `.git`, else with
`limitcheck.toml` or `pyproject.toml`, else the file's own folder. A described part may itself
use another.
"""

from __future__ import annotations

import os
from collections.abc import Iterator, Mapping
from functools import lru_cache
from pathlib import PurePosixPath, PureWindowsPath
from typing import Any

from pydantic import TypeAdapter, ValidationError

from ..errors import LimitcheckError, cut
from ..findings import Finding, KeyPath, path_text
from .model import AnyPart, Part
from .table import MOST
from .text import (
    MOST_OF_A_KIND,
    USED_FILE,
    Merged,
    Origin,
    ParsedText,
    SharedPart,
    UnreadableProfile,
    Used,
    further,
    read_text,
    unreadable,
)

USE = "use"
LONGEST_REFERENCE = 1000
"""Characters of a `use`; a longer one is refused."""
RATINGS = ("rating", "rating_at_flow", "rating_at_temperature", "interpolate")
_ROOT_MARKS = ((".git",), ("limitcheck.toml", "pyproject.toml"))
Entries = Mapping[str, Origin]
"""The keys of a described part, with where each comes from."""
_PART: TypeAdapter[Part] = TypeAdapter(AnyPart)


def merge(own: ParsedText) -> Merged:
    """Fill in what a file uses; raises UnreadableProfile with every fault found."""
    resolver = _Resolver(own)
    merged = resolver.merged()
    parts = own.data.get("flow_path")
    if isinstance(parts, list) and len(parts) > MOST:  # those behind are not looked at
        at = own.locate(("flow_path", MOST))
        told = unreadable("flow_path: too many entries", f"give {MOST} at most", at)
        raise UnreadableProfile(own.name, (told,))
    if resolver.problems:
        raise UnreadableProfile(own.name, tuple(resolver.problems))
    return merged


def real_files_used(own: ParsedText) -> frozenset[str]:
    """The real paths of all files that a file uses, as far as they can be followed."""
    resolver = _Resolver(own)
    resolver.merged()
    return frozenset(resolver.files)


def root_of(path: str) -> str:
    """The folder that the files used by a file must lie in."""
    folder = os.path.dirname(os.path.realpath(path))
    return marked_root(folder) or folder


@lru_cache(maxsize=4096)
def marked_root(folder: str) -> str | None:
    """The nearest folder upward with `.git`, else with a policy; None where there is none."""
    for marks in _ROOT_MARKS:
        at = folder
        while True:
            if any(os.path.exists(os.path.join(at, mark)) for mark in marks):
                return at
            above = os.path.dirname(at)
            if above == at:
                break
            at = above
    return None


def path_from(holder: str, file: str) -> str:
    """A file's path as another file, `holder`, writes it: relative, with forward slashes."""
    folder = os.path.dirname(os.path.realpath(holder))
    return os.path.relpath(os.path.realpath(file), folder).replace(os.sep, "/")


def reference(holder: str, file: str) -> str | None:
    """How `holder` may `use` another file; None where it lies out of reach or is named oddly."""
    path = path_from(holder, file)
    odd = "#" in path or "\\" in path or not path.isprintable()
    return path if not odd and in_reach(holder, file) else None


def in_reach(holder: str, file: str) -> bool:
    """Whether a file lies in the folder that files used by `holder` must lie in."""
    return _inside(os.path.realpath(file), root_of(holder))


def using(data: Mapping[str, Any]) -> Iterator[tuple[KeyPath, dict[str, Any]]]:
    """The tables that have a `use`, with their paths; not of a flow path that is too long."""
    instrument, parts = data.get("instrument"), data.get("flow_path")
    if isinstance(instrument, dict) and USE in instrument:
        yield ("instrument",), instrument
    for index, part in enumerate(parts[:MOST] if isinstance(parts, list) else ()):
        if isinstance(part, dict) and USE in part:
            yield ("flow_path", index), part


class _Fault(LimitcheckError):
    """What is wrong with a `use`; `file` is the used file where that is to be corrected."""

    def __init__(self, message: str, advice: str, file: str = "") -> None:
        super().__init__(message, advice)
        self.file = file


class _Resolver:
    """Follows every `use` of one file."""

    def __init__(self, own: ParsedText) -> None:
        self.own = own
        self.files: dict[str, ParsedText] = {}  # by real path
        self.seen: dict[str, ParsedText] = {}  # by path as written
        self.problems: list[Finding] = []

    def merged(self) -> Merged:
        data = dict(self.own.data)
        origins: dict[KeyPath, Origin] = {}
        parts: dict[int, tuple[SharedPart, ...]] = {}
        if isinstance(data.get("flow_path"), list):
            data["flow_path"] = list(data["flow_path"])
        faulty = 0
        untold: KeyPath = ()
        for path, table in using(self.own.data):
            trail = ((self.own.real, path),)
            try:
                levels = self._follow(self.own, path, table, trail)
                overridden = len(levels) > 1 or any(key in table for key in RATINGS)
                if path[0] == "flow_path" and overridden:
                    parts[int(path[1])] = tuple(map(self._shared_part, levels))
            except UnreadableProfile as refused:
                faulty += 1
                if faulty <= MOST_OF_A_KIND:
                    self.problems += refused.findings
                elif faulty == MOST_OF_A_KIND + 1:
                    untold = path
                continue
            shared = levels[0]
            values = {key: origin.value for key, origin in shared.items() if key != USE}
            if path[0] == "instrument":
                data["instrument"] = values | table
            else:
                data["flow_path"][path[1]] = values | table
            origins |= {(*path, key): o for key, o in shared.items() if key not in table}
        if faulty > MOST_OF_A_KIND:
            at = self.own.locate(untold)
            self.problems.append(unreadable(*further(faulty - MOST_OF_A_KIND), at))
        uses = tuple(Used(file.name, file.sha256) for file in self.files.values())
        return Merged(self.own, data, origins, parts, uses)

    def _follow(
        self,
        holder: ParsedText,
        path: KeyPath,
        table: Mapping[str, Any],
        trail: tuple[tuple[str, KeyPath], ...],
    ) -> list[Entries]:
        """The table that `table` at `path` of `holder` uses, itself filled in, then those below."""
        try:
            document, found = self._find(table[USE], holder, path)
            if (document.real, found) in trail:
                raise _Fault(
                    f"{path_text(path)}: {cut(str(table[USE]))} leads back to where it is used",
                    "let one of the files hold the values itself",
                )
        except _Fault as fault:
            finding = unreadable(fault.message, fault.advice, holder.locate((*path, USE)))
            if fault.file:
                finding = finding._replace(data={USED_FILE: fault.file})
            raise UnreadableProfile(holder.name, (finding,)) from None
        target: Any = document.data
        for step in found:
            target = target[step]
        own = {key: Origin(value, document, (*found, key)) for key, value in target.items()}
        if USE not in target:
            return [own]
        trail = (*trail, (document.real, found))
        below = self._follow(document, found, target, trail)
        return [{**below[0], **own}, *below]

    def _find(
        self, reference: object, holder: ParsedText, path: KeyPath
    ) -> tuple[ParsedText, KeyPath]:
        """The file and table that a reference means."""
        instrument = path == ("instrument",)
        as_in = "instruments/kb-lc-03.toml" if instrument else "columns/tea.toml#column"
        example = f'as in use = "../{as_in}"'
        if not isinstance(reference, str) or not reference.strip():
            raise _Fault("use: a file's path in quotes belongs here", example)
        if len(reference) > LONGEST_REFERENCE:
            raise _Fault(f"use: a path of {len(reference):,} characters", example)
        file, _, name = reference.partition("#")
        if not file:
            raise _Fault(f'use: "{cut(reference)}" names no file', example)
        absolute = PurePosixPath(file).is_absolute() or PureWindowsPath(file).drive
        if absolute or "\\" in file or "\x00" in file:
            raise _Fault(
                f'use: "{cut(reference)}" is not a relative path with forward slashes',
                f"write it from this file's folder, {example}",
            )
        document = self._read(file, holder)
        if not instrument:
            return document, _part_path(document, name)
        if name:
            raise _Fault(
                f'use: "#{cut(name)}" has no meaning for an instrument',
                "leave it out: the [instrument] table is taken",
            )
        if not isinstance(document.data.get("instrument"), Mapping):
            raise _Fault(
                f"{document.name} has no [instrument] table",
                "name a file that describes an instrument",
                document.name,
            )
        return document, path

    def _read(self, file: str, holder: ParsedText) -> ParsedText:
        joined = os.path.join(os.path.dirname(holder.name), *file.split("/"))
        if joined not in self.seen:
            self.seen[joined] = self._open(joined, file)
        return self.seen[joined]

    def _open(self, joined: str, file: str) -> ParsedText:
        root, tidy = root_of(self.own.real), os.path.normpath(joined)
        real = os.path.realpath(joined)
        name = tidy if os.path.realpath(tidy) == real else joined
        if not _inside(real, root):
            link = " by a link" if _inside(os.path.abspath(tidy), root) else ""
            raise _Fault(
                f'use: "{cut(file)}" leads{link} out of {root}',
                "keep shared files in the repository; without .git, a limitcheck.toml marks its "
                "top folder",
            )
        if os.path.exists(real) and not os.path.isfile(real):
            raise _Fault(f"{name} is not a file", "name a file of descriptions", name)
        try:
            status = os.stat(real)
            document = _read(name, status.st_mtime_ns, status.st_size)
        except OSError as error:
            raise _Fault(
                f"{cut(name, 300)} cannot be read: {error.strerror}",
                "correct the path or add the file",
                name,
            ) from None
        if (given := document.data.get("format", 1)) != 1 or given is True:
            at = document.locate(("format",)).text
            advice = "a description has no `format`: remove it; this version reads format = 1"
            raise _Fault(f"{at}: a format that is not known: {cut(str(given))}", advice, name)
        return self.files.setdefault(real, document)

    def _shared_part(self, entries: Entries) -> SharedPart:
        try:
            values = {key: origin.value for key, origin in entries.items()}
            return SharedPart(_PART.validate_python(values), entries)
        except ValidationError as error:
            keys = {str(step) for detail in error.errors() for step in detail["loc"]}
            known = [origin for key, origin in entries.items() if key in keys]
            origin = known[0] if known else next(iter(entries.values()))
            finding = unreadable(
                f"the described part is not valid by itself: {path_text(origin.path)}",
                "correct the description, then what overrides it",
                origin.document.locate(origin.path),
            )
            raise UnreadableProfile(origin.document.name, (finding,)) from None


def _part_path(document: ParsedText, name: str) -> KeyPath:
    """The [[flow_path]] entry whose label, or else whose part, is `name`."""
    parts = document.data.get("flow_path")
    listed = parts if isinstance(parts, list) else []
    tables = [part if isinstance(part, Mapping) else {} for part in listed]
    names = [str(part[key]) for part in tables[:50] for key in ("part", "label") if key in part]
    known = f"it describes: {cut(', '.join(names), 300)}"
    if not names:
        known = "it has no [[flow_path]] table"
    if not name:
        raise _Fault(f"which part of {document.name}?", f"write #name after the path; {known}")
    for key in ("label", "part"):
        found = [index for index, part in enumerate(tables) if part.get(key) == name]
        if len(found) == 1:
            return "flow_path", found[0]
        if found:
            raise _Fault(
                f'{document.name} has {len(found)} parts with {key} = "{cut(name)}"',
                "give them labels that differ and name one",
                document.name,
            )
    raise _Fault(f'{document.name} describes no "{cut(name)}"', known, document.name)


@lru_cache(maxsize=256)
def _read(name: str, _modified: int, _size: int) -> ParsedText:
    """A shared file, read again when its time or size changes."""
    return read_text(name)


def _inside(path: str, root: str) -> bool:
    return path == root or path.startswith(root.rstrip(os.sep) + os.sep)
