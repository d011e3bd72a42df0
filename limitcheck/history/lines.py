"""The lines of a pressure log: bounded in length, decoded, and split into cells.

One record is one line. A line is read up to a fixed length, so that a file without line ends
costs no more memory than any other.
"""

from __future__ import annotations

import codecs
import csv
import io
import re
from collections.abc import Iterator
from contextlib import suppress
from functools import lru_cache
from typing import BinaryIO

from ..errors import LimitcheckError

DELIMITERS = {",": "comma", ";": "semicolon", "\t": "tab", "|": "vertical bar"}
LONGEST_LINE = 64 * 1024  # characters; a log has a few cells a line
_UNDECODED = re.compile("[\udc80-\udcff]")


class LogError(LimitcheckError):
    """A log that cannot be used: where (line and column from 1), what was seen, what to do."""

    def __init__(self, file: str, line: int, column: int, message: str, advice: str) -> None:
        super().__init__(f"{file}:{line}:{column}: {message}", advice)
        self.line = line
        self.column = column


class Lines:
    """The lines of a log in a seekable binary stream, called `file` in messages.

    `text` and `number` (from 1) are those of the line being read.
    """

    def __init__(self, stream: BinaryIO, file: str) -> None:
        self.stream, self.file = stream, file
        self.text, self.number = "", 1

    def error(
        self, message: str, advice: str, *, column: int = 1, line: int | None = None
    ) -> LogError:
        """An error at the line being read, or at another."""
        return LogError(self.file, line or self.number, column, message, advice)

    def __iter__(self) -> Iterator[str]:
        """Each line that is neither blank nor a comment, from the start of the stream.

        UTF-8 with or without a byte order mark, UTF-16 (as spreadsheets write it) with one.
        Raises LogError for another encoding, NUL bytes and a line longer than LONGEST_LINE.
        """
        self.number = 1
        self.stream.seek(0)
        start = self.stream.read(4)
        if start == b"PK\x03\x04":
            raise self.error(
                "the file is a workbook or an archive, not text", "save the sheet as CSV"
            )
        self.stream.seek(0)
        wide = start[:2] in (codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)
        text = io.TextIOWrapper(
            self.stream,
            encoding="utf-16" if wide else "utf-8-sig",
            errors="replace" if wide else "surrogateescape",
        )
        try:
            self.number = 0
            while line := text.readline(LONGEST_LINE + 1):
                self.number += 1
                self._judge(line)
                self.text = line.rstrip("\r\n")
                if self.text.strip() and not line.startswith("#"):
                    yield self.text
        finally:
            with suppress(ValueError):  # the stream was closed before this generator was
                text.detach()

    def _judge(self, line: str) -> None:
        if len(line) > LONGEST_LINE:
            raise self.error(
                f"the line is longer than {LONGEST_LINE} characters",
                "write one reading a line; is this a pressure log?",
                column=LONGEST_LINE,
            )
        if "\0" in line:
            raise self.error(
                "a NUL byte",
                "the file is damaged or not text; export the log again as CSV",
                column=line.index("\0") + 1,
            )
        if "\ufffd" in line:
            raise self.error(
                "text that is not UTF-16, or was damaged before",
                "save the file as CSV in UTF-8, then run again",
                column=line.index("\ufffd") + 1,
            )
        if not line.isascii() and (bad := _UNDECODED.search(line)):
            raise self.error(
                f"byte 0x{ord(bad[0]) - 0xDC00:02x} is not UTF-8",
                "save the file as CSV in UTF-8, then run again",
                column=bad.start() + 1,
            )

    def cells(self, delimiter: str) -> list[str]:
        """The cells of the line; raises LogError for a quotation mark that is not closed."""
        if '"' not in self.text:
            return self.text.split(delimiter)
        try:
            return next(csv.reader([self.text], delimiter=delimiter, strict=True))
        except csv.Error:
            raise self.error(
                "a quotation mark that is not closed, or text right after a closed one",
                "close the quotation on the same line; a mark inside one is doubled",
                column=self.text.index('"') + 1,
            ) from None

    def column(self, delimiter: str, index: int) -> int:
        """Column (from 1, in characters) at which cell `index` of the line starts."""
        position = cell = 0
        inside = False
        for position, character in enumerate(self.text):
            if cell == index:
                return position + 1
            if character == '"':
                inside = not inside
            elif character == delimiter and not inside:
                cell += 1
        return min(position + 2, len(self.text) + 1)


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
