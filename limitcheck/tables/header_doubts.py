"""Headers that are asked for how they stand there: crossed out, or a formula that gives no name."""

from __future__ import annotations

from .columns import Column
from .grid import Sheet, UnstoredCell
from .unsure_headers import ANY_PRESSURE

_PRESSURES = tuple(dict.fromkeys(("cutoffs.high", "cutoffs.low", "expected.low", *ANY_PRESSURE)))


def in_doubt(column: Column, sheet: Sheet, rows: range, end: int) -> Column:
    """A column of a table up to `end`, or the same asked for what stands in the header's `rows`."""
    if column.hidden:
        return column
    paths = (column.key,) if column.key else column.paths
    mark = next(
        (sheet.marks[row, column.at] for row in rows if (row, column.at) in sheet.marks), ""
    )
    if mark and paths:
        return column._replace(key=None, paths=paths, doubt=mark)
    broken = any(isinstance(sheet.at(row, column.at), UnstoredCell) for row in rows)
    if broken and any(map(str.isdigit, "".join(_texts(column, sheet, range(rows.stop, end))))):
        told = "is a formula that gives no name"
        return column._replace(key=None, paths=paths or _PRESSURES, doubt=told)
    return column


def _texts(column: Column, sheet: Sheet, rows: range) -> list[str]:
    return [sheet.at(row, column.at) for row in rows]
