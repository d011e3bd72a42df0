"""A table of `limitcheck fleet`, read back: pressures as typed, in the unit each instrument shows.

The numbers in the common unit are left out: an instrument that shows another would get them as its
own. They are compared: where one of the two was edited, it is asked. Nothing is guessed here, for
the table is ours.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from contextlib import suppress
from dataclasses import replace
from fractions import Fraction

from ..checking.carried import PARTS
from ..errors import Refused, cut
from ..units import Pressure
from .answers import Answers
from .columns import Column
from .fleet import NOT_CARRIED, UNREADABLE, rating_heading
from .grid import HEADER_ROWS, NumberCell, Sheet
from .header import LEFT_OUT, Chosen
from .inert import as_meant
from .numbers import CellError, read_number
from .questions import AS_IT_STANDS, Question
from .rows import Record, SheetRead

_KEYS: Mapping[str, str] = {
    "method": "method.id",
    "revision": "method.revision",
    "site": "method.site",
    "instrument": "instrument.id",
    "shows": "instrument.pressure_unit",
    "high cutoff as typed": "cutoffs.high",
    "low cutoff as typed": "cutoffs.low",
    "normal from as typed": "expected.low",
    "normal to as typed": "expected.high",
    **{rating_heading(part).casefold(): f"{part}.rating" for part in PARTS},
}
_OURS = frozenset(
    (
        *(heading for heading in _KEYS if " as " in heading),
        *("nearness to harm", "weakest rating in force", "lowered by flow or temperature"),
        *("no rating in force", "headroom is", NOT_CARRIED.casefold()),
    )
)
"""Headings that no other table has; some of them make a table ours."""
_FEWEST = 3
_NEARNESS = "nearness to harm"
_AS_SHOWN = Fraction(1, 10_000)
"""How far a spreadsheet may round a number that it saves as shown, of its size."""


def is_fleet(sheet: Sheet) -> bool:
    """Whether a sheet is such a table; raises Refused where a column that it needs is gone."""
    at = _heading_row(sheet)
    if at is None:
        return False
    headings = {cell.casefold() for cell in sheet.rows[at]}
    for heading in _KEYS:
        if heading not in headings:
            name, place = f"{heading[:1].upper()}{heading[1:]}", sheet.cell_name(at, 0)
            raise Refused(
                f'{place}: a table of limitcheck fleet without its column "{name}"',
                "write it again with limitcheck fleet, and keep this column",
            )
    return True


def _heading_row(sheet: Sheet) -> int | None:
    """The row of the headings: a title may stand above them."""
    for at, row in enumerate(sheet.rows[:HEADER_ROWS]):
        if len(_OURS & {cell.casefold() for cell in row}) >= _FEWEST:
            return at
    return None


def _headings(sheet: Sheet) -> list[str]:
    at = _heading_row(sheet)
    return [] if at is None else [cell.casefold() for cell in sheet.rows[at]]


def fleet_columns(sheet: Sheet) -> Chosen:
    """Which of its columns is which key; all others are left out."""
    return Chosen({name: _KEYS.get(name, LEFT_OUT) for name in _headings(sheet)}, {})


def as_it_was(sheet: Sheet) -> Sheet:
    """The sheet with texts as they were before a CSV made them inert."""
    if not sheet.lone:
        return sheet
    rows = [
        [cell if isinstance(cell, NumberCell) else as_meant(cell) for cell in row]
        for row in sheet.rows
    ]
    return replace(sheet, rows=rows)


def lost(sheet: Sheet) -> Iterator[str]:
    """What the rows do not carry of the profiles that the table was made of."""
    first = _heading_row(sheet) or 0
    yield (
        f"{sheet.cell_name(first, 0)}: a table of limitcheck fleet: pressures are read as typed, "
        "in the unit that each instrument shows; its other columns follow from the profiles"
    )
    headings = _headings(sheet)
    if NOT_CARRIED.casefold() not in headings:
        yield f'{sheet.cell_name(first, 0)}: no column "{NOT_CARRIED}": what is lost is not known'
        return
    at, method = headings.index(NOT_CARRIED.casefold()), headings.index("method")
    for row in range(first + 1, len(sheet.rows)):
        if told := sheet.at(row, at):
            cell = sheet.cell_name(row, at)
            yield f"{cell}: {sheet.at(row, method)}: not in the table, so not imported: {told}"


def edited(read: SheetRead, answers: Answers) -> Iterator[Question]:
    """Rows that were not read; numbers edited in one unit, and not as typed."""
    yield from _not_read(read)
    told = answers.cells(read.names)
    for heading, key in _KEYS.items():
        column = read.header.of(key)
        what = heading.removesuffix(" as typed")
        if column is None or what == heading:
            continue
        for beside in read.header.columns:
            match = re.fullmatch(rf"{re.escape(what)} \[(.+)\]", beside.text.casefold())
            unit = "" if match is None else beside.text[match.start(1) : match.end(1)]
            for record in read.records if unit else ():
                if (record.row, column.at) not in told:
                    yield from _edited(read, record, column, beside, unit)


def _not_read(read: SheetRead) -> Iterator[Question]:
    """Rows of what fleet could not read, or had a question on: they have no numbers."""
    sheet = read.header.sheet
    headings = _headings(sheet)
    at = headings.index(_NEARNESS) if _NEARNESS in headings else len(headings)
    for record in read.records if at < len(headings) else ():
        text = sheet.at(record.row, at)
        if text.casefold() != UNREADABLE:
            continue
        record.open = True
        yield Question(
            *(sheet.name, sheet.cell_name(record.row, at), "cell", str(text)),
            f'"{cut(text, 30)}": limitcheck fleet had no numbers of this row, so it makes none',
            "correct the file that is named in the row and write the table again, or take the row "
            "out",
            *("", record.text("instrument.id"), record.text("method.id")),
        )


def _edited(
    read: SheetRead, record: Record, column: Column, beside: Column, unit: str
) -> Iterator[Question]:
    sheet = read.header.sheet
    number, text = sheet.at(record.row, beside.at), sheet.at(record.row, column.at)
    amount = record.amount(column.key or "")
    typed = Fraction(0)
    if amount is not None and amount.unit:
        typed = Pressure.of(amount.number, amount.unit).to(unit)
    elif amount is not None or (text and column.key not in record.given and record.open):
        return  # it is asked for itself
    if any(abs(typed - told) <= _AS_SHOWN * abs(typed) for told in _readings(number)):
        return
    record.open = True
    place = sheet.cell_name(record.row, beside.at)
    seen = f'"{cut(number, 30)}"' if number else "nothing"
    yield Question(
        *(sheet.name, sheet.cell_name(record.row, column.at), "cell", str(text)),
        f'"{cut(text, 30)}" as typed, and {seen} as {beside.text} ({place}): one was changed',
        f'answer with what is typed at the instrument, "{AS_IT_STANDS}", or correct the table',
        *("", record.text("instrument.id"), record.text("method.id")),
    )


def _readings(number: str) -> Iterator[Fraction]:
    """What a number of ours may be; an empty cell is a pressure that is not there."""
    if not number:
        yield Fraction(0)
        return
    for sign in ("point", "comma"):
        with suppress(CellError):
            yield Fraction(read_number(number, sign).text)
