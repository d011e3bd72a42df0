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
    parser = expat.ParserCreate()
    parser.buffer_text = True
    reader = _Reader(parser, styles, most_columns)
    parser.StartElementHandler = reader.start
    parser.StartDoctypeDeclHandler = _refuse  # none of a sheet has one
    try:
        parser.Parse(xml, True)
    except expat.ExpatError as error:
        raise ValueError(f"a sheet is no XML: {error}") from None
    return reader.said


def _refuse(*_: object) -> None:
    raise ValueError("a sheet declares a document type")


class _Reader:
    """Told of the start of each element; of texts and ends only within a cell that matters.

    Nearly all cells are just their values, so as little as can be is done for them.
    """

    def __init__(
        self, parser: expat.XMLParserType, styles: Mapping[int, object], most_columns: int
    ) -> None:
        self.said = SheetSaid()
        self._parser, self._styles, self._most_columns = parser, styles, most_columns
        self._row = -1
        self._name, self._after = "", -1
        """The last cell of the row that has a name, and how many cells came after it."""
        self._attributes: Mapping[str, str] = {}
        self._formula = self._in_value = False
        self._value = ""
        self._kinds: dict[str, str] = {}
        self._shown: dict[str | None, bool] = {}

    def start(self, name: str, attributes: dict[str, str]) -> None:
        kind = self._kinds.get(name)
        if kind is None:
            kind = self._kinds[name] = name.rpartition(":")[2]
        if kind == "c":
            self._begin_cell(attributes)
        elif kind in ("v", "is"):
            self._in_value = True
        elif kind == "f":
            self._begin_formula()
        elif kind == "row":
            self._begin_row(attributes)
        elif kind == "col" and _unseen(attributes, "width"):
            first, last = int(attributes.get("min", 1)), int(attributes.get("max", 1))
            self.said.hidden_columns |= set(range(first - 1, min(last, self._most_columns)))

    def _begin_row(self, attributes: Mapping[str, str]) -> None:
        self._row = int(attributes["r"]) - 1 if "r" in attributes else self._row + 1
        self._name, self._after = "", -1
        if _unseen(attributes, "ht"):
            self.said.hidden_rows.add(self._row)

    def _begin_cell(self, attributes: Mapping[str, str]) -> None:
        self._attributes, self._formula = attributes, False
        if name := attributes.get("r"):
            self._name, self._after = name, 0
        else:
            self._after += 1
        style = attributes.get("s")
        shown = self._shown.get(style)
        if shown is None:
            shown = self._shown[style] = int(style or 0) in self._styles
        if attributes.get("t") == "e":
            self._watch()
        elif shown:
            self.said.cells.append(self._cell())

    def _begin_formula(self) -> None:
        """A formula: whether it has a value is known at the end of its cell."""
        self._formula = True
        if self._parser.EndElementHandler is None:
            if self.said.cells and self.said.cells[-1] == self._cell():
                self.said.cells.pop()
            self._watch()

    def _watch(self) -> None:
        self._value, self._in_value = "", False
        self._parser.EndElementHandler = self._end
        self._parser.CharacterDataHandler = self._text

    def _cell(self, unstored: bool = False, error: str = "") -> CellSaid:
        column = 0
        for letter in self._name.rstrip("0123456789"):
            column = 26 * column + ord(letter) - 64
        column += self._after - 1 if self._name else self._after
        style = int(self._attributes.get("s", 0))
        return CellSaid(self._row, column, style, unstored, error)

    def _text(self, text: str) -> None:
        if self._in_value:
            self._value += text

    def _end(self, name: str) -> None:
        name = name.rpartition(":")[2]
        if name in ("v", "is"):
            self._in_value = False
        elif name == "c":
            self._parser.EndElementHandler = self._parser.CharacterDataHandler = None
            kind = self._attributes.get("t", "n")
            unstored = self._formula and not self._value.strip() and kind != "str"
            error = (self._value or "#ERROR") if kind == "e" and not unstored else ""
            if unstored or error or int(self._attributes.get("s", 0)) in self._styles:
                self.said.cells.append(self._cell(unstored, error))


def _unseen(attributes: Mapping[str, str], size: str) -> bool:
    """Whether a row or column is hidden, or has no height or width."""
    if attributes.get("hidden", "") in _TRUE:
        return True
    try:
        return float(attributes.get(size, 1)) == 0
    except ValueError:
        return False
