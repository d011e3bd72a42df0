"""The lines of a pressure log: bounded in length, decoded, and split into cells.

One record is one line. A line is read up to a fixed length, so that a file without line ends
costs no more memory than any other.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterator
from contextlib import suppress
from functools import lru_cache
from typing import BinaryIO

DELIMITERS = {",": "comma", ";": "semicolon", "\t": "tab", "|": "vertical bar"}
LONGEST_LINE = 64 * 1024  # characters; a log has a few cells a line
_UNDECODED = re.compile("[\udc80-\udcff]")


class LogError(ValueError):
    """A log that cannot be used: where, what was seen, and what to do about it."""

    def __init__(self, file: str, line: int, column: int, message: str, advice: str) -> None:
        super().__init__(f"{file}:{line}:{column}: {message}")
        self.file = file
        self.line = line
        self.column = column
        self.message = message
        self.advice = advice


def quoted(text: str, most: int = 40) -> str:
    """The text of a cell for a message: one line, printable, cut short, in quotes."""
    cut = text if len(text) <= most else text[: most - 3] + "..."
    return '"' + "".join(c if c.isprintable() else f"\\x{ord(c):02x}" for c in cut) + '"'


@lru_cache(maxsize=1024)  # a log repeats its names
def inert(text: str) -> str:
    """The text of a cell, disarmed: a spreadsheet must not run what a log contained.

    A leading =, +, - or @ gets an apostrophe before it (common practice, no source), control
    characters go. Names from a log are kept in this form only, so every output carries it.
    """
    clean = "".join(c for c in text.strip() if c.isprintable())
    return "'" + clean if clean[:1] in ("=", "+", "-", "@") else clean


def lines(stream: BinaryIO, file: str) -> Iterator[tuple[int, str]]:
    """Number (from 1) and text of each line that is not blank, from the start of the stream.

    UTF-8 with or without a byte order mark. Raises LogError for another encoding, NUL bytes and
    a line longer than LONGEST_LINE.
    """
    stream.seek(0)
    start = stream.read(4)
    if start[:2] in (b"\xff\xfe", b"\xfe\xff"):
        raise LogError(
            file, 1, 1, "the file is UTF-16 text", "save it as CSV in UTF-8, then run again"
        )
    if start == b"PK\x03\x04":
        raise LogError(
            file, 1, 1, "the file is a workbook or an archive, not text", "save the sheet as CSV"
        )
    stream.seek(0)
    text = io.TextIOWrapper(stream, encoding="utf-8-sig", errors="surrogateescape")
    try:
        number = 0
        while line := text.readline(LONGEST_LINE + 1):
            number += 1
            if len(line) > LONGEST_LINE:
                raise LogError(
                    file,
                    number,
                    LONGEST_LINE,
                    f"the line is longer than {LONGEST_LINE} characters",
                    "write one reading a line; is this a pressure log?",
                )
            if "\0" in line:
                raise LogError(
                    file,
                    number,
                    line.index("\0") + 1,
                    "a NUL byte",
                    "the file is damaged or not text; export the log again as CSV",
                )
            if not line.isascii() and (bad := _UNDECODED.search(line)):
                raise LogError(
                    file,
                    number,
                    bad.start() + 1,
                    f"byte 0x{ord(bad[0]) - 0xDC00:02x} is not UTF-8",
                    "save the file as CSV in UTF-8, then run again",
                )
            bare = line.rstrip("\r\n")
            if bare.strip():
                yield number, bare
    finally:
        with suppress(ValueError):  # the stream was closed before this generator was
            text.detach()


def split(line: str, delimiter: str, file: str, number: int) -> list[str]:
    """The cells of a line; raises LogError for a quotation mark that is not closed."""
    if '"' not in line:
        return line.split(delimiter)
    try:
        return next(csv.reader([line], delimiter=delimiter, strict=True))
    except csv.Error:
        raise LogError(
            file,
            number,
            line.index('"') + 1,
            "a quotation mark that is not closed, or text right after a closed one",
            "close the quotation on the same line; a mark inside one is doubled",
        ) from None


def column_of(line: str, delimiter: str, index: int) -> int:
    """Column (from 1, in characters) at which cell `index` of the line starts."""
    position = cell = 0
    inside = False
    for position, character in enumerate(line):
        if cell == index:
            return position + 1
        if character == '"':
            inside = not inside
        elif character == delimiter and not inside:
            cell += 1
    return min(position + 2, len(line) + 1)
