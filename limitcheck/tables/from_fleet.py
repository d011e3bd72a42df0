"""A table of `limitcheck fleet`, read back: pressures as typed, in the unit each instrument shows.

The numbers in the common unit are left out: an instrument that shows another would get them as its
own. Nothing is guessed here, for the table is ours.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace

from .fleet import NOT_CARRIED, rating_heading
from .grid import NumberCell, Sheet
from .header import LEFT_OUT, Chosen
from .inert import as_meant

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
    rating_heading("pump").casefold(): "pump.rating",
    rating_heading("injector").casefold(): "injector.rating",
    rating_heading("column").casefold(): "column.rating",
    rating_heading("detector cell").casefold(): "detector cell.rating",
}
_ALWAYS = frozenset((*_KEYS, "file", "nearness to harm", "sha-256", NOT_CARRIED.casefold()))


def is_fleet(sheet: Sheet) -> bool:
    """Whether a sheet has the header of such a table."""
    return bool(sheet.rows) and {cell.casefold() for cell in sheet.rows[0]} >= _ALWAYS


def fleet_columns(sheet: Sheet) -> Chosen:
    """Which of its columns is which key; all others are left out."""
    headings = (cell.casefold() for cell in sheet.rows[0])
    return Chosen({heading: _KEYS.get(heading, LEFT_OUT) for heading in headings}, {})


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
    headings = [cell.casefold() for cell in sheet.rows[0]]
    at, method = headings.index(NOT_CARRIED.casefold()), headings.index("method")
    yield (
        f"{sheet.cell_name(0, 0)}: a table of limitcheck fleet: pressures are read as typed, in "
        "the unit that each instrument shows; its other columns follow from the profiles"
    )
    for row in range(1, len(sheet.rows)):
        if told := sheet.at(row, at):
            cell = sheet.cell_name(row, at)
            yield f"{cell}: {sheet.at(row, method)}: not in the table, so not imported: {told}"
