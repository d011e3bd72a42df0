"""Where the header of a sheet is, and what each column of it stands for.

A header stands in one row or in two, the upper one merged over several columns. What two keys may
be is asked; what is not known is left out, and both are said.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import islice
from typing import NamedTuple

from ..errors import LimitcheckError
from ..units import QUANTITIES, Pressure, find_unit
from .grid import Sheet
from .numbers import CellError, is_empty, read_number
from .words import KEYS, QUANTITY, Named, SheetKind, header_of, pressures_in, signs_of, units_kind

_LOOKED_AT = 40
"""Rows in which a header is looked for."""
LEFT_OUT = "leave out"
"""What a mapping says of a column that gives nothing."""
_TITLE_UNIT = re.compile(r"(?:\bin|[(\[,;:])\s*(?P<unit>[^\s()\[\],;.]+(?:/\S+)?)\s*[)\]]?\.?\s*$")


class Column(NamedTuple):
    """A column of a sheet: its header, and the key it stands for; None where it is left out.

    `unit` is the spelling in the header, `unit_from` says where it stands. `paths` are the keys it
    may stand for, where it is to be asked.
    """

    at: int
    text: str
    key: str | None
    unit: str = ""
    unit_from: str = ""
    paths: tuple[str, ...] = ()
    hidden: bool = False
    twice: bool = False
    """Whether another column stands for the same key."""


@dataclass(frozen=True, slots=True)
class Header:
    """The header of a sheet: its rows (from 0, ends included), what it lists, its columns."""

    sheet: Sheet
    first: int
    last: int
    kind: SheetKind
    columns: tuple[Column, ...]
    title: str = ""

    def of(self, path: str) -> Column | None:
        """The column that stands for a key."""
        return next((column for column in self.columns if column.key == path), None)

    def place(self, column: Column) -> str:
        """The name of the header's cell, the lowest that is filled."""
        rows = range(self.last, self.first - 1, -1)
        row = next((r for r in rows if self.sheet.at(r, column.at)), self.last)
        return self.sheet.cell_name(row, column.at)


class Chosen(NamedTuple):
    """What a mapping says of headers: keys, and units, by header in small letters."""

    keys: Mapping[str, str]
    units: Mapping[str, str]


def find_header(sheet: Sheet, chosen: Chosen) -> Header | None:
    """The header of a sheet; None for a sheet in which fewer than two columns are known."""
    best: tuple[tuple[int, int], int, int, dict[int, str]] | None = None
    for first in range(min(_LOOKED_AT, len(sheet.rows))):
        for last in (first, first + 1):
            texts = dict(_texts(sheet, first, last))
            score = _score(texts.values(), chosen)
            if score[0] >= 2 and (best is None or score > best[0]):
                best = (score, first, last, texts)
    if best is None:
        return None
    _, first, last, texts = best
    kind = _kind(sheet, list(texts.values()), chosen)
    title = _title(sheet, first)
    unit = _unit_of_title(title)
    columns = tuple(
        _column(sheet, last, index, text, kind, chosen, unit) for index, text in texts.items()
    )
    return Header(sheet, first, last, kind, _asked_once(columns), title)


def _texts(sheet: Sheet, first: int, last: int) -> Iterator[tuple[int, str]]:
    """The text of each column's header; of two rows, what the upper says goes before the lower."""
    if last >= len(sheet.rows):
        return
    above = ""
    for column in range(sheet.width):
        if last == first:
            text = sheet.at(first, column)
        else:
            own, lower = sheet.at(first, column), sheet.at(last, column)
            if own:
                above = own
            elif not lower or not _reaches(sheet, first, column):
                above = ""
            text = lower if lower == above else f"{above} {lower}".strip()
        if text:
            yield column, re.sub(r"\s+", " ", text)


def _reaches(sheet: Sheet, row: int, column: int) -> bool:
    """Whether the text to the left stands over this column too: merged, or merging was lost."""
    if not sheet.merged:
        return sheet.lone
    return any(a.top <= row <= a.bottom and a.left < column <= a.right for a in sheet.merged)


def _score(texts: Iterable[str], chosen: Chosen) -> tuple[int, int]:
    """How many texts are headers, and how many of these have a unit, as a second row may give."""
    known = units = 0
    for text in texts:
        found = [header_of(text, kind) for kind in ("methods", "instruments", "columns")]
        known += text.casefold() in chosen.keys or any(named.paths for named in found)
        units += any(named.paths and named.unit for named in found)
    return known, units


def _kind(sheet: Sheet, texts: Sequence[str], chosen: Chosen) -> SheetKind:
    """What a sheet lists: methods where it has cutoffs or methods, else what it names."""
    if not sheet.lone:
        for kind in ("methods", "instruments", "columns"):
            if signs_of(sheet.name) == {kind.removesuffix("s")}:
                return kind
    paths = {
        path
        for text in texts
        for path in (chosen.keys.get(text.casefold()), *header_of(text).paths)
        if path is not None
    }
    tables = {path.partition(".")[0] for path in paths}
    if tables & {"method", "cutoffs", "expected"}:
        return "methods"
    return "instruments" if "instrument" in tables else "columns"


def _column(
    sheet: Sheet, last: int, index: int, text: str, kind: SheetKind, chosen: Chosen, title_unit: str
) -> Column:
    hidden = index in sheet.hidden_columns
    named = header_of(text, kind)
    given = chosen.keys.get(text.casefold())
    if given == LEFT_OUT or hidden:
        return Column(index, text, None, hidden=hidden)
    if given is None and not named.paths:  # a pressure that is left out would be missed
        return Column(index, text, None, paths=pressures_in(text))
    paths = (given,) if given is not None else named.paths
    if len(paths) > 1:
        paths = _not_ruled_out(sheet, last, index, paths, named)
    unit, unit_from = chosen.units.get(text.casefold(), ""), "the mapping"
    if not unit:
        unit, unit_from = named.unit, f'the header "{text}"'
    if len(paths) != 1:
        return Column(index, text, None, unit, unit_from if unit else "", paths)
    if not unit and title_unit and KEYS[paths[0]].kind in ("pressure", "band"):
        unit, unit_from = title_unit, "the title"
    return Column(index, text, paths[0], unit, unit_from if unit else "")


def _not_ruled_out(
    sheet: Sheet, last: int, index: int, paths: tuple[str, ...], named: Named
) -> tuple[str, ...]:
    """Of the keys a header may be, those that its unit and all its cells allow."""
    cells = (sheet.at(row, index) for row in range(last + 1, len(sheet.rows)))
    filled = list(islice((cell for cell in cells if not is_empty(cell)), 50))
    return tuple(path for path in paths if _fits(path, named.unit, filled)) or paths


def _fits(path: str, unit: str, cells: Sequence[str]) -> bool:
    kind = QUANTITY.get(KEYS[path].kind)
    if unit:
        return kind == units_kind(unit)
    rests = [_after_number(cell) for cell in cells]
    if kind is None:  # a bare number may be a name as well, one with a unit is none
        return not rests or any(rest is None or units_kind(rest) is None for rest in rests)
    return all(rest is not None and (not rest or units_kind(rest)) for rest in rests)


def _after_number(cell: str) -> str | None:
    """What follows the number of a cell; None where it begins with none."""
    try:
        return read_number(cell, "point").rest
    except CellError:
        return None


def _asked_once(columns: tuple[Column, ...]) -> tuple[Column, ...]:
    """The columns; two that stand for one key are both to be asked."""
    keys = [column.key for column in columns]
    return tuple(
        column._replace(key=None, paths=(column.key,), twice=True)
        if column.key is not None and keys.count(column.key) > 1
        else column
        for column in columns
    )


def _title(sheet: Sheet, first: int) -> str:
    """What stands above the header, in one line."""
    cells = (cell for row in sheet.rows[:first] for cell in row if cell)
    return " / ".join(cells)


def _unit_of_title(title: str) -> str:
    """The one unit of pressure that a title names, as in "all pressures in bar"; else none."""
    found = set()
    for piece in title.split(" / "):
        match = _TITLE_UNIT.search(piece)
        if match is None:
            continue
        try:
            find_unit(match["unit"], Pressure)
        except LimitcheckError:
            continue
        found.add(match["unit"])
    return found.pop() if len(found) == 1 else ""


def unit_problem(column: Column) -> LimitcheckError | None:
    """Why the unit in a header, such as mPa, cannot be taken; None where it can."""
    if column.key is None or not column.unit:
        return None
    kind = QUANTITY.get(KEYS[column.key].kind)
    quantity = next((q for q in QUANTITIES if kind == q.KIND), None)
    if quantity is None:
        return None
    try:
        find_unit(column.unit, quantity)
    except LimitcheckError as error:
        return error
    return None
