"""How a pressure log is laid out: delimiter, columns, decimal sign, order of dates.

Everything is worked out from the file and shown; where two layouts fit, it is an error that
names the option which settles it.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from typing import BinaryIO

from .cells import (
    CellError,
    DateOrder,
    DecimalSign,
    decimal_evidence,
    needs_order,
    order_evidence,
    pascal_factor,
)
from .lines import DELIMITERS, LogError, column_of, lines, quoted, split

ROLES = ("time", "pressure", "unit", "method", "column", "phase")
_NAMES = {
    "time": "time, date, datetime, timestamp, date time, date and time, date/time, run date, "
    "started, start time, injection time, recorded",
    "pressure": "pressure, system pressure, pump pressure, column pressure, back pressure, "
    "pressure reading, reading",
    "unit": "unit, units, pressure unit",
    "method": "method, method id, method name",
    "column": "column, column serial, column serial number, column id, column no, serial, "
    "serial number, serial no",
    "phase": "phase, stage, step",
}
_ROLE_OF = {name: role for role, names in _NAMES.items() for name in names.split(", ")}
_WITH_UNIT = re.compile(
    r"(.+?)\s*(?:[(\[]\s*(.+?)\s*[)\]]|(?: in |,)\s*(\S+)|_(bar|psi|MPa|kPa))", re.IGNORECASE
)
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
    decimal: DecimalSign = DecimalSign.POINT
    dates: DateOrder | None = None

    def describe(self) -> list[str]:
        """What was worked out, one line each, for the user to confirm."""
        names = {role: self.header[index] for role, index in self.columns.items()}
        told = [f"delimiter: {DELIMITERS[self.delimiter]}; decimal sign: {self.decimal.value}"]
        told.append("columns: " + ", ".join(f"{r} = {quoted(n)}" for r, n in names.items()))
        if self.clock is not None:
            told.append(f"time of day: {quoted(self.header[self.clock])}")
        if self.dates is not None:
            told.append(f"dates: {self.dates.value}")
        if self.unit is not None:
            told.append(f"unit: {self.unit} ({self.unit_from})")
        else:
            told.append(f"unit: {self.unit_from}")
        return told


def survey(stream: BinaryIO, file: str, options: Options) -> Layout:
    """Work out the layout from the header and as many rows as it takes; raises LogError."""
    rows = lines(stream, file)
    layout = _from_header(rows, file, options)
    return _from_rows(rows, file, layout, options)


def _from_header(rows: Iterator[tuple[int, str]], file: str, options: Options) -> Layout:
    line_number, line, delimiter = _first_line(rows, file)
    delimiter = options.delimiter or delimiter
    if delimiter is not None and delimiter not in DELIMITERS:
        raise LogError(
            file,
            line_number,
            1,
            f"{quoted(delimiter)} is not a delimiter",
            "choose comma, semicolon, tab or vertical bar",
        )
    if delimiter is None:
        delimiter = _find_delimiter(line, file, line_number, options)
    header = tuple(cell.strip() for cell in split(line, delimiter, file, line_number))
    columns = _roles(header, options)
    for role in options.columns:
        if role not in columns:
            raise LogError(
                file,
                line_number,
                1,
                f"no column is called {quoted(options.columns[role])}",
                f"the header has {', '.join(quoted(h) for h in header)}",
            )
    clock = None
    times = columns.get("time", [])
    if len(times) == 2:
        dates = [i for i in times if "date" in header[i].lower()]
        if len(dates) == 1:
            clock = next(i for i in times if i != dates[0])
            columns["time"] = dates
    found = {}
    for role, indices in columns.items():
        if len(indices) > 1:
            raise LogError(
                file,
                line_number,
                column_of(line, delimiter, indices[1]),
                f"{len(indices)} columns could be the {role}: "
                f"{', '.join(quoted(header[i]) for i in indices)}",
                f'choose one: --use {role}="{header[indices[0]]}"',
            )
        found[role] = indices[0]
    for role in ("time", "pressure"):
        if role not in found:
            raise LogError(
                file,
                line_number,
                1,
                f"no {role} column in the header {', '.join(quoted(h) for h in header)}",
                f'call the column "{role}", or choose one: --use {role}="..."; lines above the '
                "header must go, or begin with #",
            )
    unit, unit_from = _unit(header[found["pressure"]], options)
    if unit is not None:
        try:
            pascal_factor(unit)
        except CellError as error:
            column = column_of(line, delimiter, found["pressure"])
            raise LogError(file, line_number, column, error.message, error.advice) from None
    return Layout(delimiter, header, line_number, found, clock, unit, unit_from)


def _first_line(rows: Iterator[tuple[int, str]], file: str) -> tuple[int, str, str | None]:
    """Number and text of the header line, and the delimiter a line before it may name."""
    delimiter = None
    for line_number, line in rows:
        if match := re.fullmatch(r"sep=(.)", line):  # the first line some spreadsheets write
            delimiter = match[1]
        elif not line.startswith("#"):
            return line_number, line, delimiter
    raise LogError(
        file,
        1,
        1,
        "the log is empty",
        "it needs a header line such as: time,pressure,unit - and a reading a line below it",
    )


def _find_delimiter(line: str, file: str, line_number: int, options: Options) -> str:
    outside = re.sub(r'"[^"]*"', "", line)
    present = [d for d in DELIMITERS if d in outside]
    if not present:
        raise LogError(
            file,
            line_number,
            1,
            f"the header {quoted(line)} has one column only",
            "separate the columns by comma, semicolon, tab or vertical bar",
        )
    fitting = [
        d
        for d in present
        if {"time", "pressure"} <= set(_roles(split(line, d, file, line_number), options))
    ]
    if len(fitting or present) > 1:
        names = " or ".join(DELIMITERS[d] for d in fitting or present)
        raise LogError(
            file,
            line_number,
            1,
            f"the columns could be separated by {names}",
            "choose one, as in --delimiter comma",
        )
    return (fitting or present)[0]


def _roles(header: Sequence[str], options: Options) -> dict[str, list[int]]:
    """Candidates for each role by the names of the columns."""
    roles: dict[str, list[int]] = {}
    chosen = {name.strip().casefold(): role for role, name in options.columns.items()}
    for index, name in enumerate(header):
        plain = name.strip().casefold()
        role = chosen.get(plain)
        if role is None:
            bare, _ = _name_and_unit(plain)
            role = _ROLE_OF.get(bare.replace("_", " ").strip())
            if role in options.columns:
                continue
        if role is not None:
            roles.setdefault(role, []).append(index)
    return {role: roles[role] for role in ROLES if role in roles}


def _name_and_unit(name: str) -> tuple[str, str | None]:
    """A header such as "pressure (bar)" as name and unit spelling."""
    match = _WITH_UNIT.fullmatch(name.strip())
    return (match[1], match[2] or match[3] or match[4]) if match else (name, None)


def _unit(header: str, options: Options) -> tuple[str | None, str]:
    named = _name_and_unit(header)[1]
    if named is not None:
        return named, f"from the header {quoted(header)}"
    if options.unit is not None:
        return options.unit, options.unit_from
    return None, "each row names its own"


def _from_rows(
    rows: Iterator[tuple[int, str]], file: str, layout: Layout, options: Options
) -> Layout:
    """Settle decimal sign and order of dates by the first cells that allow one reading only."""
    pressure, time = layout.columns["pressure"], layout.columns["time"]
    sign, order = options.decimal, options.dates
    unsure: tuple[int, int, str] | None = None  # a cell that could hold thousands
    unordered: tuple[int, int, str] | None = None
    seen = 0
    for line_number, line in rows:
        if line.startswith("#"):
            continue
        cells = split_row(line, layout, file, line_number)
        seen += 1
        text = cells[pressure].strip()
        evidence, thousands = decimal_evidence(text)
        if sign is None and evidence is not None:
            if evidence is DecimalSign.POINT or not thousands:
                sign = evidence
            elif unsure is None:
                unsure = (line_number, column_of(line, layout.delimiter, pressure), text)
        date = cells[time].strip()
        if order is None and needs_order(date):
            order = order_evidence(date)
            if order is None and unordered is None:
                unordered = (line_number, column_of(line, layout.delimiter, time), date)
        if seen >= _ENOUGH and not (sign is None and unsure) and not (order is None and unordered):
            break
    if seen == 0:
        raise LogError(
            file,
            layout.header_line,
            1,
            "the log has a header and no readings",
            "write a reading a line below it",
        )
    if unsure is not None and sign is not DecimalSign.COMMA and options.decimal is None:
        line_number, column, text = unsure
        digits = text.replace(",", "")
        raise LogError(
            file,
            line_number,
            column,
            f'"{text}" has a comma: between thousands, or decimal?',
            f'write "{digits}" or "{text.replace(",", ".")}", or say --decimal comma',
        )
    if unordered is not None and order is None:
        line_number, column, text = unordered
        raise LogError(
            file,
            line_number,
            column,
            f'"{text}" can be read with the day or the month first, and so can every other date',
            "write dates as in 2026-03-09, or say --dates day-first or --dates month-first",
        )
    return replace(layout, decimal=sign or DecimalSign.POINT, dates=order)


def split_row(line: str, layout: Layout, file: str, line_number: int) -> list[str]:
    """The cells of a row, as many as the header has; raises LogError."""
    cells = split(line, layout.delimiter, file, line_number)
    width = len(layout.header)
    if len(cells) == width:
        return cells
    if len(cells) > width and not any(cell.strip() for cell in cells[width:]):
        return cells[:width]
    where = column_of(line, layout.delimiter, min(len(cells), width) - 1)
    for other, name in DELIMITERS.items():
        if other != layout.delimiter and len(split(line, other, file, line_number)) == width > 1:
            raise LogError(
                file,
                line_number,
                1,
                f"this row is separated by {name}, the header by {DELIMITERS[layout.delimiter]}",
                "separate every line alike",
            )
    comma = layout.delimiter == "," and len(cells) > width
    raise LogError(
        file,
        line_number,
        where,
        f"the row has {len(cells)} cells, the header {width}",
        'a comma inside a number or name? put that cell in quotation marks, as in "286,5"'
        if comma
        else "write a cell for each column of the header",
    )
