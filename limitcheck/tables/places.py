"""Where a cell stands in its file: the sheet and cell, and of a CSV the line and column as well."""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import cached_property

from ..findings import Location
from .grid import Grid, cell_numbers


class Places:
    """The places of a grid's cells; the text of a CSV is gone through when first asked for."""

    def __init__(self, grid: Grid) -> None:
        self.grid = grid

    def of(self, sheet: str, cell: str) -> Location:
        """The place of a cell by its name, as in C7 or Methods!C7."""
        row, column = cell_numbers(cell)
        if self.grid.delimiter:
            return self._in_text(row, column, cell)
        name = cell if "!" in cell else f"{sheet}!{cell}"
        at = row + 1, column + 1
        return Location(self.grid.path, *at, at[0], at[1] + 1, cell=name)

    def row(self, sheet: str, row: int) -> str:
        """What a row is called: its line in a CSV, Methods!7 in a workbook."""
        return str(self._line(row)) if self.grid.delimiter else f"{sheet}!{row + 1}"

    def _in_text(self, row: int, column: int, cell: str) -> Location:
        text = self.grid.text
        start, line = self._starts[row] if row < len(self._starts) else (len(text), self._line(row))
        cells = list(self._cells(start))
        begin, end = cells[column] if column < len(cells) else (cells[-1][1], cells[-1][1])
        line += len(_LINE_END.findall(text[start:begin]))
        in_line = max(text.rfind("\n", 0, begin), text.rfind("\r", 0, begin)) + 1
        whole = _TO_LINE_END.match(text, in_line)
        assert whole is not None
        last = _TO_LINE_END.match(text, begin, end)
        assert last is not None  # the first line of a cell of several
        from_, to = begin - in_line + 1, max(begin + 1, last.end()) - in_line + 1
        return Location(self.grid.path, line, from_, line, to, whole[0], cell)

    def _line(self, row: int) -> int:
        return self._starts[row][1] if row < len(self._starts) else len(self._starts) + 1

    @cached_property
    def _starts(self) -> list[tuple[int, int]]:
        """Where each row begins in the text, and its line."""
        text, found, at, line = self.grid.text, [], 0, 1
        row = _row_pattern(self.grid.delimiter)
        while at < len(text):
            found.append((at, line))
            match = row.match(text, at)
            if match is None or match.end() == at:
                break
            line += len(_LINE_END.findall(match[0]))
            at = match.end()
        return found

    def _cells(self, at: int) -> Iterator[tuple[int, int]]:
        """Begin and end of each cell of the row that begins at an offset, without blanks."""
        pattern, text = _cell_pattern(self.grid.delimiter), self.grid.text
        while True:
            match = pattern.match(text, at)
            assert match is not None  # it takes nothing as well
            found = match[0]
            begin = match.start() + len(found) - len(found.lstrip())
            yield begin, max(begin, match.start() + len(found.rstrip()))
            at = match.end() + 1
            if text[match.end() : at] != self.grid.delimiter:
                return


_LINE_END = re.compile(r"\r\n|\r|\n")
_TO_LINE_END = re.compile(r"[^\r\n]*")


def _cell_pattern(delimiter: str) -> re.Pattern[str]:
    return re.compile(rf'(?:"(?:[^"]|"")*")?[^{re.escape(delimiter)}\r\n]*')


def _row_pattern(delimiter: str) -> re.Pattern[str]:
    """A row with its line end; a quotation mark counts where a cell begins only."""
    sign = re.escape(delimiter)
    cell = rf'(?:"(?:[^"]|"")*+")?+[^{sign}\r\n]*+'
    return re.compile(rf"{cell}(?:{sign}{cell})*+(?:\r\n|\r|\n|\Z)")
