"""Rows of a sheet that are no records: blank and hidden ones, totals, notes, the header again."""

from __future__ import annotations

import re

from ..errors import cut
from .columns import Column
from .grid import DateCell, NumberCell, UnstoredCell
from .header import Header
from .merged import Merged
from .numbers import is_empty

_TOTAL = re.compile(
    r"(?:grand |sub)?-?(?:total|sum|average|mean|median|count|number of|maximum|minimum)\b.*",
    re.IGNORECASE,
)


def no_record(header: Header, row: int, named: Column | None, merged: Merged) -> str:
    """Why a row is no record, as told to the user; "blank", or empty where it is one."""
    sheet = header.sheet
    filled_cells = (cell for cell in sheet.rows[row] if not is_empty(cell))
    first = next(filled_cells, None)
    if first is None:
        return "blank"
    name = sheet.cell_name(row, 0)
    if row in sheet.hidden_rows:
        return f"{name}: the row is hidden; unhide it to have it read"
    has_identity = named is not None and not is_empty(merged.text_at(row, named.at))
    if _TOTAL.fullmatch(first):
        others = [cell for cell in sheet.rows[row] if not is_empty(cell)][1:]
        if all(map(_is_total, others)):
            return f'{name}: "{cut(first, 40)}" is no {header.kind.removesuffix("s")}'
    if UnstoredCell in map(type, sheet.rows[row]):
        return ""
    alone = header.kind == "methods" or not has_identity
    if alone and not isinstance(first, NumberCell) and next(filled_cells, None) is None:
        return f'{name}: a note, "{cut(first, 60)}"'
    if row == header.last + 1 and _are_numbers_of_columns(header, row):
        return f"{name}: the numbers of the columns"
    if header.is_again(row):
        return f"{name}: the header again"
    return ""


def _are_numbers_of_columns(header: Header, row: int) -> bool:
    """Whether the cells of a row count the columns, from 1 on."""
    texts = [header.sheet.at(row, column.at).strip("() ") for column in header.columns]
    return len(texts) > 2 and texts == [str(number) for number in range(1, len(texts) + 1)]


def _is_total(cell: str) -> bool:
    return isinstance(cell, NumberCell | DateCell) or not any(map(str.isalpha, cell))
