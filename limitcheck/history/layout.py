"""How a pressure log is laid out: delimiter, columns, decimal sign, order of dates.

Everything is worked out from the file and shown; where two layouts fit, it is an error that
names the option which settles it.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from itertools import islice

from ..units import UnitError
from .cells import DateOrder, DecimalSign, needs_order, order_evidence, pascal_factor
from .columns import name_and_unit, roles_of
from .lines import DELIMITERS, Lines, LogError, quoted
from .signs import ColumnSigns

_LONGEST_CELL = 300
_LISTED = 20
"""Names of columns in a message."""
_ENOUGH = 200  # rows seen before the layout is taken as settled


@dataclass(frozen=True, slots=True)
class Options:
    """What the user settles: each overrides what would be worked out from the file."""

    delimiter: str | None = None
    decimal: DecimalSign | None = None
    dates: DateOrder | None = None
    unit: str | None = None  # of pressures for which the log names none
    unit_from: str = "given"  # how it is known
    columns: dict[str, str] = field(default_factory=dict)  # role -> header name
    scale: tuple[float, float] | None = None  # pressures the log should hold, low to high [Pa]


@dataclass(frozen=True, slots=True)
class Layout:
    """The layout of one log; `columns` maps a role to the index of its column."""

    delimiter: str
    header: tuple[str, ...]
    header_line: int
    columns: dict[str, int]
    clock: int | None  # index of a time of day that belongs to the date column
    unit: str | None  # spelling; of pressures whose row names none
    unit_from: str
    decimal: DecimalSign = "point"
    decimal_from: str | None = None  # what decided where no number did
    dates: DateOrder | None = None

    def describe(self) -> list[str]:
        """What was worked out, one line each, for the user to confirm."""
        names = ", ".join(f"{r} = {quoted(self.header[i])}" for r, i in self.columns.items())
        told = [
            f"delimiter: {DELIMITERS[self.delimiter]}; decimal sign: {self.decimal}"
            + (f" ({self.decimal_from})" if self.decimal_from else ""),
            f"columns: {names}",
        ]
        if self.clock is not None:
            told.append(f"time of day: {quoted(self.header[self.clock])}")
        if self.dates is not None:
            told.append(f"dates: {self.dates}")
        told.append(f"unit: {f'{self.unit} ({self.unit_from})' if self.unit else self.unit_from}")
        return told

    def row(self, lines: Lines) -> list[str]:
        """The cells of the line being read, as many as the header has; raises LogError."""
        cells = lines.cells(self.delimiter)
        width = len(self.header)
        if len(cells) > width and not any(cell.strip() for cell in cells[width:]):
            cells = cells[:width]
        if len(cells) == width:
            if len(lines.text) > _LONGEST_CELL:
                _refuse_long(lines, self.delimiter, cells, self._read())
            return cells
        for other, name in DELIMITERS.items():
            if other != self.delimiter and len(lines.cells(other)) == width > 1:
                raise lines.error(
                    f"this row is separated by {name}, the header by {DELIMITERS[self.delimiter]}",
                    "separate every line alike",
                )
        raise lines.error(
            f"the row has {len(cells)} cells, the header {width}",
            'a comma inside a number or name? put that cell in quotation marks, as in "286,5"'
            if self.delimiter == "," and len(cells) > width
            else "write a cell for each column of the header",
            column=lines.column(self.delimiter, min(len(cells), width) - 1),
        )

    def _read(self) -> list[int]:
        clock = [] if self.clock is None else [self.clock]
        return [*self.columns.values(), *clock]


def _refuse_long(lines: Lines, delimiter: str, cells: Sequence[str], read: Iterable[int]) -> None:
    """Raise LogError for a cell that is far longer than a name, a number or a date."""
    for index in read:
        if len(cells[index]) > _LONGEST_CELL:
            raise lines.error(
                f"a cell of {len(cells[index]):,} characters",
                f"write at most {_LONGEST_CELL}; is this a pressure log?",
                column=lines.column(delimiter, index),
            )


def survey(lines: Lines, options: Options) -> Layout:
    """Work out the layout from the header and as many rows as it takes; raises LogError."""
    rows = iter(lines)
    return _from_rows(rows, lines, _from_header(rows, lines, options), options)


def _from_header(rows: Iterator[str], lines: Lines, options: Options) -> Layout:
    named = _first_line(rows, lines)
    delimiter = options.delimiter or named or _find_delimiter(lines, options)
    if delimiter not in DELIMITERS:
        raise lines.error(
            f"{quoted(delimiter)} is not a delimiter",
            "choose comma, semicolon, tab or vertical bar",
        )
    header = tuple(cell.strip() for cell in lines.cells(delimiter))
    _refuse_long(lines, delimiter, header, range(len(header)))
    listed = _listed(header)
    candidates = roles_of(header, options.columns)
    for role, name in options.columns.items():
        if role not in candidates:
            raise lines.error(f"no column is called {quoted(name)}", f"the header has {listed}")
    clock = None
    times = candidates.get("time", [])
    dates = [i for i in times if "date" in header[i].lower()]
    if len(times) == 2 and len(dates) == 1:
        clock = next(i for i in times if i != dates[0])
        candidates["time"] = dates
    columns = {}
    for role, indices in candidates.items():
        if len(indices) > 1:
            raise lines.error(
                f"{len(indices)} columns could be the {role}: "
                f"{_listed(header[i] for i in indices)}",
                f'choose one: --use {role}="{header[indices[0]]}"',
                column=lines.column(delimiter, indices[1]),
            )
        columns[role] = indices[0]
    for role in ("time", "pressure"):
        if role not in columns:
            raise lines.error(
                f"no {role} column in the header {listed}",
                f'call the column "{role}", or choose one: --use {role}="..."; lines above the '
                "header must go, or begin with #",
            )
    unit, unit_from = _unit(header[columns["pressure"]], options)
    if unit is not None:
        try:
            pascal_factor(unit)
        except UnitError as error:
            column = lines.column(delimiter, columns["pressure"])
            raise lines.error(error.message, error.advice, column=column) from None
    return Layout(delimiter, header, lines.number, columns, clock, unit, unit_from)


def _listed(names: Iterable[str]) -> str:
    told = [quoted(name) for name in islice(names, _LISTED + 1)]
    return ", ".join(told[:_LISTED]) + (", ..." if len(told) > _LISTED else "")


def _first_line(rows: Iterator[str], lines: Lines) -> str | None:
    """Go to the header; the delimiter that a line before it may name."""
    delimiter = None
    for line in rows:
        match = re.fullmatch(r"sep=(.)", line)  # the first line some spreadsheets write
        if match is None:
            return delimiter
        delimiter = match[1]
    raise lines.error(
        "the log is empty",
        "it needs a header line such as: time,pressure,unit - and a reading a line below it",
        line=1,
    )


def _find_delimiter(lines: Lines, options: Options) -> str:
    outside = re.sub(r'"[^"]*"', "", lines.text)
    present = [d for d in DELIMITERS if d in outside]
    if not present:
        raise lines.error(
            f"the header {quoted(lines.text)} has one column only",
            "separate the columns by comma, semicolon, tab or vertical bar",
        )
    fitting = [
        d for d in present if {"time", "pressure"} <= set(roles_of(lines.cells(d), options.columns))
    ]
    if len(fitting or present) > 1:
        names = " or ".join(DELIMITERS[d] for d in fitting or present)
        raise lines.error(
            f"the columns could be separated by {names}", "choose one, as in --delimiter comma"
        )
    return (fitting or present)[0]


def _unit(header: str, options: Options) -> tuple[str | None, str]:
    named = name_and_unit(header)[1]
    if named is not None:
        return named, f"from the header {quoted(header)}"
    if options.unit is not None:
        return options.unit, options.unit_from
    return None, "each row names its own"


def _from_rows(rows: Iterator[str], lines: Lines, layout: Layout, options: Options) -> Layout:
    """Settle decimal sign and order of dates by the first cells that allow one reading only."""
    time = layout.columns["time"]
    signs = ColumnSigns(
        layout.columns, layout.delimiter, layout.unit, options.decimal, options.scale
    )
    order = options.dates
    unordered: LogError | None = None
    seen = 0
    for seen, _ in enumerate(rows, 1):
        cells = layout.row(lines)
        signs.see(cells, lines)
        date = cells[time].strip()
        if order is None and needs_order(date):
            order = order_evidence(date)
            if order is None and unordered is None:
                unordered = lines.error(
                    f'"{date}" can be read with the day or the month first, and so can every '
                    "other date",
                    "write dates as in 2026-03-09, or add --dates day-first or --dates month-first",
                    column=lines.column(layout.delimiter, time),
                )
        if seen >= _ENOUGH and signs.settled and not (order is None and unordered):
            break
    if seen == 0:
        raise lines.error(
            "the log has a header and no readings",
            "write a reading a line below it",
            line=layout.header_line,
        )
    decimal, why = signs.decided()
    if unordered is not None and order is None:
        raise unordered
    return replace(layout, decimal=decimal, decimal_from=why, dates=order)
