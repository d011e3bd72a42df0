"""The rows of a sheet as records: each cell read, and what is no record said.

Blank rows, totals, notes and repeated headers are skipped and told. An empty cell is filled from
above only where the file itself merges it.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import partial
from typing import TYPE_CHECKING, NamedTuple

from .answers import Answer, Answers, sign_of_answers, two_readings
from .cells import Amount, Text, Value, read_cell
from .columns import Column, unit_problem
from .gradients import must_be_of_b, read_gradient
from .grid import Area, NumberCell
from .header import Header
from .merged import filled_by_merging, text_at
from .no_names import must_name
from .no_records import no_record
from .not_in_use import OutOfUse
from .numbers import CellError, Sign, decided, evidence, is_empty, read_number, surely
from .out_of_line import Notes, may_be_header, too_long
from .questions import Question, cell_question
from .row_names import RowNames
from .whole_columns import Signs, Widths, asked_of_headers, may_be_shares, must_be_percent
from .words import KEYS, Kind, SheetKind

if TYPE_CHECKING:
    from .planned import Planned

_REMEMBERED = 5000
"""Texts of one column that are remembered, at most."""
_IDENTITY: dict[SheetKind, str] = {
    "methods": "method.id",
    "instruments": "instrument.id",
    "columns": "column.label",
}


class Given(NamedTuple):
    """A value of a record, with where it stands and the text there."""

    value: Value
    column: Column
    header: Header
    row: int
    text: str
    confirmed: bool = False
    """Whether a person has said that it is right, where it was doubted."""
    answered: bool = False
    """Whether it is an answer; the text is that of the answer."""

    @property
    def sheet(self) -> str:
        """The name of its sheet."""
        return self.header.sheet.name

    @property
    def cell(self) -> str:
        """The name of its cell."""
        return self.header.sheet.cell_name(self.row, self.column.at)


@dataclass(slots=True)
class Record:
    """A row of a sheet: what it gives by key, and whether a question keeps it open."""

    header: Header
    row: int
    given: dict[str, Given] = field(default_factory=dict)
    open: bool = False

    def text(self, key: str) -> str:
        """The text of a key; empty where the row has none."""
        found = self.given.get(key)
        return found.value.text if found is not None and isinstance(found.value, Text) else ""

    def amount(self, key: str) -> Amount | None:
        """The amount of a key; None where the row has none."""
        found = self.given.get(key)
        return found.value if found is not None and isinstance(found.value, Amount) else None


@dataclass(slots=True)
class SheetRead:
    """What was made of one sheet."""

    header: Header
    names: RowNames
    signs: dict[int, Sign | None] = field(default_factory=dict)
    shares: set[int] = field(default_factory=set)
    """Columns of percentages in which no number is above 1: 0.18 may be 18 %."""
    refused: set[int] = field(default_factory=set)
    """Columns whose header has a unit that is not taken."""
    answered_signs: set[int] = field(default_factory=set)
    """Columns of which a person answered the sign."""
    declared_used: bool = False
    """Whether a column is read by the decimal sign that a person said for all."""
    records: list[Record] = field(default_factory=list)
    skipped: list[str] = field(default_factory=list)
    questions: list[Question] = field(default_factory=list)
    planned: list[Planned] | None = None
    """The profiles of a table of limitcheck fleet, which has them whole."""


def read_rows(header: Header, answers: Answers, sign: Sign | None) -> SheetRead:
    """The records of a sheet; `sign` stands before decimals where a person said so."""
    filled = filled_by_merging(header.sheet)
    names = RowNames(header, lambda row, at: text_at(header.sheet, row, at, filled))
    read, told = SheetRead(header, names), answers.cells(names)
    columns = [c for c in header.columns if not c.hidden and c.key is not None]
    read.questions += asked_of_headers(header)
    read.refused = {column.at for column in columns if unit_problem(column)}
    signs, widths = Signs(header, answers, sign), Widths(header, answers)
    for column in columns:
        sign_here = read.signs[column.at] = signs.of(column)
        if _kind(column) == "percent" and may_be_shares(header, column, sign_here):
            read.shares.add(column.at)
    read.questions += signs.questions
    read.declared_used, read.answered_signs = signs.declared_used, signs.answered
    identity = _IDENTITY[header.kind]
    named, cells = header.of(identity), _Cells(read)
    notes, out_of_use = Notes(header, told), OutOfUse(header, told)
    closed = False
    for row in header.body:
        if said := no_record(header, row, named, filled):
            if said != "blank":
                read.skipped.append(said)
                notes.add(row)
            continue
        if (note := notes.above_rows()) is not None and not closed:
            read.questions.append(note)
            closed = True
        left_out, doubt = out_of_use.of(row)
        if left_out:
            read.skipped.append(left_out)
            continue
        record, refused = _record(read, row, columns, told, filled, cells, widths, sign)
        record.open = record.open or closed
        closed = closed or may_be_header(refused)
        if doubt is not None:
            record.open = True
            method, instrument = record.text("method.id"), record.text("instrument.id")
            read.questions.append(doubt._replace(instrument=instrument, method=method))
        read.records.append(record)
    if (note := notes.below_rows()) is not None:
        read.questions.append(note)
        for record in read.records:
            record.open = True
    read.questions += widths.questions
    return read


def _record(
    read: SheetRead,
    row: int,
    columns: list[Column],
    answers: dict[tuple[int, int], Answer],
    filled: dict[tuple[int, int], Area],
    cells: _Cells,
    widths: Widths,
    declared: Sign | None,
) -> tuple[Record, list[str]]:
    """The record of a row, and its cells that could not be read."""
    header, sheet = read.header, read.header.sheet
    record, texts = Record(header, row), sheet.rows[row]
    failed: list[tuple[str, str, CellError]] = []
    for column in columns:
        at = column.at
        if filled:
            cell = text_at(sheet, row, at, filled)
        else:
            cell = texts[at] if at < len(texts) else ""
        answer = answers.get((row, at)) if answers else None
        if answer is None and is_empty(cell):
            continue
        typed, sign, answered, confirmed = cell, read.signs[at], False, False
        if answer is not None:
            if answer.leaves_out:
                continue
            confirmed = answer.keeps(cell)
            if not confirmed:
                typed, answered, confirmed = answer.text, True, answer.confirmed
                sign = cells.sign_of_answers(column, declared)
        value = cells.read(typed, column, row, sign, confirmed, doubted=answer is None)
        if column.key == "expected" and isinstance(value, Amount):
            of_answer = partial(cells.sign_of_answers, column, declared)
            place = sheet.cell_name(row, at)
            value, asked = widths.band(value, column, place, cell, of_answer)
            record.open = record.open or asked
        if isinstance(value, CellError):
            place = sheet.cell_name(row, at)
            of_header = column.at in read.refused and not answered and _is_bare(typed, sign)
            if of_header or (sign is None and evidence(typed)[1] is not None and not answered):
                record.open = True  # asked once, of the column
            elif sign is None and evidence(typed)[1] is not None:
                failed.append((place, cell, two_readings(typed)))
            else:
                failed.append((place, cell, value))
        elif value is not None and column.key is not None:
            text = str(typed)
            record.given[column.key] = Given(
                *(value, column, header, row, text, confirmed, answered)
            )
    method, instrument = record.text("method.id"), record.text("instrument.id")
    for place, text, refusal in failed:
        record.open = True
        read.questions.append(
            cell_question(sheet.name, place, str(text), refusal, method, instrument)
        )
    if (longer := too_long(header, row, answers)) is not None:
        record.open = True
        read.questions.append(longer._replace(instrument=instrument, method=method))
    return record, [text for _, text, _ in failed]


def _kind(column: Column) -> Kind:
    assert column.key is not None  # what is left out is not read
    return KEYS[column.key].kind


def _is_bare(cell: str, sign: Sign | None) -> bool:
    """Whether a cell is a number alone, which has the unit of its header."""
    try:
        return not read_number(cell, sign).rest
    except CellError:
        return False


class _Cells:
    """Reads the cells of a sheet, each text of a column once."""

    def __init__(self, read: SheetRead) -> None:
        self._read = read
        self._units = None
        if read.header.kind == "columns":
            self._units = read.header.of("instrument.pressure_unit")
        self._signs: dict[int, Sign | None] = {}
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
        kind = _kind(column)
        if kind == "gradient":
            must_be_of_b(cell, column.text, answered=not doubted)
            return read_gradient(cell)
        return read_cell(cell, column.key or "", unit, sign, confirmed=confirmed)

    def _unit(self, column: Column, row: int, units: Column) -> str:
        """The unit of a column of pressures: of its header, else of the row's column of units.

        The unit that an instrument shows says nothing of a rating, and is that of cutoffs anyway.
        """
        if column.unit or _kind(column) != "pressure":
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
