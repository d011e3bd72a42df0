"""What a table leaves open: questions to a person, as a table to fill in.

A question says which row, column and value it is about, so that an answer goes nowhere else.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import TYPE_CHECKING, Literal, NamedTuple, TypeAlias

from ..errors import LimitcheckError
from .spreadsheet import WrittenTable, csv_text, workbook

if TYPE_CHECKING:
    from .planned import Planned
    from .rows import Given

About: TypeAlias = Literal["header", "decimal sign", "unit", "around", "title", "cell"]
COLUMNS = (
    *("sheet", "cell", "about", "instrument", "method", "row", "header", "value", "question"),
    *("probably meant", "what to answer", "answer", "confirm"),
)
"""Of the table of questions; a person fills in the last two."""
LEAVE_OUT, AS_IT_STANDS, CONFIRMED = "leave out", "as it stands", "yes, as typed"


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
    row: str = ""
    """Of a cell: what its row is of, and in `header` what its column is called."""
    header: str = ""
    answer: str = ""
    """What was answered, where that does not settle it, and whether it is confirmed."""
    confirm: str = ""

    @property
    def key(self) -> tuple[str, str, str, str]:
        """By this it is asked once; a unit is asked of each instrument."""
        return self.sheet, self.cell, self.about, self.instrument if self.about == "unit" else ""


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
            *(q.sheet, q.cell, q.about, q.instrument, q.method, q.row, q.header, q.value),
            *(q.text, q.meant, q.advice, q.answer, q.confirm),
        )


def cell_question(
    sheet: str, cell: str, value: str, error: LimitcheckError, method: str, instrument: str
) -> Question:
    """The question that a cell which cannot be taken gives."""
    return Question(sheet, cell, "cell", value, error.message, error.advice, "", instrument, method)


def of_row(planned: Planned, given: Given, text: str, meant: str) -> Question:
    """A question about a cell of a row that gives a profile."""
    record = planned.record
    advice = f'answer with what is typed there, "{AS_IT_STANDS}", or correct the table'
    if given.answered:
        text = f"the answer: {text}"
        advice = f'correct the answer, or write "{CONFIRMED}" in the column `confirm`'
    return Question(
        *(given.sheet, given.cell, "cell", given.text, text, advice),
        *(meant, record.text("instrument.id"), record.text("method.id")),
    )
