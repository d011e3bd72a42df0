"""Rows of a sheet that are no records: blank and hidden ones, totals, notes, the header again."""

from __future__ import annotations

import re

from ..errors import cut
from .columns import Column
from .grid import Area, DateCell, NumberCell, UnstoredCell
from .header import Header
from .merged import text_at
from .numbers import is_empty

_TOTAL = re.compile(
    r"(?:grand |sub)?-?(?:total|sum|average|mean|median|count|number of|maximum|minimum)\b.*",
    re.IGNORECASE,
)


def no_record(
    header: Header, row: int, named: Column | None, filled: dict[tuple[int, int], Area]
) -> str:
    """Why a row is no record, as told to the user; "blank", or empty where it is one."""
    sheet = header.sheet
    filled_cells = (cell for cell in sheet.rows[row] if not is_empty(cell))
    first = next(filled_cells, None)
    if first is None:
        return "blank"
    name = sheet.cell_name(row, 0)
    if row in sheet.hidden_rows:
        return f"{name}: the row is hidden; unhide it to have it read"
    has_identity = named is not None and not is_empty(text_at(sheet, row, named.at, filled))
    if _TOTAL.fullmatch(first):
        others = [cell for cell in sheet.rows[row] if not is_empty(cell)][1:]
        if all(map(_is_total, others)):
            return f'{name}: "{cut(first, 40)}" is no {header.kind.removesuffix("s")}'
    if UnstoredCell in map(type, sheet.rows[row]):
        return ""
    alone = header.kind == "methods" or not has_identity
    if alone and not isinstance(first, NumberCell) and next(filled_cells, None) is None:
        return f'{name}: a note, "{cut(first, 60)}"'
    if header.is_again(row):
        return f"{name}: the header again"
    return ""


def _is_total(cell: str) -> bool:
    return isinstance(cell, NumberCell | DateCell) or not any(map(str.isalpha, cell))
