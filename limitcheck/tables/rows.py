"""The rows of a sheet as records: each cell read, and what is no record said.

Blank rows, totals, notes and repeated headers are skipped and told. An empty cell is filled from
above only where the file itself merges it.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import partial
from typing import TYPE_CHECKING, NamedTuple

from .above import asked_of_title
from .answers import Answer, Answers, two_readings
from .as_seen import AsSeen
from .cells import Amount, Text, Value
from .column_cells import ColumnCells, is_bare, kind_of
from .columns import Column, unit_problem
from .header import Header
from .merged import Merged
from .no_records import no_record
from .not_in_use import OutOfUse
from .numbers import CellError, Sign, evidence, is_empty
from .out_of_line import Notes, may_be_header, too_long
from .questions import Question, cell_question
from .row_names import RowNames
from .whole_columns import Signs, Widths, asked_of_headers, may_be_shares
from .words import SheetKind

if TYPE_CHECKING:
    from .planned import Planned

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
    filled = Merged(header)
    names = RowNames(header, filled.text_at)
    read, told = SheetRead(header, names), answers.cells(names)
    columns = [c for c in header.columns if not c.hidden and c.key is not None]
    read.questions += asked_of_headers(header)
    read.refused = {column.at for column in columns if unit_problem(column)}
    signs, widths = Signs(header, answers, sign), Widths(header, answers)
    for column in columns:
        sign_here = read.signs[column.at] = signs.of(column)
        if kind_of(column) == "percent" and may_be_shares(header, column, sign_here):
            read.shares.add(column.at)
    read.questions += signs.questions
    read.declared_used, read.answered_signs = signs.declared_used, signs.answered
    identity = _IDENTITY[header.kind]
    named, cells = header.of(identity), ColumnCells(read)
    left_out, of_title = asked_of_title(header, answers)
    if left_out:
        read.skipped.append(left_out)
        return read
    notes, out_of_use = Notes(header, told), OutOfUse(header, told)
    seen = AsSeen(header, filled, told)
    read.skipped += seen.not_read
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
        record, refused = _record(read, row, columns, told, seen, cells, widths, sign)
        record.open = record.open or closed
        closed = closed or may_be_header(refused)
        if doubt is not None:
            record.open = True
            method, instrument = record.text("method.id"), record.text("instrument.id")
            read.questions.append(doubt._replace(instrument=instrument, method=method))
        read.records.append(record)
    for asked in (notes.below_rows(), of_title):
        if asked is not None:
            read.questions.append(asked)
            for record in read.records:
                record.open = True
    read.questions += widths.questions
    return read


def _record(
    read: SheetRead,
    row: int,
    columns: list[Column],
    answers: dict[tuple[int, int], Answer],
    seen: AsSeen,
    cells: ColumnCells,
    widths: Widths,
    declared: Sign | None,
) -> tuple[Record, list[str]]:
    """The record of a row, and its cells that could not be read."""
    header, sheet = read.header, read.header.sheet
    record, texts = Record(header, row), sheet.rows[row]
    failed: list[tuple[str, str, CellError]] = []
    for column in columns:
        at = column.at
        if seen.merged.areas:
            cell = seen.merged.text_at(row, at)
        else:
            cell = texts[at] if at < len(texts) else ""
        answer = answers.get((row, at)) if answers else None
        if answer is None and is_empty(cell):
            continue
        if answer is None and seen.any and (doubt := seen.doubt_of(row, at, cell)):
            failed.append((sheet.cell_name(row, at), cell, doubt))
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
            value, waits = widths.band(value, column, place, cell, of_answer)
            record.open = record.open or waits
        if isinstance(value, CellError):
            place = sheet.cell_name(row, at)
            of_header = column.at in read.refused and not answered and is_bare(typed, sign)
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
    for asked in (too_long(header, row, answers), seen.beside(row)):
        if asked is not None:
            record.open = True
            read.questions.append(asked._replace(instrument=instrument, method=method))
    return record, [text for _, text, _ in failed]
