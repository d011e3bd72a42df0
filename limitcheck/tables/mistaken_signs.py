"""A decimal sign decided by few cells, where the rows contradict what it makes of most others.

A single 28.5 makes decimals of every 4.061 in its column. Where the cells that can be read two ways
are contradicted by their rows, the sign of the column is asked in place of all of them.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from .answers import Answers
from .columns import Column
from .grid import cell_numbers
from .numbers import evidence
from .questions import Question
from .rows import SheetRead
from .whole_columns import sign_question

_FEWEST = 3
"""Cells that are contradicted, at least (a choice)."""


def with_signs_asked(
    doubted: Iterable[Question], reads: Sequence[SheetRead], answers: Answers
) -> Iterator[Question]:
    """The doubts, with those of a column whose sign may be mistaken in one question."""
    questions = list(doubted)
    at: dict[tuple[str, int], list[Question]] = {}
    for question in questions:
        at.setdefault((question.sheet, cell_numbers(question.cell)[1]), []).append(question)
    mistaken: set[tuple[str, int]] = set()
    for read in reads:
        for column in read.header.columns:
            found = at.get((read.header.sheet.name, column.at), ())
            if column.key is None or len(found) < _FEWEST:
                continue
            both = _read_two_ways(read, column)
            about = [one for one in found if cell_numbers(one.cell)[0] in both]
            sign = read.signs.get(column.at)
            if len(about) < _FEWEST or 2 * len(about) <= len(both) or sign is None:
                continue
            if answers.sign(read.header.sheet.name, column.text) is not None:
                continue
            mistaken |= {(one.sheet, cell_numbers(one.cell)[0]) for one in about}
            first = about[0]
            why = (
                f'"{first.value}" and {len(about) - 1} more contradict their rows when {sign} '
                "stands before decimals: does it?"
            )
            yield sign_question(read.header, column, why)
    for one in questions:  # what else its row says rests on the sign as well
        if (one.sheet, cell_numbers(one.cell)[0]) not in mistaken:
            yield one


def _read_two_ways(read: SheetRead, column: Column) -> set[int]:
    sheet = read.header.sheet
    return {r.row for r in read.records if evidence(sheet.at(r.row, column.at))[1] is not None}
