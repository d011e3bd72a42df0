"""A table as it stands in a file: sheets of cells, each with its name.

A cell is text as the file has it. `NumberCell`, `DateCell` and `UnstoredCell` are texts of which
the file says what they are: a number keeps its shortest decimal text and never becomes a float.
"""

from __future__ import annotations

import codecs
import csv
import io
import os
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from hashlib import sha256
from typing import NamedTuple

from ..errors import LimitcheckError, Refused, cut
from ..profile.one_line import BEGINS, LONGEST
from .formats import Format
from .header_text import known_words

MOST_ROWS, MOST_COLUMNS, LONGEST_CELL = 100_000, 500, 2000
LARGEST_FILE = 64 * 1024 * 1024
"""Bytes of a table; a register of 100,000 methods has fewer."""
DELIMITERS = {",": "comma", ";": "semicolon", "\t": "tab", "|": "vertical bar"}
HEADER_ROWS = 40
"""Rows in which a header is looked for."""


class NumberCell(str):
    """A number that the file itself holds as one, as its shortest decimal text.

    `shown` is how its number format shows it.
    """

    __slots__ = ("shown",)
    shown: Format | None

    def __new__(cls, text: str, shown: Format | None = None) -> NumberCell:
        """A number that is shown as it is, where no format is given."""
        cell = super().__new__(cls, text)
        cell.shown = shown
        return cell

    def as_shown(self, shown: Format) -> NumberCell:
        """The number with the format that it is shown in."""
        return NumberCell(self, shown)


class DateCell(str):
    """A date or a time of day, as ISO 8601 has it."""

    __slots__ = ()


class UnstoredCell(str):
    """A formula whose value is not in the file; the text is empty, or the error that is stored."""

    __slots__ = ()


class Area(NamedTuple):
    """Cells that are merged, counted from 0, ends included."""

    top: int
    left: int
    bottom: int
    right: int


@dataclass(frozen=True, slots=True)
class Sheet:
    """The cells of one sheet; rows may differ in length. Rows and columns count from 0."""

    name: str
    rows: Sequence[Sequence[str]]
    merged: tuple[Area, ...] = ()
    hidden_columns: frozenset[int] = frozenset()
    hidden_rows: frozenset[int] = frozenset()
    hidden: bool = False
    lone: bool = False
    """Whether it is the only sheet there can be, as in a CSV: its name says nothing."""
    delimiter: str = ""
    """What separates its cells in a CSV."""
    marks: Mapping[tuple[int, int], str] = field(default_factory=dict)
    """By cell: how a workbook shows it, where that says more than its text: crossed out."""
    comments: Mapping[tuple[int, int], str] = field(default_factory=dict)
    """By cell: the comment that is attached to it."""
    not_worked_out: tuple[str, ...] = ()
    """What the file says of its cells that is not read, each with its place."""

    def at(self, row: int, column: int) -> str:
        """The text of a cell; empty where the row is shorter."""
        cells = self.rows[row] if 0 <= row < len(self.rows) else ()
        return cells[column] if 0 <= column < len(cells) else ""

    def cell_name(self, row: int, column: int) -> str:
        """As people name it: Methods!B7, and B7 in a file of one sheet."""
        name = f"{column_letters(column)}{row + 1}"
        return name if self.lone else f"{self.name}!{name}"

    @property
    def width(self) -> int:
        """The cells of the longest row."""
        return max(map(len, self.rows), default=0)


@dataclass(frozen=True, slots=True)
class Grid:
    """A file of sheets. `remarks` say what was decided to read it."""

    path: str
    sha256: str
    sheets: tuple[Sheet, ...]
    remarks: tuple[str, ...] = field(default=())
    text: str = field(default="", repr=False)
    """Of a CSV, with what separates its cells: for the places of cells in it."""
    delimiter: str = ""


class TableError(LimitcheckError):
    """A table that cannot be used; the message begins with the file and the cell or line."""


@lru_cache(maxsize=MOST_COLUMNS)
def column_letters(column: int) -> str:
    """The letters of a column counted from 0.

    >>> column_letters(0), column_letters(27)
    ('A', 'AB')
    """
    letters = ""
    column += 1
    while column:
        column, rest = divmod(column - 1, 26)
        letters = chr(65 + rest) + letters
    return letters


def cell_numbers(name: str) -> tuple[int, int]:
    """Row and column of a cell by its name, from 0.

    >>> cell_numbers("B7"), cell_numbers("Methods!AB1")
    ((6, 1), (0, 27))
    """
    place = name.rpartition("!")[2]
    letters = place.rstrip("0123456789")
    column = 0
    for letter in letters:
        column = 26 * column + ord(letter) - 64
    return int(place[len(letters) :]) - 1, column - 1


def read_grid(path: str, delimiter: str | None = None) -> Grid:
    """The sheets of a CSV or XLSX file; raises TableError, and Refused for what is no such file."""
    try:
        if not os.path.isfile(path):
            kind = "is a folder" if os.path.isdir(path) else "is not a file"
            raise Refused(f"{path} {kind}", "name a table: a CSV or XLSX file")
        if (size := os.path.getsize(path)) > LARGEST_FILE:
            raise Refused(f"{path} has {size:,} bytes", "import a table of methods, in parts")
        with open(path, "rb") as file:
            content = file.read()
    except OSError as error:
        raise Refused(f"{path} cannot be read: {error.strerror}", "check the name") from None
    return grid_of(content, path, delimiter)


def grid_of(content: bytes, path: str, delimiter: str | None = None) -> Grid:
    """The sheets in the bytes of a file that is called `path`; raises as `read_grid`."""
    digest = sha256(content).hexdigest()
    if content[:4] == b"PK\x03\x04":
        from .workbook import sheets_of

        sheets, told = sheets_of(content, path)
        if delimiter is not None:
            told += (f"Delimiter {delimiter!r}: it separates nothing in a workbook.",)
        return Grid(path, digest, sheets, told)
    if content[:4] == b"\xd0\xcf\x11\xe0":
        raise Refused(
            f"{path} is a workbook of the old kind, or one with a password",
            "save it as XLSX without a password, or save the sheet as CSV",
        )
    if b"opendocument" in content[:1000] and content.lstrip()[:5] == b"<?xml":
        raise Refused(
            f"{path} is an OpenDocument spreadsheet in one file (FODS)",
            "save it as XLSX, or save the sheet as CSV, in a spreadsheet program",
        )
    text, encoding = decoded(content, path)
    rows, chosen = _rows(text, path, delimiter)
    name = os.path.splitext(os.path.basename(path))[0]
    remarks = (f"Read as {encoding}, cells separated by {DELIMITERS.get(chosen, repr(chosen))}.",)
    return Grid(
        path, digest, (Sheet(name, rows, lone=True, delimiter=chosen),), remarks, text, chosen
    )


def decoded(content: bytes, path: str) -> tuple[str, str]:
    """The text of a file, and its encoding in words: by its mark, as UTF-8, else Windows-1252."""
    for mark, encoding, name in (
        (codecs.BOM_UTF8, "utf-8-sig", "UTF-8 with a mark"),
        (codecs.BOM_UTF16_LE, "utf-16", "UTF-16"),
        (codecs.BOM_UTF16_BE, "utf-16", "UTF-16"),
    ):
        if content.startswith(mark):
            try:
                return _usual_text(content.decode(encoding), path), name
            except UnicodeDecodeError as error:
                raise TableError(
                    f"{path}: byte {error.start + 1} is not {name}, which the file says it is",
                    "save the table again, as CSV in UTF-8",
                ) from None
    try:
        return _usual_text(content.decode("utf-8"), path), "UTF-8"
    except UnicodeDecodeError:
        pass
    try:
        return _usual_text(content.decode("cp1252"), path), "Windows-1252, as it is not UTF-8"
    except UnicodeDecodeError as error:
        line = content.count(b"\n", 0, error.start) + 1
        raise TableError(
            f"{path}:{line}: byte 0x{content[error.start]:02x} is neither UTF-8 nor Windows-1252",
            "save the table again, as CSV in UTF-8",
        ) from None


def _usual_text(text: str, path: str) -> str:
    if "\0" in text:
        line = text.count("\n", 0, text.index("\0")) + 1
        raise TableError(
            f"{path}:{line}: a NUL character: this is no table", "save the table again, as CSV"
        )
    return text


def _rows(text: str, path: str, delimiter: str | None) -> tuple[list[list[str]], str]:
    """The rows and what separates their cells: as asked for, as the file says, or as it shows."""
    first, _, rest = text.partition("\n")
    said = first.strip()
    if said.casefold().startswith("sep=") and len(said) == 5:
        # The line stays a row, so that cells keep the names a spreadsheet gives them.
        rows = [[said], *_split(rest, path, delimiter or said[4], 1)]
        return rows, delimiter or said[4]
    if delimiter is not None:
        return _split(text, path, delimiter), delimiter
    chosen = _delimiter(text, path)
    return _split(text, path, chosen), chosen


def _delimiter(text: str, path: str) -> str:
    """What separates cells: the sign that makes most words of the trade a cell of their own.

    Raises TableError where none does, or two do equally well.
    """
    head = "".join(text.splitlines(keepends=True)[:HEADER_ROWS])
    scores = {sign: _words_found(head, sign) for sign in DELIMITERS if sign in head}
    best = max(scores.values(), default=0)
    found = [sign for sign, score in scores.items() if score == best]
    if len(found) == 1 and best:
        return found[0]
    named = " or ".join(DELIMITERS[sign] for sign in found)
    if best:
        raise TableError(
            f"{path}: the cells may be separated by {named}", "say which: --delimiter ';'"
        )
    raise TableError(
        f"{path}: no row of the first {HEADER_ROWS} has headers that are known here",
        'name the columns as in "Method", "Instrument", "High cutoff (bar)", or name them in a '
        "file for --map, with --delimiter",
    )


def _words_found(head: str, delimiter: str) -> int:
    """The most words of the trade in one row."""
    try:
        rows = list(csv.reader(io.StringIO(head, newline=""), delimiter=delimiter))
    except csv.Error:
        return 0
    return max((known_words(row) for row in rows), default=0)


def _split(text: str, path: str, delimiter: str, before: int = 0) -> list[list[str]]:
    if len(delimiter) != 1 or delimiter in "\r\n\"'" or delimiter.isalnum():
        raise Refused(f"{delimiter!r} cannot separate cells", "give one sign: , or ; or | or a tab")
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True)
    rows: list[list[str]] = []
    try:
        for row in reader:
            rows.append([cell.strip() for cell in row])
            _within_bounds(rows, path)
    except csv.Error as error:
        raise TableError(
            f"{path}:{reader.line_num + before}: {error}",
            "close each quotation mark; one inside a quoted cell is doubled",
        ) from None
    return rows


def _within_bounds(rows: list[list[str]], path: str) -> None:
    """Raises TableError for a last row that no table of methods has."""
    row, number = rows[-1], len(rows)
    if number > MOST_ROWS:
        raise TableError(f"{path}: more than {MOST_ROWS:,} rows", "import it in parts")
    if len(row) > MOST_COLUMNS:
        raise TableError(f"{path}: row {number} has {len(row):,} cells", "is this a table?")
    refuse_long_cells(row, path, str(number))


def refuse_long_cells(row: Iterable[str], path: str, number: str) -> None:
    """Raises TableError for a cell that is longer than any that is typed."""
    for column, cell in enumerate(row):
        if len(cell) > LONGEST_CELL and not (cell.startswith(BEGINS) and len(cell) <= LONGEST):
            raise TableError(
                f"{path}: {column_letters(column)}{number} has {len(cell):,} characters: "
                f'"{cut(cell, 40)}"',
                f"a cell has at most {LONGEST_CELL:,}; is a quotation mark not closed?",
            )
