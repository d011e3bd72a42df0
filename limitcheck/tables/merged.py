"""Cells that the file itself merges downwards: each row of the area has the text of the first."""

from __future__ import annotations

from .grid import Area, Sheet


def filled_by_merging(sheet: Sheet) -> dict[tuple[int, int], Area]:
    """The cells below the first one of an area that is merged downwards."""
    return {
        (row, area.left): area
        for area in sheet.merged
        if area.left == area.right
        for row in range(area.top + 1, min(area.bottom + 1, len(sheet.rows)))
    }


def text_at(sheet: Sheet, row: int, column: int, filled: dict[tuple[int, int], Area]) -> str:
    """The text of a cell, or of the first one of its area."""
    area = filled.get((row, column)) if filled else None
    return sheet.at(row, column) if area is None else sheet.at(area.top, column)
