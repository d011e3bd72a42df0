"""What stands in a table and does not fit under its header: longer rows, and lines between rows.

Such a row or line may say that the header does not hold. It is asked; the answer "as it stands"
lets the header hold.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from itertools import pairwise
from typing import NamedTuple, TypeAlias

from ..errors import LimitcheckError, cut
from ..units import Pressure, find_unit
from .answers import Answer
from .grid import column_letters
from .header import Header
from .notes import CHANGES_NOTHING
from .numbers import is_empty
from .questions import AS_IT_STANDS, Question
from .titles import units_named
from .unsure_headers import PRESSURE_WORDS
from .words import LONGEST_HEADER, is_known, signs_of_any, words_of
from .words_of_status import is_out_of_use

Told: TypeAlias = Mapping[tuple[int, int], Answer]
"""Answers to cells, by row and column."""
_WHOLE = re.compile(r"[+-]?[0-9]{1,3}")
_REST = re.compile(r"[0-9]+(?:\s*[^\s0-9.,;]\S*)?")
_BEGINS_WITH_NUMBER = re.compile(r"[+\-−]?[0-9]")
_SMALL = frozenset({"all", "are", "is", "given", "stated", "values", "this", "table"})
_OF_PRESSURES = frozenset({"max", "min", "limit", "expected", "rating"})


def too_long(header: Header, row: int, told: Told) -> Question | None:
    """The question on a row of a text file with a cell beyond the header.

    An unquoted 4,000 or 28,5 between commas makes two cells of one: every cell after it is then
    under the header of another. A text without a header beside a row that cannot be so is none.
    """
    sheet = header.sheet
    cells = sheet.rows[row]
    after = header.columns[-1].at + 1
    if not sheet.lone or len(cells) <= after:
        return None
    beyond = next((at for at in range(after, len(cells)) if not is_empty(cells[at])), None)
    if beyond is None:
        return None
    joined = _joined(cells) if sheet.delimiter == "," else None
    if joined is None and not _BEGINS_WITH_NUMBER.match(cells[beyond]):
        return None
    place = sheet.cell_name(row, beyond)
    if settled(told, row, beyond, cells[beyond]):
        return None
    text = f'"{cut(cells[beyond], 30)}" stands beyond the last header: the row has a cell too many'
    if joined is not None:
        number = f"{cells[joined]},{cells[joined + 1]}"
        letters = f"{column_letters(joined)} and {column_letters(joined + 1)}"
        text += f", and {letters} may be one number, {cut(number, 30)}"
    advice = f'quote a number that has a comma, as in "4,000"; or answer "{AS_IT_STANDS}"'
    return Question(sheet.name, place, "cell", cells[beyond], text, advice)


def _joined(cells: Sequence[str]) -> int | None:
    """The first of two neighbours that may be one number with a comma; None where none can."""
    found = [
        at
        for at, (one, other) in enumerate(pairwise(cells))
        if _WHOLE.fullmatch(one) and _REST.match(other)
    ]
    thousands = (at for at in found if re.match(r"[0-9]{3}(?![0-9])", cells[at + 1]))
    return next(thousands, found[0] if found else None)


class Notes:
    """Notes between the rows of a sheet and under them, which may say how rows are to be read."""

    def __init__(self, header: Header, told: Told) -> None:
        self._header, self._told = header, told
        self._rows: list[int] = []

    def add(self, row: int) -> None:
        """A row that is no record, after the last one that is."""
        self._rows.append(row)

    def above_rows(self) -> Question | None:
        """The question on the notes since the last record, which stand above another."""
        rows, self._rows = self._rows, []
        return self._first(rows, "below") if rows else None

    def below_rows(self) -> Question | None:
        """The question on the notes under the last record; those right above a header are its."""
        sheet, end = self._header.sheet, self._header.end
        if end < len(sheet.rows):
            while self._rows and self._rows[-1] == end - 1:
                end = self._rows.pop()
        return self._first(self._rows, "above")

    def _first(self, rows: Iterable[int], which: str) -> Question | None:
        return next((asked for row in rows if (asked := self._asked(row, which))), None)

    def _asked(self, row: int, which: str) -> Question | None:
        sheet = self._header.sheet
        filled = [(at, cell) for at, cell in enumerate(sheet.rows[row]) if not is_empty(cell)]
        at, note = filled[0]
        alone = len(filled) == 1 and row not in sheet.hidden_rows
        doubt = doubt_of_text(note, self._header, f"the rows {which}", alone=alone)
        if row in sheet.hidden_rows and may_be_header([cell for _, cell in filled]):
            told = f"stands in a hidden row that may be a header: the rows {which} may be under it"
            doubt = Doubt(told, "unhide the row")
        if doubt is None or settled(self._told, row, at, note):
            return None
        return Question(
            *(sheet.name, sheet.cell_name(row, at), "cell", note),
            f'"{cut(note, 40)}" {doubt.told}',
            f'{doubt.how}, or answer "{AS_IT_STANDS}"',
        )


class Doubt(NamedTuple):
    """What a text beside rows says of them, and what to do about it."""

    told: str
    how: str


def doubt_of_text(text: str, header: Header, rows: str, *, alone: bool = True) -> Doubt | None:
    """Whether a text says that `rows`, as they are called, may not be read by their header.

    Where it is not `alone` in its row, it is a row of the table, and only a unit in it is asked.
    """
    named = dict.fromkeys(units_named(text))
    if named and set(named) != _units(header):
        told = f"names {' and '.join(named)}: {rows} may not be in the units of the header"
        return Doubt(told, f"give {rows} a header of their own, with units")
    if alone and is_out_of_use(text):
        told = f"says what is out of use: {rows}, or some, may not be in use"
        return Doubt(told, "take out of the table what is out of use")
    if alone and _qualifies_pressures(text):
        return Doubt(f"may change the pressures of {rows}", "correct the numbers themselves")
    return None


def _qualifies_pressures(note: str) -> bool:
    """Whether a note says something of limits or pressures, in words that may change them."""
    words = words_of(note[:LONGEST_HEADER])
    if not (signs_of_any(note) & {"limit", "rating"} or PRESSURE_WORDS & set(words)):
        return False
    known = CHANGES_NOTHING | _SMALL | {word for word in words if word.isdigit() or is_known(word)}
    return any(word not in known and not next(units_named(word), "") for word in words)


def _units(header: Header) -> set[str]:
    found = set()
    for column in header.columns:
        if column.key is not None and column.unit:
            try:
                found.add(find_unit(column.unit, Pressure))
            except LimitcheckError:
                continue
    return found


def settled(told: Told, row: int, column: int, value: str) -> bool:
    """Whether a person has answered that a cell holds, or is to be left out."""
    answer = told.get((row, column))
    return answer is not None and (answer.keeps(value) or answer.leaves_out)


def may_be_header(cells: Sequence[str]) -> bool:
    """Whether cells that should hold numbers are words of a header that is not known."""
    if len(cells) < 2 or any(_BEGINS_WITH_NUMBER.match(cell) for cell in cells):
        return False
    return any(
        next(units_named(cell), None) or signs_of_any(cell) & _OF_PRESSURES for cell in cells
    )
