"""How far the cells of a sheet reach, asked of its XML before anything makes room for them."""

from __future__ import annotations

import re
from zipfile import ZipFile

from .grid import MOST_COLUMNS, MOST_ROWS, TableError, cell_numbers

MOST_CELLS = 5_000_000
"""Of the rectangle around all cells that are filled: the library makes room for each."""
_CELL = re.compile(rb"<(?:\w+:)?c\s[^>]*?\br\s*=\s*[\"']([A-Z]{1,9})([0-9]{1,12})[\"']")


def refuse_far_cells(archive: ZipFile, part: str, path: str, sheet: str) -> None:
    """Raises TableError for a sheet with a cell too far from the others."""
    rows = 0
    far: set[bytes] = set()
    for letters, number in _CELL.findall(archive.read(part)):
        rows = max(rows, int(number))
        far.add(letters)
    columns = max((cell_numbers(f"{name.decode()}1")[1] + 1 for name in far), default=0)
    if rows > MOST_ROWS or columns > MOST_COLUMNS or rows * columns > MOST_CELLS:
        raise TableError(
            f"{path}: the cells of sheet {sheet} reach to row {rows:,} and column {columns:,}",
            "import a table of methods, in parts; is a cell far away filled by mistake?",
        )
