"""Reading a pressure log row by row: any number of rows in constant memory."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime
from typing import BinaryIO, NamedTuple

from ..units import Pressure, find_unit
from .cells import CellError, moment, number, pascal_factor, within_reach
from .layout import Layout, Options, split_row, survey
from .lines import LogError, column_of, inert, lines

_CACHED_CELLS = 50_000  # distinct texts; a display has a step, so a log repeats itself


class Logged(NamedTuple):
    """One row: line number, time, pressure [in the unit asked for], and what else it names."""

    line: int
    time: datetime
    pressure: float
    method: str
    column: str
    phase: str


class Log:
    """A pressure log in a seekable binary stream, read as often as needed.

    `unit` is what `Logged.pressure` comes in: the one asked for, else the log's own. `blank`
    counts the rows without a pressure that the last complete reading passed over. Raises
    LogError.
    """

    def __init__(self, stream: BinaryIO, file: str, unit: str | None, options: Options) -> None:
        self.file = file
        self.layout: Layout = survey(stream, file, options)
        self.unit = unit or self._own_unit()
        self.blank = 0
        self._stream = stream
        self._pressures: dict[tuple[str, str], float] = {}
        self._factors: dict[str, float] = {}

    def rows(self) -> Iterator[Logged]:
        """Every reading in file order, oldest first; raises LogError."""
        layout = self.layout
        columns = layout.columns
        pressure, time, unit = columns["pressure"], columns["time"], columns.get("unit")
        names = [columns.get(role) for role in ("method", "column", "phase")]
        before: datetime | None = None
        blank = 0
        for line_number, line in lines(self._stream, self.file):
            if line_number <= layout.header_line or line.startswith("#"):
                continue
            cells = split_row(line, layout, self.file, line_number)
            text = cells[pressure].strip()
            if not text:
                blank += 1
                continue
            index = pressure
            try:
                value = self._pressure(text, cells[unit].strip() if unit is not None else "")
                index = time
                date = cells[time].strip()
                if layout.clock is not None:
                    date = f"{date} {cells[layout.clock].strip()}"
                now = moment(date, layout.dates)
                if before is not None:
                    _in_order(before, now)
            except CellError as error:
                column = column_of(line, layout.delimiter, index)
                raise LogError(
                    self.file, line_number, column, error.message, error.advice
                ) from None
            before = now
            method, column_serial, phase = (inert(cells[i]) if i is not None else "" for i in names)
            yield Logged(line_number, now, value, method, column_serial, phase)
        self.blank = blank

    def _own_unit(self) -> str:
        if self.layout.unit is None:
            raise LogError(
                self.file,
                self.layout.header_line,
                1,
                "no unit to give the result in",
                "give the profile, or --unit",
            )
        return find_unit(self.layout.unit, Pressure)

    def _pressure(self, text: str, row_unit: str) -> float:
        """Pressure [in `self.unit`] of one cell and its row's unit."""
        known = self._pressures.get((text, row_unit))
        if known is not None:
            return known
        value, spelling = number(text, self.layout.decimal)
        spelling = spelling or row_unit or self.layout.unit
        if spelling is None:
            raise CellError(
                f'"{text}" has no unit, and neither has its row',
                "fill in the unit column, or give the profile or --unit",
            )
        factor = self._factor(spelling)
        within_reach(value * factor, text)
        wanted = self._factor(self.unit)
        converted = value if factor == wanted else value * (factor / wanted)
        if len(self._pressures) >= _CACHED_CELLS:
            self._pressures.clear()
        self._pressures[text, row_unit] = converted
        return converted

    def _factor(self, spelling: str) -> float:
        factor = self._factors.get(spelling)
        if factor is None:
            factor = self._factors[spelling] = pascal_factor(spelling)
        return factor


def _in_order(before: datetime, now: datetime) -> None:
    if (before.tzinfo is None) is not (now.tzinfo is None):
        raise CellError("times with and without a time zone in one log", "write every time alike")
    if now < before:
        raise CellError(
            f"{now:%Y-%m-%d %H:%M} comes after {before:%Y-%m-%d %H:%M}",
            "sort the rows by time, oldest first",
        )
