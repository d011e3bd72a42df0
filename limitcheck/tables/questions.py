"""What a table leaves open: questions to a person, as a table to fill in, and its answers.

A question belongs to a cell and the value that stands there: an answer to another value is
refused, for the table has changed since.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Literal, NamedTuple, TypeAlias

from ..errors import LimitcheckError, Refused, cut
from .grid import read_grid
from .inert import as_meant
from .spreadsheet import WrittenTable, csv_text, workbook

if TYPE_CHECKING:
    from .planned import Planned
    from .rows import Given

About: TypeAlias = Literal["header", "decimal sign", "unit", "cell"]
COLUMNS = (
    *("sheet", "cell", "about", "instrument", "method", "value", "question", "probably meant"),
    *("what to answer", "answer"),
)
"""Of the table of questions; a person fills in the last."""
LEAVE_OUT, AS_IT_STANDS = "leave out", "as it stands"


class Question(NamedTuple):
    """One thing that is not decided. `rows` are those that wait for it; empty: the whole sheet."""

    sheet: str
    cell: str
    about: About
    value: str
    text: str
    advice: str
    meant: str = ""
    instrument: str = ""
    method: str = ""

    @property
    def key(self) -> tuple[str, str, str, str]:
        """By what an answer is found; a unit is asked of each instrument."""
        return self.sheet, self.cell, self.about, self.instrument if self.about == "unit" else ""


@dataclass(frozen=True, slots=True)
class Answers:
    """Answers by the key of their question, with the value they were given for."""

    given: Mapping[tuple[str, str, str, str], tuple[str, str]] = field(default_factory=dict)
    used: set[tuple[str, str, str, str]] = field(default_factory=set)
    path: str = ""

    def to(
        self, sheet: str, cell: str, about: About, value: str, instrument: str = ""
    ) -> str | None:
        """The answer to a question; None where there is none. Raises Refused for an old value."""
        key = (sheet, cell, about, instrument)
        found = self.given.get(key)
        if found is None:
            return None
        if found[0] != value:
            raise Refused(
                f'{self.path}: the answer on {about} {cell} is to "{cut(found[0], 40)}", and '
                f'"{cut(value, 40)}" stands there now',
                "write the questions again with --questions, and answer those",
            )
        self.used.add(key)
        return found[1]

    def unused(self) -> Iterator[str]:
        """The places of answers to which there is no question."""
        for key in self.given:
            if key not in self.used:
                yield f"{key[1]} ({key[2]})"


def questions_csv(questions: Iterable[Question]) -> str:
    """The table as CSV; no text in it is one that a spreadsheet runs."""
    return csv_text(_table(questions))


def questions_xlsx(questions: Iterable[Question]) -> bytes:
    """The table as a workbook; every cell is typed as text. Raises MissingExtra."""
    return workbook(_table(questions))


def _table(questions: Iterable[Question]) -> WrittenTable:
    widths = {"value": 20, "question": 60, "probably meant": 18, "what to answer": 50, "answer": 18}
    columns = [(name, widths.get(name, 12)) for name in COLUMNS]
    return WrittenTable("Questions", columns, _rows(questions))


def _rows(questions: Iterable[Question]) -> Iterator[Sequence[str]]:
    for q in questions:
        yield (
            *(q.sheet, q.cell, q.about, q.instrument, q.method, q.value, q.text, q.meant),
            *(q.advice, ""),
        )


def read_answers(path: str) -> Answers:
    """The answers of a filled-in table of questions; raises Refused, TableError."""
    sheet = read_grid(path, _delimiter_of(path)).sheets[0]
    names = [cell.casefold() for cell in sheet.rows[0]] if sheet.rows else []
    if missing := [name for name in COLUMNS if name not in names]:
        raise Refused(
            f'{path} is no table of questions: no column "{missing[0]}" in its first row',
            "fill in the column `answer` of the file that --questions wrote",
        )
    at = {name: names.index(name) for name in COLUMNS}
    given: dict[tuple[str, str, str, str], tuple[str, str]] = {}
    for row in range(1, len(sheet.rows)):
        told = {name: as_meant(sheet.at(row, column)) for name, column in at.items()}
        if not told["answer"]:
            continue
        instrument = told["instrument"] if told["about"] == "unit" else ""
        key = (told["sheet"], told["cell"], told["about"], instrument)
        if key in given and given[key][1] != told["answer"]:
            raise Refused(f"{path}: two answers on {told['cell']}", "give one")
        given[key] = (told["value"], told["answer"])
    return Answers(given, path=path)


def _delimiter_of(path: str) -> str | None:
    """What separates the cells of a table of questions: a spreadsheet may have changed it."""
    try:
        with open(path, "rb") as file:
            head = file.readline(500)
    except OSError:
        return None
    if head.startswith(b"PK"):
        return None
    after = head.removeprefix(b"\xef\xbb\xbf").lower().removeprefix(b"sheet")[:1]
    if after not in (b",", b";", b"\t"):
        raise Refused(
            f"{path} is no table of questions: its first cell is not `sheet`",
            "fill in the column `answer` of the file that --questions wrote",
        )
    return after.decode()


def cell_question(
    sheet: str, cell: str, value: str, error: LimitcheckError, method: str, instrument: str
) -> Question:
    """The question that a cell which cannot be taken gives."""
    return Question(sheet, cell, "cell", value, error.message, error.advice, "", instrument, method)


def of_row(planned: Planned, given: Given, text: str, meant: str) -> Question:
    """A question about a cell of a row that gives a profile."""
    record = planned.record
    return Question(
        *(given.sheet, given.cell, "cell", given.text, text),
        f'answer with what is typed there, "{AS_IT_STANDS}", or correct the table',
        *(meant, record.text("instrument.id"), record.text("method.id")),
    )
