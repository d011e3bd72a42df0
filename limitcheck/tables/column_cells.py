"""The cells of a sheet read by their columns, each text of a column once."""

from __future__ import annotations

from typing import TYPE_CHECKING

from .answers import sign_of_answers
from .cells import Value, read_cell
from .columns import Column
from .gradients import must_be_of_b, read_gradient
from .grid import NumberCell
from .no_names import must_name
from .numbers import CellError, Sign, decided, read_number, surely
from .two_numbers import is_spaced
from .whole_columns import must_be_percent
from .words import KEYS, Kind

if TYPE_CHECKING:
    from .rows import SheetRead

_REMEMBERED = 5000
"""Texts of one column that are remembered, at most."""


def kind_of(column: Column) -> Kind:
    """The kind of what a column holds that is not left out."""
    assert column.key is not None  # what is left out is not read
    return KEYS[column.key].kind


def is_bare(cell: str, sign: Sign | None) -> bool:
    """Whether a cell is a number alone, which has the unit of its header."""
    try:
        return not read_number(cell, sign).rest
    except CellError:
        return False


class ColumnCells:
    """Reads the cells of a sheet, each text of a column once."""

    def __init__(self, read: SheetRead) -> None:
        self._read = read
        self._units = None
        if read.header.kind == "columns":
            self._units = read.header.of("instrument.pressure_unit")
        self._signs: dict[int, Sign | None] = {}
        self._spaced: dict[int, bool] = {}
        self._known: dict[int, dict[object, Value | CellError | None]] = {}

    def read(
        self,
        cell: str,
        column: Column,
        row: int,
        sign: Sign | None,
        confirmed: bool,
        *,
        doubted: bool,
    ) -> Value | CellError | None:
        """As `read_cell`, and a refusal as a value; `doubted` where nobody has answered."""
        known = self._known.setdefault(column.at, {})
        unit = column.unit if self._units is None else self._unit(column, row, self._units)
        key: object = cell  # as nearly all are: the rest is the same in all of its column
        if type(cell) is not str or not doubted or unit != column.unit:
            shown = cell.shown if isinstance(cell, NumberCell) else None
            key = (cell, unit, type(cell), shown, sign, confirmed, doubted)
        if key not in known:
            if len(known) >= _REMEMBERED:
                known.clear()
            try:
                known[key] = self._value(cell, column, unit, sign, confirmed, doubted)
            except CellError as error:
                known[key] = error.with_traceback(None)
        return known[key]

    def _value(
        self,
        cell: str,
        column: Column,
        unit: str,
        sign: Sign | None,
        confirmed: bool,
        doubted: bool,
    ) -> Value | None:
        if column.at in self._read.shares and doubted and cell != "0":
            must_be_percent(cell, sign)
        if confirmed and isinstance(cell, NumberCell):
            cell = surely(cell)
        if not confirmed:
            must_name(cell, column.key or "")
        kind = kind_of(column)
        if kind == "gradient":
            must_be_of_b(cell, column.text, answered=not doubted)
            return read_gradient(cell)
        spaced = is_spaced(cell) and self._is_spaced(column)
        return read_cell(cell, column.key or "", unit, sign, confirmed=confirmed, spaced=spaced)

    def _is_spaced(self, column: Column) -> bool:
        """Whether several cells of a column have a space in their number, as between thousands."""
        if column.at not in self._spaced:
            header = self._read.header
            texts = {header.sheet.at(row, column.at) for row in header.body}
            self._spaced[column.at] = sum(map(is_spaced, texts)) > 1
        return self._spaced[column.at]

    def _unit(self, column: Column, row: int, units: Column) -> str:
        """The unit of a column of pressures: of its header, else of the row's column of units.

        The unit that an instrument shows says nothing of a rating, and is that of cutoffs anyway.
        """
        if column.unit or kind_of(column) != "pressure":
            return column.unit
        return self._read.header.sheet.at(row, units.at)

    def sign_of_answers(self, column: Column, declared: Sign | None) -> Sign | None:
        """The decimal sign of numbers in answers to cells of a column."""
        if column.at in self._read.answered_signs:
            return self._read.signs[column.at]
        if column.at not in self._signs:
            sheet = self._read.header.sheet
            cells = [sheet.at(row, column.at) for row in self._read.header.body]
            if decided(cells).sign is None:  # the column was asked; None where it is not answered
                declared = self._read.signs[column.at]
            self._signs[column.at] = sign_of_answers(cells, sheet, declared)
        return self._signs[column.at]
