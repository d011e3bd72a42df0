"""The text of each column's header, put together from the rows in which it stands."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping

from .grid import Sheet, UnstoredCell
from .header_text import is_qualifier, units_kind


def texts_of(sheet: Sheet, first: int, last: int) -> Iterator[tuple[int, str]]:
    """The text of each column's header; of two rows, what the upper says goes before the lower."""
    if last >= len(sheet.rows):
        return
    if last - first > 1:  # two rows, and under them one of units
        upper = dict(texts_of(sheet, first, last - 1))
        for column in range(sheet.width):
            lower = "" if sheet.at(last, column) == upper.get(column) else sheet.at(last, column)
            if text := f"{upper.get(column, '')} {lower}".strip():
                yield column, text
        return
    above = ""
    for column in range(sheet.width):
        if last == first:
            text = _own(sheet, first, column)
        else:
            own, lower = _own(sheet, first, column), _own(sheet, last, column)
            if own:
                above = own
            elif not lower or not _reaches(sheet, first, column):
                above = ""
            text = lower if lower == above else f"{above} {lower}".strip()
        if text:
            yield column, re.sub(r"\s+", " ", text)


def _own(sheet: Sheet, row: int, column: int) -> str:
    cell = sheet.at(row, column)
    return cell or ("(formula)" if isinstance(cell, UnstoredCell) else "")


def are_units(sheet: Sheet, row: int) -> bool:
    """Whether all that stands in a row are units, as under two rows of headers."""
    cells = [cell for cell in (sheet.rows[row] if row < len(sheet.rows) else ()) if cell]
    return bool(cells) and all(units_kind(cell.strip("()[] ")) is not None for cell in cells)


def with_what_is_above(
    sheet: Sheet, row: int, texts: Mapping[int, str]
) -> Iterator[tuple[int, str]]:
    """The headers, with what stands above some of them and says "old" or "until 2019"."""
    cells = [sheet.at(row, at) if row >= 0 else "" for at in range(sheet.width)]
    above = ""
    for at, cell in enumerate(cells):
        if cell or not _reaches(sheet, row, at):
            above = cell if is_qualifier(cell) and any(cells[1:]) else ""
        if at in texts:
            yield at, f"{above} {texts[at]}".strip()


def _reaches(sheet: Sheet, row: int, column: int) -> bool:
    """Whether the text to the left stands over this column too: merged, or merging was lost."""
    if not sheet.merged:
        return sheet.lone
    return any(a.top <= row <= a.bottom and a.left < column <= a.right for a in sheet.merged)
