"""What is decided, or asked, of a whole column: its key, unit and decimal sign, shares, bands."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from .answers import Answers
from .around import Width, answered_width, width_question
from .cells import Amount, Value
from .columns import Column, unit_problem
from .header import Header
from .numbers import CellError, Sign, decided, read_number
from .questions import LEAVE_OUT, Question
from .unsure_headers import PERCENT_A
from .words import KEYS


def asked_of_headers(header: Header) -> Iterator[Question]:
    """The questions on headers: which key each is, and which unit it names."""
    for column in header.columns:
        if column.hidden:
            continue
        place = header.place(column)
        sheet = header.sheet.name
        if column.key is None and column.paths:
            told = " or ".join(column.paths)
            text = f'"{column.text}" may be {told}'
            advice = f'answer with one key, or "{LEAVE_OUT}"'
            if column.paths == (PERCENT_A,):
                text = f'"{column.text}" is read where a person says so: % B is 100 less it'
                advice = (
                    f'answer "{PERCENT_A}" where A and B are all there is, and % B is 100 less it; '
                    f'else "{LEAVE_OUT}"'
                )
            if column.doubt:
                text = f'"{column.text}" {column.doubt}: is the column {told}?'
            if column.twice:
                text = f'two columns may be {told}; this one is "{column.text}"'
            yield Question(sheet, place, "header", column.text, text, advice)
        elif error := unit_problem(column):
            yield Question(sheet, place, "unit", column.text, error.message, error.advice)


class Signs:
    """The signs before decimals of the columns of a sheet."""

    def __init__(self, header: Header, answers: Answers, declared: Sign | None) -> None:
        self._header, self._answers, self._declared = header, answers, declared
        self.questions: list[Question] = []
        self.answered: set[int] = set()
        """Columns of which a person answered the sign."""
        self.declared_used = False
        """Whether a column is read by the sign that a person declared for all."""

    def of(self, column: Column) -> Sign | None:
        """The sign of a column; asked where it does not decide and nobody has said it."""
        assert column.key is not None
        if KEYS[column.key].kind in ("text", "unit", "gradient"):
            return None
        sheet = self._header.sheet
        answer = self._answers.sign(sheet.name, column.text)
        if answer is not None:
            self.answered.add(column.at)
            return answer
        found = decided(sheet.at(row, column.at) for row in self._header.body)
        if found.sign is not None:
            return found.sign
        if self._declared is None:
            self.questions.append(sign_question(self._header, column, found.why))
        self.declared_used = True
        return self._declared


def sign_question(header: Header, column: Column, why: str) -> Question:
    """The question which sign of a column stands before decimals."""
    advice = "answer `point` or `comma`, or say it for all: --decimal comma"
    place = header.place(column)
    return Question(header.sheet.name, place, "decimal sign", column.text, why, advice)


def may_be_shares(header: Header, column: Column, sign: Sign | None) -> bool:
    """Whether every number of a column that has no sign of percent may be a share of 1."""
    cells = (header.sheet.at(r, column.at) for r in header.body)
    numbers = []
    for cell in cells:
        try:
            number = read_number(cell, sign)
        except CellError:
            continue
        if not number.rest.startswith("%"):
            numbers.append(float(number.text))
    return any(0 < number < 1 for number in numbers) and max(numbers) <= 1


def must_be_percent(cell: str, sign: Sign | None) -> None:
    """Raises CellError for a number without % in a column in which none of these is above 1."""
    number = read_number(cell, sign)
    if not number.rest.startswith("%"):
        share = float(number.text)
        raise CellError(
            f"{cell} in a column of percentages in which none without % is above 1",
            f"answer with the percentage: {share:g}, or {100 * share:g}",
        )


class Widths:
    """How far around the single pressures of a sheet is normal, as answered for each column."""

    def __init__(self, header: Header, answers: Answers) -> None:
        self._header, self._answers = header, answers
        self._known: dict[int, Width | None] = {}
        self.questions: list[Question] = []

    def band(
        self, value: Amount, column: Column, place: str, cell: str, sign: Callable[[], Sign | None]
    ) -> tuple[Value | CellError | None, bool]:
        """One pressure in a column of bands as the band it stands for, and whether that is open.

        A refusal is a value.
        """
        name = self._header.sheet.name
        if column.at not in self._known:
            self._known[column.at] = answered_width(self._answers, name, column.text, sign())
            if self._answers.around(name, column.text) is None:
                self.questions.append(width_question(self._header, column, place, str(cell)))
        width = self._known[column.at]
        if width is not None:
            try:
                return width.around(value), False
            except CellError as error:
                return error, False
        return None, self._answers.around(name, column.text) is None
