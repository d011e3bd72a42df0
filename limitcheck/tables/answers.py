"""The table of questions, filled in and read back.

An answer belongs to what was asked: sheet, row by its names, header of the column, and the value
there. Where a row no longer says the same, the answer is not used, and that is said.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from typing import NamedTuple

from ..errors import Refused, cut
from .grid import DateCell, Grid, NumberCell, Sheet, read_grid
from .inert import as_meant
from .numbers import CellError, Sign, evidence
from .questions import AS_IT_STANDS, COLUMNS, CONFIRMED, LEAVE_OUT, About, Question
from .row_names import RowNames

_ABOUTS: tuple[About, ...] = ("header", "decimal sign", "unit", "around", "title", "cell")
_MARKS = {b",": ",", b";": ";", b"\t": "\t"}


class Key(NamedTuple):
    """What an answer is to; the unit that an instrument shows is its own on every sheet."""

    sheet: str
    about: str
    row: str
    header: str
    value: str
    instrument: str


class Answer(NamedTuple):
    """What a person answered, and whether that was confirmed when it was doubted."""

    text: str
    confirmed: bool
    asked: Question

    @property
    def leaves_out(self) -> bool:
        """Whether the cell is to be left out."""
        return self.text.casefold() == LEAVE_OUT

    def keeps(self, value: str) -> bool:
        """Whether what stands in the table is right."""
        return self.text.casefold() == AS_IT_STANDS or self.text == value


@dataclass(frozen=True, slots=True)
class Answers:
    """Answers by what they are to."""

    given: Mapping[Key, Answer] = field(default_factory=dict)
    used: set[Key] = field(default_factory=set)
    path: str = ""

    def to(self, grid: Grid) -> Answers:
        """The answers to a table, none of them used yet.

        A CSV has one sheet, which is called after the file: under another name it is the same.
        """
        names, given = {key.sheet for key in self.given if key.sheet}, self.given
        if grid.sheets[0].lone and len(names) == 1:
            name = grid.sheets[0].name
            given = {k._replace(sheet=name) if k.sheet else k: a for k, a in given.items()}
        return Answers(given, path=self.path)

    def about(self, sheet: str, about: str) -> Iterator[tuple[str, Answer]]:
        """Headers of a sheet with the answers about them; all count as used."""
        for key, answer in self.given.items():
            if (key.sheet, key.about, key.instrument) == (sheet, about, ""):
                self.used.add(key)
                yield key.header, answer

    def sign(self, sheet: str, header: str) -> Sign | None:
        """The decimal sign answered for a column; raises Refused for another word."""
        found = self._of_header(sheet, "decimal sign", header)
        if found is None:
            return None
        if found.text.casefold() not in ("point", "comma"):
            raise Refused(
                f'{self.path}: {found.asked.cell}: "{cut(found.text, 40)}" is no decimal sign',
                "answer point or comma",
            )
        return "comma" if found.text.casefold() == "comma" else "point"

    def around(self, sheet: str, header: str) -> Answer | None:
        """The answer on how far around the one pressure of a column is normal."""
        return self._of_header(sheet, "around", header)

    def title(self, sheet: str, text: str) -> Answer | None:
        """The answer on a title, or on the name of a sheet."""
        return self._of_header(sheet, "title", text)

    def _of_header(self, sheet: str, about: str, header: str) -> Answer | None:
        key = Key(sheet, about, "", header, "", "")
        found = self.given.get(key)
        if found is not None:
            self.used.add(key)
        return found

    def unit(self, instrument: str) -> Answer | None:
        """The answer on the unit that an instrument shows."""
        key = Key("", "unit", "", "", "", instrument)
        found = self.given.get(key)
        if found is not None:
            self.used.add(key)
        return found

    def cells(self, names: RowNames) -> dict[tuple[int, int], Answer]:
        """The answers to cells of a sheet that are as they were, by row and column."""
        found: dict[tuple[int, int], Answer] = {}
        for key, answer in self.given.items():
            if (key.sheet, key.about) != (names.header.sheet.name, "cell"):
                continue
            places = list(names.rows(key.row, key.header, key.value))
            if len(places) == 1:
                self.used.add(key)
                found[places[0]] = answer
        return found

    def unused(self) -> Iterator[str]:
        """Each answer that was not used, with what it is to."""
        for key, answer in self.given.items():
            if key in self.used:
                continue
            what = f"{answer.asked.cell} ({key.about})"
            if key.about == "cell":
                told = f'no row {key.row} has "{cut(key.value, 40)}" as {key.header} now'
                yield f"{what}: {told}"
            else:
                yield what

    def all(self) -> list[Question]:
        """The questions that are answered, with their answers."""
        return [
            a.asked._replace(answer=str(a.text), confirm=CONFIRMED if a.confirmed else "")
            for a in self.given.values()
        ]


def key_of(question: Question) -> Key:
    """What an answer to a question is to."""
    if question.about == "cell":
        return Key(question.sheet, "cell", question.row, question.header, question.value, "")
    if question.about == "unit" and question.instrument:
        return Key("", "unit", "", "", "", question.instrument)
    return Key(question.sheet, question.about, "", question.value, "", "")


def with_answers(questions: Iterable[Question], answers: Answers) -> tuple[Question, ...]:
    """The questions with the answers that did not settle them, for these to be corrected."""
    told = []
    for question in questions:
        found = answers.given.get(key_of(question))
        if found is not None:
            confirm = CONFIRMED if found.confirmed else ""
            question = question._replace(answer=str(found.text), confirm=confirm)  # noqa: PLW2901
        told.append(question)
    return tuple(told)


def to_fill_in(questions: Iterable[Question], answers: Answers) -> list[Question]:
    """What is open, then what is answered: one table has all answers of every round."""
    open_ = list(questions)
    asked = {key_of(question) for question in open_}
    return open_ + [one for one in answers.all() if key_of(one) not in asked]


def sign_of_answers(cells: Iterable[str], sheet: Sheet, declared: Sign | None) -> Sign | None:
    """The decimal sign that numbers in answers have: the column's, else the table's own."""
    for of in (cells, (cell for row in sheet.rows for cell in row)):
        sure = {sign for cell in of if (sign := evidence(cell)[0]) is not None}
        if len(sure) == 1:
            return sure.pop()
    return declared


def two_readings(answer: str) -> CellError:
    """What is said of a number in an answer that can be read two ways."""
    digits = "".join(letter for letter in answer if letter.isdigit() or letter in ".,")
    fraction = digits.replace(",", ".").rstrip("0").rstrip(".")
    if len(fraction.partition(".")[2]) == 3:
        fraction += "0"
    whole = digits.replace(".", "").replace(",", "")
    return CellError(
        f'the answer "{cut(answer, 40)}" has two readings: {whole}, or {fraction}',
        f"write {whole}, or {fraction}",
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
    given: dict[Key, Answer] = {}
    for row in range(1, len(sheet.rows)):
        told = {name: _as_typed(sheet, row, column) for name, column in at.items()}
        confirm = told["confirm"].casefold()
        if confirm not in ("", CONFIRMED):
            raise Refused(
                f'{path}:{row + 1}: "{cut(told["confirm"], 40)}" in the column `confirm`',
                f'write "{CONFIRMED}" there, or leave it empty and correct the answer',
            )
        if not told["answer"]:
            continue
        if told["about"] not in _ABOUTS:
            raise Refused(
                f'{path}:{row + 1}: "{cut(told["about"], 40)}" in the column `about`',
                f"leave it as it was written: {', '.join(_ABOUTS)}",
            )
        question = _question(told)
        key, answer = key_of(question), Answer(told["answer"], bool(confirm), question)
        if key in given and given[key].text != answer.text:
            raise Refused(
                f"{path}:{row + 1}: two answers on {told['cell']}, or on another with the same "
                "header",
                "give one; where two columns have the same header, rename one in the table",
            )
        given[key] = answer
    return Answers(given, path=path)


def _as_typed(sheet: Sheet, row: int, column: int) -> str:
    """The text of a cell: of a CSV as it was before it was made inert; a number stays one."""
    cell = sheet.at(row, column)
    return as_meant(cell) if sheet.lone and not isinstance(cell, NumberCell | DateCell) else cell


def _question(told: Mapping[str, str]) -> Question:
    about = next(one for one in _ABOUTS if one == told["about"])
    return Question(
        *(told["sheet"], told["cell"], about, str(told["value"]), told["question"]),
        *(told["what to answer"], told["probably meant"], told["instrument"], told["method"]),
        *(told["row"], told["header"]),
    )


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
    if after not in _MARKS:
        raise Refused(
            f"{path} is no table of questions: its first cell is not `sheet`",
            "fill in the column `answer` of the file that --questions wrote",
        )
    return _MARKS[after]
