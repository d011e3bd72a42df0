"""Reading a pressure log row by row: any number of rows in constant memory."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import BinaryIO, NamedTuple

from ..units import Flow, Pressure, UnitError, find_unit
from .band import Kind
from .cells import NO_READING, CellError, moment, number, pascal_factor, within_reach
from .columns import name_and_unit
from .layout import Options, survey
from .lines import Lines, inert

_CACHED_CELLS = 50_000  # distinct texts; a display has a step, so a log repeats itself


@dataclass(frozen=True, slots=True)
class Choice:
    """Which rows of the log count, and how the band is formed."""

    method: str | None = None
    column: str | None = None
    since: datetime | None = None
    until: datetime | None = None
    coverage: float = 0.95
    confidence: float = 0.95
    interval: Kind = "auto"

    def takes(self, row: Logged) -> bool:
        """Whether the row is of the column and within the dates chosen."""
        since, until = (bound and _alike(bound, row.time) for bound in (self.since, self.until))
        return (
            (self.column is None or row.column == self.column)
            and (since is None or row.time >= since)
            and (until is None or row.time <= until)
        )


def _alike(bound: datetime, time: datetime) -> datetime:
    """A bound as the log writes its times: without a zone, or in the log's where it names none."""
    if time.tzinfo is None:
        return bound.replace(tzinfo=None)
    return bound if bound.tzinfo is not None else bound.replace(tzinfo=time.tzinfo)


class Logged(NamedTuple):
    """One row: line number, time, pressure [in the unit asked for], and what else it names.

    `flow` [mL/min] and `injections` are None where the log has none.
    """

    line: int
    time: datetime
    pressure: float
    method: str
    column: str
    phase: str
    flow: float | None = None
    injections: float | None = None


class Log:
    """A pressure log in a seekable binary stream, read as often as needed.

    `unit` is what `Logged.pressure` comes in: the one asked for, else the log's own. `without`
    holds, by what their cells say, how many rows without a pressure the last complete reading
    skipped, and the line of the first. Raises LogError.
    """

    def __init__(self, stream: BinaryIO, file: str, unit: str | None, options: Options) -> None:
        self.lines = Lines(stream, file)
        self.layout = survey(self.lines, options)
        self.unit = unit or self._own_unit()
        self.without: dict[str, tuple[int, int]] = {}
        self._pressures: dict[tuple[str, str], float] = {}
        self._factors: dict[str, float] = {}

    def refuse_unknown(self, choice: Choice) -> None:
        """Raise LogError where rows are to be chosen by what the log does not have."""
        for role, wanted in (("method", choice.method), ("column", choice.column)):
            if wanted is not None and role not in self.layout.columns:
                raise self.lines.error(
                    f"no column of the log says the {role}, so that no row can be chosen by it",
                    f"leave --{role} out to read every row, or say which column it is: "
                    f'--use {role}="..."',
                    line=self.layout.header_line,
                )

    def rows(self) -> Iterator[Logged]:
        """Every reading in file order, oldest first; raises LogError."""
        layout, lines, columns = self.layout, self.lines, self.layout.columns
        pressure, time, unit = columns["pressure"], columns["time"], columns.get("unit")
        names = [columns.get(role) for role in ("method", "column", "phase")]
        before: datetime | None = None
        without: dict[str, tuple[int, int]] = {}
        for _ in lines:
            if lines.number <= layout.header_line:
                continue
            cells = layout.row(lines)
            text = cells[pressure].strip()
            if text.casefold() in NO_READING:
                count, first = without.get(text, (0, lines.number))
                without[text] = (count + 1, first)
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
            except (CellError, UnitError) as error:
                column = lines.column(layout.delimiter, index)
                raise lines.error(error.message, error.advice, column=column) from None
            before = now
            method, serial, phase = (inert(cells[i]) if i is not None else "" for i in names)
            yield Logged(lines.number, now, value, method, serial, phase, *self._more(cells))
        self.without = without

    def _more(self, cells: Sequence[str]) -> tuple[float | None, float | None]:
        """Flow [mL/min] and injections of a row; raises LogError for what is no such number."""
        found: list[float | None] = []
        for role in ("flow", "injections"):
            index = self.layout.columns.get(role)
            text = cells[index].strip() if index is not None else ""
            if index is None or text.casefold() in NO_READING:
                found.append(None)
                continue
            try:
                unit = name_and_unit(self.layout.header[index])[1] if role == "flow" else None
                value, own = number(text, self.layout.decimal)
                if role == "flow":
                    if (spelling := own or unit) is None:
                        raise CellError(
                            "the flow has no unit", 'call the column, say, "flow (mL/min)"'
                        )
                    value *= float(Flow.of(1, find_unit(spelling, Flow)).to("mL/min"))
                elif own is not None:
                    raise CellError(f'"{text}" is not a number of injections', "write 1250")
                found.append(value)
            except (CellError, UnitError) as error:
                column = self.lines.column(self.layout.delimiter, index)
                raise self.lines.error(error.message, error.advice, column=column) from None
        return found[0], found[1]

    def sha256(self) -> str:
        """The digest of the file, in hexadecimal."""
        self.lines.stream.seek(0)
        digest = hashlib.sha256()
        while piece := self.lines.stream.read(1 << 16):
            digest.update(piece)
        return digest.hexdigest()

    def _own_unit(self) -> str:
        if self.layout.unit is None:
            raise self.lines.error(
                "no unit to give the result in",
                "give the profile, or --unit",
                line=self.layout.header_line,
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
        factor, wanted = self._factor(spelling), self._factor(self.unit)
        within_reach(value * factor, text)
        converted = value if factor == wanted else value * (factor / wanted)
        if len(self._pressures) >= _CACHED_CELLS:
            self._pressures.clear()
        self._pressures[text, row_unit] = converted
        return converted

    def _factor(self, spelling: str) -> float:
        if spelling not in self._factors:
            self._factors[spelling] = pascal_factor(spelling)
        return self._factors[spelling]


def _in_order(before: datetime, now: datetime) -> None:
    if (before.tzinfo is None) is not (now.tzinfo is None):
        raise CellError("times with and without a time zone in one log", "write every time alike")
    if now < before:
        raise CellError(
            f"{now:%Y-%m-%d %H:%M} comes after {before:%Y-%m-%d %H:%M}",
            "sort the rows by time, oldest first",
        )
