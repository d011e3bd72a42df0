"""What stands in a table and does not fit under its header: longer rows, and lines between rows.

Such a row or line may say that the header does not hold. It is asked; the answer "as it stands"
lets the header hold.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from itertools import pairwise
from typing import TypeAlias

from ..errors import LimitcheckError, cut
from ..units import Pressure, find_unit
from .answers import Answer
from .grid import column_letters
from .header import Header
from .numbers import is_empty
from .questions import AS_IT_STANDS, Question
from .titles import units_named
from .words import signs_of_any

Told: TypeAlias = Mapping[tuple[int, int], Answer]
"""Answers to cells, by row and column."""
_WHOLE = re.compile(r"[+-]?[0-9]{1,3}")
_REST = re.compile(r"[0-9]+(?:\s*[^\s0-9.,;]\S*)?")
_BEGINS_WITH_NUMBER = re.compile(r"[+\-−]?[0-9]")
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
    if _settled(told, row, beyond, cells[beyond]):
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


def note_between(header: Header, row: int, told: Told) -> Question | None:
    """The question on a note between rows that names a unit which the header does not."""
    sheet = header.sheet
    at, note = next((at, cell) for at, cell in enumerate(sheet.rows[row]) if not is_empty(cell))
    named = dict.fromkeys(units_named(note))
    if not named or set(named) == _units(header):
        return None
    place = sheet.cell_name(row, at)
    if _settled(told, row, at, note):
        return None
    units = " and ".join(named)
    return Question(
        *(sheet.name, place, "cell", note),
        f'"{cut(note, 40)}" names {units}: the rows below may not be in the units of the header',
        f'give the rows below a header of their own, with units, or answer "{AS_IT_STANDS}"',
    )


def _units(header: Header) -> set[str]:
    found = set()
    for column in header.columns:
        if column.key is not None and column.unit:
            try:
                found.add(find_unit(column.unit, Pressure))
            except LimitcheckError:
                continue
    return found


def _settled(told: Told, row: int, column: int, value: str) -> bool:
    answer = told.get((row, column))
    return answer is not None and (answer.keeps(value) or answer.leaves_out)


def may_be_header(cells: Sequence[str]) -> bool:
    """Whether cells that should hold numbers are words of a header that is not known."""
    if len(cells) < 2 or any(_BEGINS_WITH_NUMBER.match(cell) for cell in cells):
        return False
    return any(
        next(units_named(cell), None) or signs_of_any(cell) & _OF_PRESSURES for cell in cells
    )
