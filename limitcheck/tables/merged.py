"""Cells that the file itself merges: each row of an area has the text of its first cell.

An area over several columns that are read says one text of two things: its cells are asked.
"""

from __future__ import annotations

from .grid import Area
from .header import Header


class Merged:
    """The merged areas under a header, by each of their cells that is read."""

    def __init__(self, header: Header) -> None:
        self._sheet = header.sheet
        read = [column.at for column in header.columns if column.key or column.paths]
        self.areas: dict[tuple[int, int], Area] = {}
        """By cell: its area, where the text is that of the first cell of the area."""
        self.across: set[tuple[int, int]] = set()
        """Cells whose area is over several columns that are read."""
        for area in header.sheet.merged:
            within = [at for at in read if area.left <= at <= area.right]
            rows = range(max(area.top, header.body.start), min(area.bottom + 1, header.body.stop))
            several = within not in ([], [area.left])
            if area.top < header.body.start or not (several or self._is_down(area, within)):
                continue
            for at in within:
                for row in rows:
                    self.areas[row, at] = area
                    if several:
                        self.across.add((row, at))

    @staticmethod
    def _is_down(area: Area, within: list[int]) -> bool:
        return area.bottom > area.top and within == [area.left]

    def text_at(self, row: int, column: int) -> str:
        """The text of a cell, or of the first one of its area."""
        area = self.areas.get((row, column))
        if area is None:
            return self._sheet.at(row, column)
        return self._sheet.at(area.top, area.left)
