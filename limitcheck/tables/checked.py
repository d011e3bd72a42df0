"""A table for a run of checks: each row that is understood as a profile, each other with why not.

Nothing is written, and nothing is decided that an import would ask: a row whose meaning is a
question is not checked, and each question is told where its cell is.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from ..checking.results import some_of
from ..checking.table_rows import ReadTable, TableRow, Waiting
from ..checks.repository import NAMED
from ..errors import LimitcheckError
from ..findings import KeyPath, Location
from ..profile.load import ProfileFile
from ..profile.text import Merged, ParsedText, UnreadableProfile, unreadable
from .answers import Answers
from .grid import Grid, cell_numbers, grid_of, read_grid
from .importing import Import, import_grid
from .mapping import NOTHING, HeaderMap
from .places import Places
from .planned import Planned
from .questions import Question
from .rows import Record


class Given(NamedTuple):
    """What people say of a table besides the table: which header is which key, and answers."""

    mapping: HeaderMap = NOTHING
    answers: Answers | None = None


NOTHING_GIVEN = Given()


def read_table(path: str, given: Given = NOTHING_GIVEN) -> ReadTable:
    """The rows of a CSV or XLSX file; raises UnreadableProfile where no row can be understood."""
    try:
        return rows_of(read_grid(path, given.mapping.delimiter), given)
    except LimitcheckError as error:
        raise _refused(path, error) from None


def read_bytes(content: bytes, name: str, given: Given = NOTHING_GIVEN) -> ReadTable:
    """The same of the bytes of a table, from standard input for example."""
    try:
        return rows_of(grid_of(content, name, given.mapping.delimiter), given)
    except LimitcheckError as error:
        raise _refused(name, error) from None


def _refused(path: str, error: LimitcheckError) -> UnreadableProfile:
    """What is wrong with a whole table; the message of it may begin with file, line or cell."""
    if isinstance(error, UnreadableProfile):
        return error
    told = error.message.removeprefix(f"{path}:").removeprefix(path).strip()
    line, colon, rest = told.partition(": ")
    at = Location(path, 1, 1, 1, 1)
    if colon and line.isdigit():
        at, told = Location(path, int(line), 1, int(line), 1), rest
    names_a_file = any(sign in told.partition(" ")[0] for sign in ":/\\.")
    told = told if names_a_file else told[:1].upper() + told[1:]
    return UnreadableProfile(path, (unreadable(told, error.advice, at),))


def rows_of(grid: Grid, given: Given = NOTHING_GIVEN) -> ReadTable:
    """The rows of a grid; raises Refused where no row of it lists a method."""
    answers = given.answers or Answers()
    found, places = import_grid(grid, given.mapping, answers), Places(grid)
    ready = {id(planned.record): planned for planned in found.ready}
    asked = _Asked(found, places)
    rows = [
        _checked(grid, ready[id(record)], places) if id(record) in ready else asked.row(record)
        for record in found.joined.methods
    ]
    if not rows:
        at = Location(grid.path, 1, 1, 1, 1)
        told = "A header is there, but no row under it lists a method: nothing can be checked."
        advice = "name a table with a row for each method on an instrument"
        raise UnreadableProfile(grid.path, (unreadable(told, advice, at),))
    return ReadTable(grid.path, grid.sha256, rows, tuple(_remarks(found, asked)))


class RowText(ParsedText):
    """A row in the place of a profile's text: it gives cells as places."""

    def __init__(self, grid: Grid, name: str, planned: Planned, places: Places) -> None:
        super().__init__(name, "", planned.whole, grid.sha256)
        self._planned, self._places = planned, places

    def locate(self, path: KeyPath, *, key: bool = False) -> Location:
        """The cell that a value comes from, or where it would stand; else that of the method."""
        sheet, cell = self._cell(path)
        return self._places.of(sheet, cell)

    def _cell(self, path: KeyPath) -> tuple[str, str]:
        cells, record = self._planned.cells, self._planned.record
        if (own := record.given.get(self._key(path))) is not None:
            return own.sheet, own.cell
        for length in range(len(path), 0, -1):
            if (given := cells.get(path[:length])) is not None:
                return given.sheet, given.cell
        sheet = record.header.sheet
        if (column := record.header.of(self._key(path))) is not None:
            return sheet.name, sheet.cell_name(record.row, column.at)
        if path[:1] in (("instrument",), ("flow_path",)):
            name = "column.label" if self._part(path) == "column" else "instrument.id"
            if (given := record.given.get(name)) is not None:
                return given.sheet, given.cell
        given = record.given["method.id"]
        return given.sheet, given.cell

    def _key(self, path: KeyPath) -> str:
        """The key of a table that a path of the profile comes from."""
        part = self._part(path)
        return f"{part}.{path[-1]}" if part else ".".join(map(str, path))

    def _part(self, path: KeyPath) -> str:
        if path[:1] != ("flow_path",) or len(path) < 2:
            return ""
        return str(self._planned.whole["flow_path"][path[1]]["part"])


def _checked(grid: Grid, planned: Planned, places: Places) -> TableRow:
    record = planned.record
    assert planned.profile is not None  # what is not valid waits
    row = places.row(record.header.sheet.name, record.row)
    name = f"{grid.path}:{row}"
    text = RowText(grid, name, planned, places)
    file = ProfileFile(name, "", grid.sha256, planned.profile, Merged(text, planned.whole))
    return TableRow(row, record.text("method.id"), record.text("instrument.id"), file)


class _Asked:
    """The questions of an import, by what waits for them."""

    def __init__(self, found: Import, places: Places) -> None:
        self.found, self.places = found, places
        self.used: set[tuple[str, str, str, str]] = set()
        self._by_sheet: dict[str, list[Question]] = {}
        self._by_row: dict[tuple[str, int], list[Question]] = {}
        self._by_instrument: dict[str, list[Question]] = {}
        for question in found.questions:
            if question.about == "cell":
                row = cell_numbers(question.cell)[0]
                self._by_row.setdefault((question.sheet, row), []).append(question)
            elif question.about == "unit" and question.instrument:
                self._by_instrument.setdefault(question.instrument, []).append(question)
            else:
                self._by_sheet.setdefault(question.sheet, []).append(question)

    def row(self, record: Record) -> TableRow:
        """A row with every question it waits for."""
        method, instrument = record.text("method.id"), record.text("instrument.id")
        sheet = record.header.sheet
        questions = list(dict.fromkeys(self._of(record)))
        self.used.update(question.key for question in questions)
        waiting = [self._waiting(question) for question in questions]
        if not waiting:
            cell = sheet.cell_name(record.row, 0)
            waiting = [
                Waiting(
                    self.places.of(sheet.name, cell),
                    "",
                    "another row that this one rests on is a question.",
                    "see the other findings of this table, and limitcheck import",
                )
            ]
        row = self.places.row(sheet.name, record.row)
        return TableRow(row, method, instrument, None, waiting)

    def _of(self, record: Record) -> Iterator[Question]:
        yield from self._of_record(record)
        joined = self.found.joined
        for thing in (
            joined.instruments.get(record.text("instrument.id")),
            joined.columns.get(record.text("column.label")),
        ):
            if thing is None:
                continue
            for other in thing.records:
                if other.header.kind != "methods" or thing.open:
                    yield from self._of_record(other)
        yield from self._by_instrument.get(record.text("instrument.id"), ())

    def _of_record(self, record: Record) -> Iterator[Question]:
        sheet = record.header.sheet.name
        yield from self._by_row.get((sheet, record.row), ())
        for given in record.given.values():  # a merged cell stands in a row above
            row = cell_numbers(given.cell)[0]
            if row != record.row:
                about = self._by_row.get((sheet, row), ())
                yield from (question for question in about if question.cell == given.cell)
        yield from self._by_sheet.get(sheet, ())

    def _waiting(self, question: Question) -> Waiting:
        meant = f" Probably meant: {question.meant}." if question.meant else ""
        told = f"{_sentence(question.text)}{meant} Nothing in the rows that wait for it is checked."
        advice = f"{question.advice[:1].upper()}{_sentence(question.advice)[1:]} {ANSWER}"
        at = self.places.of(question.sheet, question.cell)
        return Waiting(at, question.value, told, advice)


ANSWER = "Or answer in the table of limitcheck import --questions; give that as --answers."


def _sentence(text: str) -> str:
    return text if text.endswith("?") else f"{text.rstrip('.')}."


def _remarks(found: Import, asked: _Asked) -> Iterator[str]:
    """What of a table was not looked at, and what no row rests on."""
    path = found.grid.path
    told = list(found.not_looked_at())
    if told:
        every = " (limitcheck import names all)" if len(told) > NAMED else ""
        yield f"{path}: not looked at: {some_of(told)}{every}"
    for question in found.questions:
        if question.key not in asked.used:
            yield f"{path}: {question.cell}: {question.text}; no row rests on it"
    if found.unused_answers:
        yield f"{path}: answers not used: {some_of(found.unused_answers)}"
