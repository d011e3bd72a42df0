"""A table of `limitcheck fleet`, known again: by its headings, or by a cell that only it has.

It is read by `fleet_rows`, whatever stands above it; a table of which a column that is needed is
gone is refused, for what a row meant cannot be known then.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace

from ..checking.carried import PARTS
from ..errors import Refused
from ..profile.one_line import BEGINS, TOO_LONG
from .fleet import WHOLE, rating_heading
from .grid import HEADER_ROWS, NumberCell, Sheet
from .header import LEFT_OUT, Chosen
from .inert import as_meant

KEYS_OF: Mapping[str, str] = {
    "method": "method.id",
    "revision": "method.revision",
    "site": "method.site",
    "instrument": "instrument.id",
    "shows": "instrument.pressure_unit",
    "high cutoff as typed": "cutoffs.high",
    "low cutoff as typed": "cutoffs.low",
    "expected from as typed": "expected.low",
    "expected to as typed": "expected.high",
    **{rating_heading(part).casefold(): f"{part}.rating" for part in PARTS},
}
"""By heading in small letters: the key whose value the whole profile has as well."""
_NEEDED = (*KEYS_OF, WHOLE.casefold())
OURS = frozenset(
    (
        *(heading for heading in KEYS_OF if " as " in heading),
        *("nearness to harm", "weakest rating in force", "lowered by flow or temperature"),
        *("no rating in force", "headroom is", WHOLE.casefold()),
    )
)
"""Headings that no other table has."""


def is_fleet(sheet: Sheet) -> bool:
    """Whether a sheet is such a table; raises Refused where a column that it needs is gone."""
    at = _heading_row(sheet)
    if at is None:
        if not any(_is_whole(cell) for row in sheet.rows for cell in row):
            return False
        raise Refused(
            f"{sheet.cell_name(0, 0)}: rows of a table of limitcheck fleet without its headings",
            "write it again with limitcheck fleet, and keep its row of headings",
        )
    headings = {cell.casefold() for cell in sheet.rows[at]}
    for heading in _NEEDED:
        if heading not in headings:
            name, place = f"{heading[:1].upper()}{heading[1:]}", sheet.cell_name(at, 0)
            raise Refused(
                f'{place}: a table of limitcheck fleet without its column "{name}"',
                "write it again with limitcheck fleet, and keep this column",
            )
    return True


def _is_whole(cell: str) -> bool:
    """Whether a cell is one of the column of whole profiles."""
    return cell == TOO_LONG or cell.startswith(BEGINS)


def _heading_row(sheet: Sheet) -> int | None:
    """The row of the headings: a title may stand above them. One of ours is enough."""
    for at, row in enumerate(sheet.rows[:HEADER_ROWS]):
        if not OURS.isdisjoint({cell.casefold() for cell in row}):
            return at
    return None


def fleet_columns(sheet: Sheet) -> Chosen:
    """Which of its columns is which key; all others are left out."""
    at = _heading_row(sheet) or 0
    headings = [cell.casefold() for cell in sheet.rows[at]]
    return Chosen({name: KEYS_OF.get(name, LEFT_OUT) for name in headings}, {})


def as_it_was(sheet: Sheet) -> Sheet:
    """The sheet with texts as they were before a CSV made them inert."""
    if not sheet.lone:
        return sheet
    rows = [
        [cell if isinstance(cell, NumberCell) else as_meant(cell) for cell in row]
        for row in sheet.rows
    ]
    return replace(sheet, rows=rows)


def not_read(sheet: Sheet) -> Iterator[str]:
    """What is not made of such a table, told once."""
    first = sheet.cell_name(_heading_row(sheet) or 0, 0)
    yield (
        f'{first}: a table of limitcheck fleet: profiles are those of its column "{WHOLE}", '
        "compared with what stands beside it; its other columns follow from the profiles"
    )
    yield (
        f"{first}: comments of the files and `use` are not in the table: values of shared "
        "descriptions stand in each profile"
    )
