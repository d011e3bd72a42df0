"""What the XML of a sheet says beside the values: formats, formulas, errors, what is hidden.

Read by a parser, as the same sheet may be spelled in many ways.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import NamedTuple
from xml.parsers import expat

_TRUE = frozenset({"1", "true", "on"})


class CellSaid(NamedTuple):
    """A cell that is not just its value: its style, and a value that is missing or an error."""

    row: int
    column: int
    style: int
    unstored: bool
    error: str


@dataclass(slots=True)
class SheetSaid:
    """What the XML of a sheet says; rows and columns count from 0."""

    cells: list[CellSaid] = field(default_factory=list)
    hidden_rows: set[int] = field(default_factory=set)
    hidden_columns: set[int] = field(default_factory=set)


def read_sheet_xml(xml: bytes, styles: Mapping[int, object], most_columns: int) -> SheetSaid:
    """The cells with one of the `styles`, without a value or with an error; and what is hidden.

    Raises ValueError for what is no XML of a sheet.
    """
    reader = _Reader(styles, most_columns)
    parser = expat.ParserCreate()
    parser.buffer_text = True
    parser.StartElementHandler = reader.start
    parser.EndElementHandler = reader.end
    parser.CharacterDataHandler = reader.text
    parser.StartDoctypeDeclHandler = _refuse  # none of a sheet has one
    try:
        parser.Parse(xml, True)
    except expat.ExpatError as error:
        raise ValueError(f"a sheet is no XML: {error}") from None
    return reader.said


def _refuse(*_: object) -> None:
    raise ValueError("a sheet declares a document type")


class _Reader:
    def __init__(self, styles: Mapping[int, object], most_columns: int) -> None:
        self.said = SheetSaid()
        self._styles, self._most_columns = styles, most_columns
        self._row = self._column = -1
        self._attributes: Mapping[str, str] = {}
        self._formula = self._in_value = False
        self._value = ""

    def start(self, name: str, attributes: dict[str, str]) -> None:
        name = name.rpartition(":")[2]
        if name == "c":
            self._begin_cell(attributes)
        elif name in ("v", "is"):
            self._in_value = True
        elif name == "f":
            self._formula = True
        elif name == "row":
            self._begin_row(attributes)
        elif name == "col" and _unseen(attributes, "width"):
            first, last = int(attributes.get("min", 1)), int(attributes.get("max", 1))
            self.said.hidden_columns |= set(range(first - 1, min(last, self._most_columns)))

    def _begin_row(self, attributes: Mapping[str, str]) -> None:
        self._row = int(attributes["r"]) - 1 if "r" in attributes else self._row + 1
        self._column = -1
        if _unseen(attributes, "ht"):
            self.said.hidden_rows.add(self._row)

    def _begin_cell(self, attributes: Mapping[str, str]) -> None:
        self._attributes, self._formula, self._value = attributes, False, ""
        self._column += 1
        if name := attributes.get("r"):
            letters = name.rstrip("0123456789")
            self._column = 0
            for letter in letters:
                self._column = 26 * self._column + ord(letter) - 64
            self._column -= 1

    def text(self, text: str) -> None:
        if self._in_value:
            self._value += text

    def end(self, name: str) -> None:
        name = name.rpartition(":")[2]
        if name in ("v", "is"):
            self._in_value = False
        elif name == "c":
            kind = self._attributes.get("t", "n")
            style = int(self._attributes.get("s", 0))
            unstored = self._formula and not self._value.strip() and kind != "str"
            error = (self._value or "#ERROR") if kind == "e" and not unstored else ""
            if unstored or error or style in self._styles:
                cell = CellSaid(self._row, self._column, style, unstored, error)
                self.said.cells.append(cell)


def _unseen(attributes: Mapping[str, str], size: str) -> bool:
    """Whether a row or column is hidden, or has no height or width."""
    if attributes.get("hidden", "") in _TRUE:
        return True
    try:
        return float(attributes.get(size, 1)) == 0
    except ValueError:
        return False
