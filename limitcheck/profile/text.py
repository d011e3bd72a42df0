"""A file's text and tables, where each of its values stands, and what makes it unreadable.

`Merged` is a text with values of shared descriptions filled in; `shared` makes it.
"""

from __future__ import annotations

import errno
import hashlib
import os
import stat
from collections.abc import Mapping
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Any, BinaryIO, NamedTuple

from ..errors import LimitcheckError
from ..findings import Finding, KeyPath, Location, Severity
from .toml import BOM, TomlError, parse

if TYPE_CHECKING:
    from .model import Part
    from .places import Source

CHECK = "unreadable-profile"
USED_FILE = "used_file"
"""In the data of a finding: the file that cannot be used, for whichever profile."""
BEING_WRITTEN = ".limitcheck-"
"""How the names of files begin that are being written, or that a killed write left behind."""
LARGEST_FILE = 1_000_000
"""Bytes; a profile is a few thousand."""

MOST_OF_A_KIND = 20
"""Problems of one kind that are told of a file; of the others their number is."""


class UnreadableProfile(LimitcheckError):
    """A file that cannot be used; `findings` says all that is wrong with it."""

    def __init__(self, path: str, findings: tuple[Finding, ...]) -> None:
        super().__init__(
            "\n".join(f"{path}: {finding.message}" for finding in findings),
            "\n".join(dict.fromkeys(finding.advice for finding in findings)),
        )
        self.path = path
        self.findings = findings

    def __reduce__(self) -> tuple[type[UnreadableProfile], tuple[str, tuple[Finding, ...]]]:
        return type(self), (self.path, self.findings)  # from one process to another


class NotAProfile(LimitcheckError):
    """A file of another kind than a profile; `reason` says which, in one word."""

    def __init__(self, path: str, reason: str) -> None:
        super().__init__(f"{path}: {reason}")
        self.reason = reason


def is_description(data: Mapping[str, Any]) -> bool:
    """Whether a file only describes an instrument or parts for profiles to use."""
    return bool(data) and data.keys() <= {"instrument", "flow_path"}


def unreadable(message: str, advice: str, at: Location, path: KeyPath = ()) -> Finding:
    """The finding that a file cannot be used as it is."""
    return Finding(Severity.ERROR, message, advice, path, check=CHECK, location=at)


def further(number: int) -> tuple[str, str]:
    """What is said of problems that are like those told already, and advice."""
    return (
        f"from here on, {number:,} more of the same kind",
        "correct the first ones, then check again",
    )


def refusal(name: str, message: str, advice: str) -> UnreadableProfile:
    """The refusal of a whole file."""
    return UnreadableProfile(name, (unreadable(message, advice, Location(name, 1, 1, 1, 1)),))


class ParsedText:
    """A text with its tables; `name` is shown to the user."""

    def __init__(self, name: str, text: str, data: Mapping[str, Any], sha256: str) -> None:
        self.name = name
        self.text = text
        self.data = data
        self.sha256 = sha256

    @cached_property
    def source(self) -> Source:
        """The places in the text, scanned when first asked for."""
        from .places import Source

        return Source(self.text)

    @cached_property
    def real(self) -> str:
        """The path, free of links."""
        return os.path.realpath(self.name)

    def locate(self, path: KeyPath, *, key: bool = False) -> Location:
        """Where the value of a key path, or its key, or the nearest table around it, stands."""
        source = self.source
        span = (source.key_span(path) if key else None) or source.nearest(path)
        line = source.line_around(span.start)
        return Location(self.name, span.line, span.column, span.end_line, span.end_column, line)


class Origin(NamedTuple):
    """A value with the text and key path it comes from."""

    value: Any
    document: ParsedText
    path: KeyPath


class Used(NamedTuple):
    """A file of shared descriptions that a profile takes values from."""

    path: str
    sha256: str


class SharedPart(NamedTuple):
    """A part as its shared description has it, under a profile that overrides a rating."""

    part: Part
    entries: Mapping[str, Origin]

    def locate(self, *keys: str) -> Location:
        """Where the description gives the first of these keys that it has."""
        origin = next(self.entries[key] for key in keys if key in self.entries)
        return origin.document.locate(origin.path)


class Merged(NamedTuple):
    """A text whose tables, `data`, have every `use` filled in, and where each value comes from."""

    own: ParsedText
    data: Mapping[str, Any]
    origins: Mapping[KeyPath, Origin] = {}
    parts: Mapping[int, tuple[SharedPart, ...]] = {}
    """By place in the flow path: each description whose rating may be overridden."""
    uses: tuple[Used, ...] = ()

    def locate(self, path: KeyPath, *, key: bool = False) -> Location:
        """Where the value of a key path, or its key, stands, in whichever file that is."""
        for length in range(len(path), 0, -1):
            origin = self.origins.get(path[:length])
            if origin is not None:
                return origin.document.locate((*origin.path, *path[length:]), key=key)
        return self.own.locate(path, key=key)


def read_text(path: str | Path) -> ParsedText:
    """Read and parse a file; raises UnreadableProfile."""
    return parsed(read_file(path), str(path))


def parsed(content: bytes, name: str, *, empty: bool = False) -> ParsedText:
    """The text and tables of a file's bytes; raises UnreadableProfile that says what is wrong.

    A file with nothing in it is refused, unless it may be `empty`.
    """
    text = _decoded(content, name) if content.strip() or not empty else ""
    try:
        data = parse(text)
    except TomlError as error:
        line = text.removeprefix(BOM).split("\n")[error.line - 1].removesuffix("\r")
        at = Location(name, error.line, error.column, error.line, error.column + 1, line)
        raise UnreadableProfile(name, (unreadable(error.message, error.advice, at),)) from None
    return ParsedText(name, text, data, hashlib.sha256(content).hexdigest())


class NotRegular(OSError):
    """A pipe, device or socket where a file belongs: reading it may never end."""


def open_regular(path: str | Path) -> BinaryIO:
    """A regular file, open for reading; waits for nobody. Raises OSError, NotRegular."""
    flags = os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0)
    descriptor = os.open(path, flags)
    mode = os.fstat(descriptor).st_mode
    if stat.S_ISREG(mode):
        return os.fdopen(descriptor, "rb")
    os.close(descriptor)
    if stat.S_ISDIR(mode):
        raise IsADirectoryError(errno.EISDIR, os.strerror(errno.EISDIR))
    raise NotRegular(errno.EINVAL, "not a regular file")


def read_file(path: str | Path) -> bytes:
    """The bytes of a regular file of a sensible size; raises UnreadableProfile."""
    name = str(path)
    try:
        with open_regular(path) as file:
            size = os.fstat(file.fileno()).st_size
            if size > LARGEST_FILE:
                raise _too_large(name, f"{size:,}")
            return file.read(LARGEST_FILE + 1)
    except NotRegular:
        raise refusal(name, "not a regular file", "name a profile file or a folder") from None
    except IsADirectoryError:
        raise refusal(name, "a folder, not a file", "name a profile file") from None
    except (OSError, ValueError) as error:
        if isinstance(error, FileNotFoundError) and os.path.islink(path):
            told = f"a link to {os.readlink(path)}, which is not there"
            raise refusal(name, told, "correct the link or remove it") from None
        reason = (error.strerror if isinstance(error, OSError) else None) or str(error)
        advice = "check the name and the permissions"
        raise refusal(name, f"cannot be read: {reason}", advice) from None


def _too_large(name: str, size: str) -> UnreadableProfile:
    advice = "name a profile file (a few kilobytes of TOML)"
    return refusal(name, f"{size} bytes: far too large for a profile", advice)


def _decoded(content: bytes, name: str) -> str:
    """UTF-8 text of a file's bytes; raises UnreadableProfile that says where it is not."""
    if len(content) > LARGEST_FILE:
        raise _too_large(name, f"more than {LARGEST_FILE:,}")
    if not content.strip():
        raise refusal(name, "the file is empty", "start from one: limitcheck new --list")
    if content.startswith((b"\xff\xfe", b"\xfe\xff")):
        raise refusal(name, "the file is UTF-16 or UTF-32", "save it as UTF-8")
    if b"\x00" in content:
        raise refusal(name, "the file holds binary data", "name a TOML text file")
    try:
        return content.decode("utf-8")
    except UnicodeDecodeError as error:
        before = content[: error.start].decode("utf-8")
        line = before.count("\n") + 1
        column = len(before) - (before.rfind("\n") + 1) + 1
        at = Location(name, line, column, line, column + 1)
        byte = f"byte 0x{content[error.start]:02x} is not UTF-8"
        raise UnreadableProfile(name, (unreadable(byte, "save the file as UTF-8", at),)) from None
