"""Which rows wait for a question: those that it may change, and those alone.

A question about a column keeps each row that has something in that column, and each row whose
instrument or column another such row describes. A row that has nothing there goes on.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from .columns import Column
from .grid import cell_numbers
from .joined import Thing
from .numbers import is_empty
from .planned import Plan, Planned
from .questions import Question
from .rows import Record, SheetRead


def without_questions(
    plan: Plan, planned: Iterable[Planned], questions: Sequence[Question], reads: list[SheetRead]
) -> tuple[Planned, ...]:
    """The profiles that may be written, for no question may change them."""
    waits = _Waits(questions, reads)
    return tuple(one for one in planned if not waits.one(plan, one))


class _Waits:
    def __init__(self, questions: Sequence[Question], reads: list[SheetRead]) -> None:
        self._cells = {(q.sheet, *cell_numbers(q.cell)) for q in questions if q.about == "cell"}
        asked = {(q.sheet, q.cell) for q in questions if _of_column(q)}
        self._columns: dict[int, tuple[SheetRead, list[Column]]] = {}
        self._things: dict[int, bool] = {}
        for read in reads:
            name, header = read.header.sheet.name, read.header
            found = [c for c in header.columns if (name, header.place(c)) in asked]
            self._columns[id(header)] = read, found

    def one(self, plan: Plan, one: Planned) -> bool:
        """Whether a row that gives a profile waits."""
        if one.record.open or self._asked(one.record):
            return True
        if any(self._thing(plan.shared[path].thing) for path in one.shared):
            return True
        places = ((given.sheet, given.row, given.column.at) for given in one.cells.values())
        return bool(self._cells) and not self._cells.isdisjoint(places)

    def _thing(self, thing: Thing) -> bool:
        """Whether an instrument or a column does: a row that tells of it may tell otherwise."""
        if (known := self._things.get(id(thing))) is None:
            known = self._things[id(thing)] = thing.open or any(
                self._asked(record) or (record.open and record.header.kind != "methods")
                for record in thing.records
            )
        return known

    def _asked(self, record: Record) -> bool:
        """Whether a row has something in a column that is asked."""
        read, columns = self._columns[id(record.header)]
        return any(not is_empty(read.names.at(record.row, column.at)) for column in columns)


def _of_column(question: Question) -> bool:
    """Whether every cell of a column waits.

    The rows of an instrument wait for its unit, those with one pressure for what is around it, and
    those under a title are kept by it.
    """
    of_instrument = question.about == "unit" and bool(question.instrument)
    return question.about not in ("cell", "around", "title") and not of_instrument
