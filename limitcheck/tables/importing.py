"""A table imported: from the file to the profiles it gives, and the questions it leaves."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from typing import NamedTuple

from ..errors import Refused, cut
from .answers import Answers, with_answers
from .doubts import Doubts, neighbours, once
from .fleet_rows import read_fleet
from .from_fleet import as_it_was, fleet_columns, is_fleet, not_read
from .grid import HEADER_ROWS, Grid, Sheet, cell_numbers
from .habits import unusual
from .header import LEFT_OUT, Chosen, find_headers
from .joined import Joined, join, known_unit
from .mapping import NOTHING, HeaderMap
from .mistaken_signs import with_signs_asked
from .mistyped import mistyped
from .numbers import Sign
from .planned import Origin, Plan, Planned
from .questions import Question
from .refused import validate
from .remembered import Remembered, without_collection
from .rows import Record, SheetRead, read_rows
from .units import decide_units
from .waiting import without_questions
from .words import KEYS


class Import(NamedTuple):
    """What was made of a table: `ready` may be written, `waiting` rows are kept by a question."""

    grid: Grid
    reads: tuple[SheetRead, ...]
    left_out: tuple[str, ...]
    """Sheets without a header that is known, or hidden, with the reason."""
    joined: Joined
    plan: Plan
    ready: tuple[Planned, ...]
    waiting: int
    questions: tuple[Question, ...]
    unused_answers: tuple[str, ...]

    def profiles(self) -> Iterator[tuple[str, str]]:
        """Path and text of each profile."""
        for planned in self.ready:
            yield planned.path, self.plan.text(planned)

    def shared(self) -> Iterator[tuple[str, str]]:
        """Path and text of each file that they use."""
        for path in dict.fromkeys(path for planned in self.ready for path in planned.shared):
            yield path, self.plan.shared_text(self.plan.shared[path])

    def not_looked_at(self) -> Iterator[str]:
        """Sheets, columns and rows that give nothing, each with its place and why."""
        yield from (f"sheet {text}" for text in self.left_out)
        for sheet in self.grid.sheets:
            yield from sheet.not_worked_out
        for read in self.reads:
            if read.planned is not None:
                yield from not_read(read.header.sheet)
                yield from read.skipped
                continue
            for column in read.header.columns:
                place = read.header.place(column)
                if column.hidden:
                    yield f'{place}: "{column.text}" is hidden; unhide it to have it read'
                elif column.key is None and not column.paths:
                    told = f": {column.unused}" if column.unused else " is no key of a profile"
                    yield f'{place}: "{column.text}"{told}'
            yield from _without_header(read)
            yield from read.skipped


def import_grid(
    grid: Grid,
    mapping: HeaderMap = NOTHING,
    answers: Answers | None = None,
    decimal: Sign | None = None,
) -> Import:
    """Everything a table gives; raises Refused where no sheet lists methods."""
    with without_collection():
        return _import(grid, mapping, (answers or Answers()).to(grid), decimal)


def _import(grid: Grid, mapping: HeaderMap, answers: Answers, decimal: Sign | None) -> Import:
    reads, left_out = [], []
    for sheet in grid.sheets:
        if sheet.hidden:
            left_out.append(f"{sheet.name}: hidden; unhide it to have it read")
            continue
        if ours := is_fleet(sheet):
            sheet = as_it_was(sheet)  # noqa: PLW2901 - the same sheet
        chosen = fleet_columns(sheet) if ours else mapping.of(sheet)
        headers = list(find_headers(sheet, _chosen(sheet, chosen, answers)))
        if not headers:
            left_out.append(f"{sheet.name}: no header that is known here{_hidden_rows(sheet)}")
        reads += [
            read_fleet(header, answers)
            if ours
            else read_rows(header, answers, decimal or mapping.decimal)
            for header in headers
        ]
    mapping.refuse_misfits(read.header for read in reads)
    _refuse_without_methods(grid, reads, left_out)
    grid = _with_unused(grid, decimal or mapping.decimal, reads)
    joined = join([read for read in reads if read.planned is None])
    joined = joined._replace(methods=(*joined.methods, *_of_fleets(reads)))
    questions = [q for read in reads for q in read.questions]
    questions += joined.questions
    remembered = Remembered()
    questions += decide_units(joined, answers, remembered)
    plan = Plan(joined, Origin(_base(grid.path), grid.sha256), remembered)
    planned = _planned(plan, joined, questions, remembered, reads)
    questions += with_signs_asked(_doubted(planned, remembered), reads, answers)
    ready = without_questions(plan, planned, questions, reads)
    waiting = len(joined.methods) - len(ready)
    told = with_answers((_bound(question, reads) for question in once(questions)), answers)
    return Import(
        *(grid, tuple(reads), tuple(left_out), joined, plan, ready, waiting),
        *(told, tuple(answers.unused())),
    )


def _bound(question: Question, reads: Sequence[SheetRead]) -> Question:
    """A question on a cell with row, header and value as they stand: an answer is bound to them."""
    if question.about != "cell":
        return question
    row, column = cell_numbers(question.cell)
    above = [
        read
        for read in reads
        if read.header.sheet.name == question.sheet and read.header.last < row
    ]
    if not above:
        return question
    read = max(above, key=lambda read: read.header.last)
    return question._replace(
        row=read.names.of(row),
        header=read.names.label(column),
        value=str(read.names.at(row, column)),
    )


def _without_header(read: SheetRead) -> Iterator[str]:
    """Columns that have cells and no header: a row with one cell too many gives such a one."""
    sheet, headers = read.header.sheet, {column.at for column in read.header.columns}
    found: dict[int, list[str]] = {}
    for record in read.records:
        for at, cell in enumerate(sheet.rows[record.row]):
            if cell and at not in headers:
                first = f'{sheet.cell_name(record.row, at)}: "{cut(cell, 40)}" has no header'
                found.setdefault(at, [first]).append(sheet.cell_name(record.row, at))
    for first, _, *others in found.values():
        yield (
            first
            + (f", nor have {', '.join(others[:5])}" if others else "")
            + (f" and {len(others) - 5} more below" if len(others) > 5 else "")
        )


def _base(path: str) -> str:
    return path.replace("\\", "/").rpartition("/")[2]


def _chosen(sheet: Sheet, chosen: Chosen, answers: Answers) -> Chosen:
    """The mapping, with the keys and units answered for headers of this sheet."""
    keys, units = dict(chosen.keys), dict(chosen.units)
    for header, answer in answers.about(sheet.name, "unit"):
        units[header.casefold()] = known_unit(answers, answer.text, answer.asked.cell)
    for header, answer in answers.about(sheet.name, "header"):
        key = LEFT_OUT if answer.leaves_out else answer.text
        if key != LEFT_OUT and key not in KEYS:
            raise Refused(
                f'{answers.path}: "{cut(answer.text)}" on header {answer.asked.cell} is no key',
                f'answer with one of: {", ".join(KEYS)}, or "{LEFT_OUT}"',
            )
        keys[header.casefold()] = key
    return Chosen(keys, units)


def _with_unused(grid: Grid, declared: Sign | None, reads: Sequence[SheetRead]) -> Grid:
    """The grid, with a remark where the decimal sign that was declared changes nothing."""
    if declared is None or any(read.declared_used for read in reads):
        return grid
    told = f"Decimal {declared}: no column needs it; its own cells decide each."
    return replace(grid, remarks=(*grid.remarks, told))


def _refuse_without_methods(grid: Grid, reads: list[SheetRead], left_out: list[str]) -> None:
    if any(read.header.kind == "methods" for read in reads):
        for read in reads:
            _refuse_without_names(read)
        return
    seen = ", ".join(f"{read.header.sheet.name} ({read.header.kind})" for read in reads) or "none"
    hidden = [text for text in left_out if " hidden" in text]
    seen += f"; left out: {'; '.join(hidden)}" if hidden else ""
    raise Refused(
        f"{grid.path}: no sheet lists methods with an instrument and cutoffs; read: {seen}",
        'name the columns as in "Method", "Instrument", "High cutoff (bar)", or say which is which '
        "in a file for --map",
    )


def _hidden_rows(sheet: Sheet) -> str:
    rows = sorted(row + 1 for row in sheet.hidden_rows if row < min(len(sheet.rows), HEADER_ROWS))
    return f" (row {rows[0]} is hidden; unhide it to have it read)" if rows else ""


def _refuse_without_names(read: SheetRead) -> None:
    header = read.header
    for key, what in (("method.id", "Method"), ("instrument.id", "Instrument")):
        asked = any(key in column.paths for column in header.columns)
        if header.kind == "methods" and header.of(key) is None and not asked:
            raise Refused(
                f"{header.sheet.cell_name(header.last, 0)}: no column says which {what.lower()} "
                "a row is of",
                f'add a column "{what}", or say in a file for --map which one it is',
            )


def _planned(
    plan: Plan,
    joined: Joined,
    questions: list[Question],
    remembered: Remembered,
    reads: Sequence[SheetRead],
) -> list[Planned]:
    planned = []
    times = Counter(_identity_of(record) for record in joined.methods)
    whole = {id(one.record): one for read in reads for one in read.planned or ()}
    of_fleets = {id(record) for record in _of_fleets(reads)}
    for record in joined.methods:
        if id(record) in of_fleets:
            one = whole.get(id(record))
        else:
            one = plan.profile(record)
        if one is None:
            continue
        if id(record) in whole:
            one.path = plan.names.give("", *(record.text(key) for key in _NAMED_BY))
        elif one.profile is None:
            questions += validate(one, remembered.pieces)
        if times[_identity_of(record)] > 1:
            record.open = True
            given = record.given["method.id"]
            sheet = record.header.sheet.name
            questions.append(
                Question(
                    *(sheet, given.cell, "cell", given.text),
                    "another row has the same method and revision on the same instrument",
                    "answer with another id, or correct the table so that one row is left",
                    *("", record.text("instrument.id"), record.text("method.id")),
                )
            )
        planned.append(one)
    return planned


_NAMED_BY = ("method.id", "instrument.id", "method.revision")


def _of_fleets(reads: Iterable[SheetRead]) -> Iterator[Record]:
    """The rows of tables of limitcheck fleet, which have their profiles whole."""
    return (record for read in reads if read.planned is not None for record in read.records)


def _identity_of(record: Record) -> tuple[str, ...]:
    return tuple(record.text(key) for key in ("method.id", "method.revision", "instrument.id"))


def _doubted(planned: list[Planned], remembered: Remembered) -> Iterator[Question]:
    doubts = Doubts(remembered)
    for one in planned:
        yield from doubts.of(one)
    yield from neighbours(planned)
    yield from unusual(doubts.seen)
    yield from mistyped([row for row in doubts.seen if not row.planned.record.open])
