"""Where the header of a sheet is, and what each column of it stands for.

A header stands in one row or in two, the upper one merged over several columns. What two keys may
be is asked; what is not known is left out, and both are said.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import islice, zip_longest
from typing import NamedTuple

from .columns import Column, beside_each_other
from .grid import HEADER_ROWS, Sheet
from .header_doubts import in_doubt
from .header_rows import are_units, texts_of, with_what_is_above
from .header_text import Named, header_of, units_kind
from .numbers import CellError, is_empty, read_number
from .titles import Places, cells_above, notes_above, title_text, unit_of_title
from .unsure_headers import ANY_PRESSURE, may_stand_for, stated_unit
from .whose_rating import with_ratings_asked
from .words import KEYS, QUANTITY, SheetKind, can_give, signs_of

LEFT_OUT = "leave out"
"""What a mapping says of a column that gives nothing."""


@dataclass(frozen=True, slots=True, eq=False)
class Header:
    """The header of a sheet: its rows (from 0, ends included), what it lists, its columns."""

    sheet: Sheet
    first: int
    last: int
    kind: SheetKind
    columns: tuple[Column, ...]
    above: Places = ()
    """The cells of its title."""
    end: int = 0
    """The row below its last one: that of the next header, or of the end of the sheet."""

    @property
    def body(self) -> range:
        """The rows under the header."""
        return range(self.last + 1, self.end)

    def of(self, path: str) -> Column | None:
        """The column that stands for a key."""
        return next((column for column in self.columns if column.key == path), None)

    def place(self, column: Column) -> str:
        """The name of the header's cell, the lowest that is filled."""
        rows = range(self.last, self.first - 1, -1)
        row = next((r for r in rows if self.sheet.at(r, column.at)), self.last)
        return self.sheet.cell_name(row, column.at)

    def is_again(self, row: int) -> bool:
        """Whether a row repeats a row of the header."""
        cells = self.sheet.rows[row]
        return any(_alike(cells, self.sheet.rows[r]) for r in range(self.first, self.last + 1))


def _alike(one: Sequence[str], other: Sequence[str]) -> bool:
    """Whether two rows have the same cells, but for case; most differ in the first one."""
    pairs = zip_longest(one, other, fillvalue="")
    return all(a == b or _compared(a) == _compared(b) for a, b in pairs)


def _compared(cell: str) -> str:
    return "" if is_empty(cell) else cell.casefold()


class Chosen(NamedTuple):
    """What a mapping says of headers: keys, and units, by header in small letters."""

    keys: Mapping[str, str]
    units: Mapping[str, str]


def find_header(sheet: Sheet, chosen: Chosen) -> Header | None:
    """The first header of a sheet; None for one in which fewer than two columns are known."""
    found = _best(sheet, range(min(HEADER_ROWS, len(sheet.rows))), chosen)
    if found is None:
        return None
    first, last, texts = found
    return _header(sheet, (first, last, len(sheet.rows)), texts, chosen, cells_above(sheet, first))


def find_headers(sheet: Sheet, chosen: Chosen) -> Iterator[Header]:
    """The headers of a sheet: each begins a table of its own, with its own units and order."""
    above = find_header(sheet, chosen)
    row = len(sheet.rows) if above is None else above.last + 1
    while above is not None and row < len(sheet.rows):
        found = None
        if is_heading(sheet.rows[row], chosen) and not above.is_again(row):
            found = _best(sheet, range(max(above.last + 1, row - 1), row + 1), chosen)
        if found is None:
            row += 1
            continue
        first, last, texts = found
        yield replace(above, end=first)
        notes = notes_above(sheet, above.last + 1, first)
        above = _header(sheet, (first, last, len(sheet.rows)), texts, chosen, notes, above.kind)
        row = last + 1
    if above is not None:
        yield above


def is_heading(cells: Sequence[str], chosen: Chosen) -> bool:
    """Whether the cells of a row are headers: two and half of them known, and no number."""
    filled = [cell for cell in cells if not is_empty(cell)]
    if len(filled) < 2 or any(_after_number(cell) is not None for cell in filled):
        return False
    known = _score(filled, chosen)[0]
    return known >= 2 and 2 * known >= len(filled)


def _best(
    sheet: Sheet, rows: Iterable[int], chosen: Chosen
) -> tuple[int, int, dict[int, str]] | None:
    """First and last row, and texts, of the header that is best known among those rows."""
    best: tuple[tuple[int, int], int, int, dict[int, str]] | None = None
    for first in rows:
        for last in (first, first + 1, first + 2):
            if last - first == 2 and not are_units(sheet, last):
                continue
            if not sheet.hidden_rows.isdisjoint(range(first, last + 1)):
                continue  # a unit that nobody sees
            texts = dict(texts_of(sheet, first, last))
            score = _score(texts.values(), chosen)
            if score[0] >= 2 and (best is None or score > best[0]):
                best = (score, first, last, texts)
    return None if best is None else best[1:]


def _header(
    sheet: Sheet,
    rows: tuple[int, int, int],
    texts: Mapping[int, str],
    chosen: Chosen,
    title: Places,
    above: SheetKind | None = None,
) -> Header:
    """A header in the rows `first` to `last`, of a table up to `end`."""
    first, last, end = rows
    texts = dict(with_what_is_above(sheet, first - 1, texts))
    kind = _kind(sheet, list(texts.values()), chosen, above)
    said = title_text(sheet, title)
    unit = unit_of_title(said)
    columns = tuple(
        _column(sheet, range(last + 1, end), index, text, kind, chosen, unit)
        for index, text in texts.items()
    )
    rows_of_it = range(first, last + 1)
    columns = tuple(
        one if one.text.casefold() in chosen.keys else in_doubt(one, sheet, rows_of_it, end)
        for one in columns
    )

    def cells(at: int) -> list[str]:
        return [sheet.at(row, at) for row in range(last + 1, end) if row not in sheet.hidden_rows]

    names = (said, "" if sheet.lone else sheet.name)
    columns = with_ratings_asked(columns, names, cells, chosen.keys)
    columns = beside_each_other(columns, kind, cells)
    return Header(sheet, first, last, kind, columns, title, end)


def _score(texts: Iterable[str], chosen: Chosen) -> tuple[int, int]:
    """How many texts are headers, and how many of these have a unit, as a second row may give."""
    known = units = 0
    for text in texts:
        found = [header_of(text, kind) for kind in ("methods", "instruments", "columns")]
        known += text.casefold() in chosen.keys or any(named.paths for named in found)
        units += any(named.paths and named.unit for named in found)
    return known, units


def _kind(sheet: Sheet, texts: Sequence[str], chosen: Chosen, above: SheetKind | None) -> SheetKind:
    """What a table lists: methods where it has cutoffs or methods, else what it names.

    The name of the sheet tells of its first table only; `above` is what that one lists.
    """
    if not sheet.lone and above is None:
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
    if tables & {"instrument", "column"} or above is None:
        return "instruments" if "instrument" in tables else "columns"
    return above


def _column(
    sheet: Sheet,
    body: range,
    index: int,
    text: str,
    kind: SheetKind,
    chosen: Chosen,
    title_unit: str,
) -> Column:
    hidden = index in sheet.hidden_columns
    named = header_of(text, kind)
    given = chosen.keys.get(text.casefold())
    if given is not None and given != LEFT_OUT and not can_give(kind, given):
        given = None  # it was said of a header of another sheet
    if given == LEFT_OUT or hidden:
        return Column(index, text, None, hidden=hidden)
    if given is None and not named.paths:  # a pressure that is left out would be missed
        unsure = may_stand_for(text, kind)
        kinds = {KEYS[path].kind for path in unsure}
        if unsure and unsure[0].endswith(".rating") and not _has_numbers(sheet, body, index):
            unsure = ()  # "good"
        if all(is_empty(sheet.at(row, index)) for row in body) and "pressure" not in kinds:
            unsure = ()
        return Column(index, text, None, paths=unsure)
    paths = (given,) if given is not None else named.paths
    if given is None and paths == ("conditions.gradient",) and not _has_numbers(sheet, body, index):
        return Column(index, text, None, paths=paths)  # "yes": it is not told which
    if given is None and len(paths) == 1 and _is_name_with_pressure(paths[0], named.unit):
        return Column(index, text, None, paths=ANY_PRESSURE)
    if len(paths) > 1:
        paths = _not_ruled_out(sheet, body, index, paths, named)
    unit, unit_from = chosen.units.get(text.casefold(), ""), "the mapping"
    if not unit:
        unit, unit_from = named.unit, f'the header "{text}"'
    if not unit and given is not None:
        unit = stated_unit(text, KEYS[given].kind)
    if len(paths) != 1:
        return Column(index, text, None, unit, unit_from if unit else "", paths)
    if not unit and title_unit and KEYS[paths[0]].kind in ("pressure", "band"):
        unit, unit_from = title_unit, "the title"
    return Column(index, text, paths[0], unit, unit_from if unit else "")


def _is_name_with_pressure(path: str, unit: str) -> bool:
    """Whether a header would be a name, as "Column" is, and has a unit of pressure."""
    return bool(unit) and KEYS[path].kind == "text" and units_kind(unit) == "pressure"


def _has_numbers(sheet: Sheet, body: range, index: int) -> bool:
    return any(map(str.isdigit, "".join(sheet.at(row, index) for row in body)))


def _not_ruled_out(
    sheet: Sheet, body: range, index: int, paths: tuple[str, ...], named: Named
) -> tuple[str, ...]:
    """Of the keys a header may be, those that its unit and all its cells allow."""
    cells = (sheet.at(row, index) for row in body)
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
