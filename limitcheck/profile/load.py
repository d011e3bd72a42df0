"""Read a profile file: bytes to a validated `Profile`, or everything wrong with it at once."""

from __future__ import annotations

import hashlib
import os
import re
import stat
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cached_property, partial
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple

from pydantic import ValidationError

from ..findings import Finding, KeyPath, Location, Severity
from .errors import explain
from .model import Profile, validate_profile
from .source import Source, TomlError, parse

if TYPE_CHECKING:
    from .merged import Merged

CHECK = "unreadable-profile"
USE_PATTERN = re.compile(r"use[\"']?[ \t]*=")
LARGEST_FILE = 1_000_000
"""Bytes; a profile is a few thousand."""


class UnreadableProfile(Exception):
    """A file that cannot be used; `findings` says all that is wrong with it."""

    def __init__(self, path: str, findings: tuple[Finding, ...]) -> None:
        super().__init__("\n".join(f"{path}: {finding.message}" for finding in findings))
        self.path = path
        self.findings = findings

    def __reduce__(self) -> tuple[type[UnreadableProfile], tuple[str, tuple[Finding, ...]]]:
        return type(self), (self.path, self.findings)  # from one process to another


class NotAProfile(Exception):
    """A readable TOML file with neither `format` nor `[instrument]`: some other file."""


class Used(NamedTuple):
    """A file of shared descriptions that a profile takes values from."""

    path: str
    sha256: str


@dataclass(frozen=True)
class ProfileFile:
    """A profile with the text it came from; `path` is the name shown to the user.

    `merged` is there where the profile takes values from shared descriptions.
    """

    path: str
    text: str
    sha256: str
    profile: Profile
    merged: Merged | None = None

    @property
    def tables(self) -> Mapping[str, Any]:
        """The tables of the file as TOML gives them, values of shared descriptions filled in."""
        return self.merged.data if self.merged is not None else parse(self.text)

    @property
    def uses(self) -> tuple[Used, ...]:
        """The files of shared descriptions it takes values from."""
        return self.merged.uses if self.merged is not None else ()

    @cached_property
    def source(self) -> Source:
        """The text with its places, scanned when first asked for."""
        return Source(self.text)

    def locate(self, path: KeyPath) -> Location:
        """Where the value of a key path, or the nearest table around it, stands."""
        if self.merged is not None:
            return self.merged.locate(path)
        return place(self.path, self.source, path)


def place(name: str, source: Source, path: KeyPath, *, key: bool = False) -> Location:
    """The location of a key path in a source: of its value, or of the key itself."""
    span = (source.key_span(path) if key else None) or source.nearest(path)
    return Location(
        name, span.line, span.column, span.end_line, span.end_column, source.line_text(span.line)
    )


def load(path: str | Path, *, only_profiles: bool = False) -> ProfileFile:
    """Read and validate a file.

    Raises UnreadableProfile with every error; with `only_profiles`, NotAProfile for a TOML
    file of another kind.
    """
    return load_bytes(read_file(path), str(path), only_profiles=only_profiles)


def load_bytes(content: bytes, name: str, *, only_profiles: bool = False) -> ProfileFile:
    """Validate the bytes of a profile, shown to the user as `name`; raises as `load`."""
    if only_profiles and not content.strip():
        raise NotAProfile(name)
    text = decode(content, name)
    data = parse_text(text, name)
    if "format" not in data and ("instrument" not in data or is_description(data)):
        if only_profiles:
            raise NotAProfile(name)
        at = Location(name, 1, 1, 1, 1)
        raise UnreadableProfile(name, (_not_a_profile(at, described=is_description(data)),))
    values: Mapping[str, Any] = data
    merged = None
    if USE_PATTERN.search(text):
        from .shared import merge

        merged = merge(data, name, text)
        values = merged.data
    try:
        profile = validate_profile(values)
    except ValidationError as error:
        locate = merged.locate if merged else partial(place, name, Source(text))
        raise UnreadableProfile(name, _all_errors(error, values, locate)) from None
    return ProfileFile(name, text, hashlib.sha256(content).hexdigest(), profile, merged)


def is_description(data: Mapping[str, Any]) -> bool:
    """Whether a document only describes an instrument or parts for profiles to use."""
    return bool(data) and data.keys() <= {"instrument", "flow_path"}


def parse_text(text: str, name: str) -> dict[str, Any]:
    """The tables of a TOML text; raises UnreadableProfile that says where it is not TOML."""
    try:
        return parse(text)
    except TomlError as error:
        line = Source(text).line_text(error.line)
        at = Location(name, error.line, error.column, error.line, error.column + 1, line)
        raise UnreadableProfile(name, (unreadable(error.message, error.advice, at),)) from None


def read_file(path: str | Path) -> bytes:
    """The bytes of a regular file of a sensible size; raises UnreadableProfile."""
    name = str(path)
    flags = os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0)
    try:
        descriptor = os.open(path, flags)
        with os.fdopen(descriptor, "rb") as file:
            status = os.fstat(descriptor)
            if not stat.S_ISREG(status.st_mode):
                raise _file_error(name, "not a regular file", "name a profile file or a folder")
            if status.st_size > LARGEST_FILE:
                raise _file_error(
                    name,
                    f"{status.st_size:,} bytes: far too large for a profile",
                    "name a profile file (a few kilobytes of TOML)",
                )
            return file.read(LARGEST_FILE + 1)
    except IsADirectoryError:
        raise _file_error(name, "a folder, not a file", "name a profile file") from None
    except (OSError, ValueError) as error:
        reason = (error.strerror if isinstance(error, OSError) else None) or str(error)
        raise _file_error(
            name, f"cannot be read: {reason}", "check the name and the permissions"
        ) from None


def decode(content: bytes, name: str) -> str:
    """UTF-8 text of a file's bytes; raises UnreadableProfile that says where it is not."""
    if not content.strip():
        raise _file_error(name, "the file is empty", "start from one: limitcheck new --list")
    if content.startswith((b"\xff\xfe", b"\xfe\xff")):
        raise _file_error(name, "the file is UTF-16 or UTF-32", "save it as UTF-8")
    if b"\x00" in content:
        raise _file_error(name, "the file holds binary data", "name a TOML text file")
    try:
        return content.decode("utf-8")
    except UnicodeDecodeError as error:
        before = content[: error.start].decode("utf-8")
        line = before.count("\n") + 1
        column = len(before) - (before.rfind("\n") + 1) + 1
        at = Location(name, line, column, line, column + 1)
        byte = f"byte 0x{content[error.start]:02x} is not UTF-8"
        raise UnreadableProfile(name, (unreadable(byte, "save the file as UTF-8", at),)) from None


def _all_errors(
    error: ValidationError, data: Mapping[str, Any], locate: Callable[..., Location]
) -> tuple[Finding, ...]:
    findings = [
        unreadable(found.message, found.advice, locate(found.path, key=found.at_key), found.path)
        for found in explain(error, data)
    ]
    return tuple(sorted(findings, key=_position))


def _position(finding: Finding) -> tuple[str, int, int]:
    at = finding.location
    return (at.file, at.line, at.column) if at else ("", 0, 0)


def unreadable(message: str, advice: str, at: Location, path: KeyPath = ()) -> Finding:
    """The finding that a file cannot be used as it is."""
    return Finding(Severity.ERROR, message, advice, path, check=CHECK, location=at)


def _file_error(name: str, message: str, advice: str) -> UnreadableProfile:
    return UnreadableProfile(name, (unreadable(message, advice, Location(name, 1, 1, 1, 1)),))


def _not_a_profile(at: Location, *, described: bool) -> Finding:
    if described:
        return unreadable(
            "this describes an instrument or parts for profiles to use; it is not a profile",
            "a profile begins with format = 1 and [method]; to check those that use this file: "
            "limitcheck check FILE",
            at,
        )
    return unreadable(
        "neither `format` nor [instrument] is here, so this is not a profile",
        "begin with format = 1; limitcheck new --list names starting profiles",
        at,
    )
