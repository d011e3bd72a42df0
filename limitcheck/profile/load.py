"""Read a profile file: bytes to a validated `Profile`, or everything wrong with it at once."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple

from pydantic import BaseModel, ValidationError

from ..errors import cut
from ..findings import Finding, KeyPath, Location
from .model import Profile, validate_profile
from .text import (
    Merged,
    NotAProfile,
    ParsedText,
    UnreadableProfile,
    Used,
    is_description,
    parsed,
    read_file,
    read_text,
    refusal,
    unreadable,
)

if TYPE_CHECKING:
    from .places import Source

USE_PATTERN = re.compile(r"use[\"']?[ \t]*=")


class ProfileFile(NamedTuple):
    """A profile with the text it came from; `path` is the name shown to the user."""

    path: str
    text: str
    sha256: str
    profile: Profile
    merged: Merged

    @property
    def tables(self) -> Mapping[str, Any]:
        """The tables of the file as TOML gives them, values of shared descriptions filled in."""
        return self.merged.data

    @property
    def uses(self) -> tuple[Used, ...]:
        """The files of shared descriptions it takes values from."""
        return self.merged.uses

    @property
    def source(self) -> Source:
        """The text with its places."""
        return self.merged.own.source

    def locate(self, path: KeyPath) -> Location:
        """Where the value of a key path, or the nearest table around it, stands."""
        return self.merged.locate(path)

    def place(self, path: KeyPath | None) -> str:
        """The file:line:column of a key path, as messages name it; of the file alone for None."""
        return str(self.path) if path is None else self.locate(path).text


def load(path: str | Path, *, only_profiles: bool = False) -> ProfileFile:
    """Read and validate a file.

    Raises UnreadableProfile with every error; with `only_profiles`, NotAProfile for a file that
    was not meant to be a profile, whatever its state.
    """
    if not only_profiles:
        return load_bytes(read_file(path), str(path))
    try:
        own = read_text(path)
    except UnreadableProfile:
        from .resemblance import kind_of_unreadable

        if kind := kind_of_unreadable(str(path)):
            raise NotAProfile(str(path), kind) from None
        raise
    return load_parsed(own, only_profiles=True)


def load_bytes(content: bytes, name: str) -> ProfileFile:
    """Validate the bytes of a profile, shown to the user as `name`; raises UnreadableProfile."""
    return load_parsed(parsed(content, name))


def load_parsed(own: ParsedText, *, only_profiles: bool = False) -> ProfileFile:
    """Validate a text that is already parsed; raises as `load`."""
    data = own.data
    if data.get("format") != 1 or "instrument" not in data:
        from .resemblance import kind_of

        kind = kind_of(own)
        if kind and only_profiles:
            raise NotAProfile(own.name, kind)
        if kind and "format" not in data and ("instrument" not in data or is_description(data)):
            raise _not_a_profile(own)
    if "format" in data and is_description({k: data[k] for k in data if k != "format"}):
        raise UnreadableProfile(own.name, (_description_with_format(own),))
    merged = merged_text(own)
    try:
        profile = validate_profile(merged.data)
    except ValidationError as error:
        refused = invalid(error, merged)
        if only_profiles and "format" not in data:
            from .resemblance import why_taken

            refused = UnreadableProfile(own.name, tuple(why_taken(own, refused.findings)))
        raise refused from None
    return ProfileFile(own.name, own.text, own.sha256, profile, merged)


def merged_text(own: ParsedText) -> Merged:
    """The text with every `use` filled in; raises UnreadableProfile."""
    if not USE_PATTERN.search(own.text):
        return Merged(own, own.data)
    from .shared import merge

    return merge(own)


def invalid(
    error: ValidationError, merged: Merged, model: type[BaseModel] = Profile
) -> UnreadableProfile:
    """Everything that a failed validation found, in the order of the places."""
    from .problems import explain

    def findings() -> Iterator[Finding]:
        for found in explain(error, model):
            at = merged.locate(found.path, key=found.at_key)
            told = tuple(step if isinstance(step, int) else cut(step, 300) for step in found.path)
            yield unreadable(found.message, found.advice, at, told)

    return UnreadableProfile(merged.own.name, tuple(sorted(findings(), key=_position)))


def _position(finding: Finding) -> tuple[str, int, int]:
    at = finding.location
    return (at.file, at.line, at.column) if at else ("", 0, 0)


def _description_with_format(own: ParsedText) -> Finding:
    """What is wrong with a description that says that it is a profile."""
    return unreadable(
        "`format` says that this is a profile, but it only describes an instrument or parts",
        "remove `format` from a file that profiles use; a profile also has [method] and all parts",
        own.locate(("format",), key=True),
        ("format",),
    )


def _not_a_profile(own: ParsedText) -> UnreadableProfile:
    if is_description(own.data):
        return refusal(
            own.name,
            "this describes an instrument or parts for profiles to use; it is not a profile",
            "a profile begins with format = 1 and [method]; to check those that use this file: "
            "limitcheck check FILE",
        )
    return refusal(
        own.name,
        "neither `format` nor [instrument] is here, so this is not a profile",
        "begin with format = 1; limitcheck new --list names starting profiles",
    )
