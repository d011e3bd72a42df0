"""A column's life: its pressure against its injections, and when it will be worn.

The pressure at which a column is worn is the laboratory's own. A straight line through the readings
of one column is followed to it; where the line reaches it has an interval of 95 % (Fieller 1954,
from memory), wider where neighbouring readings are alike. Nothing is said of a day where the slope
is not beyond doubt. With the flow of each run the pressure is taken to the method's flow, in
proportion (Darcy): laminar, at one temperature and mobile phase.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta
from itertools import pairwise, takewhile
from statistics import fmean
from typing import BinaryIO

from ..profile.model import Profile
from .autocorrelation import goes, remember
from .layout import Options
from .log import Choice, Log

FEWEST = 12
_MOST = 1000  # readings of a column kept; of more, every second, fourth, ... one
_FITTED = 150  # of them fitted
_MOST_COLUMNS = 50
_OFF = 3.0  # standard errors
_LATEST = 3650  # days ahead that are still named
_STUDENT = (1.96, 2.4)  # t for 95 %: 1.96 + 2.4 / degrees of freedom, within 2 % from 5 on


@dataclass(frozen=True, slots=True)
class Used:
    """A reading of a column: how many injections it had, when, and its pressure."""

    injections: float
    time: datetime
    pressure: float


@dataclass(frozen=True, slots=True)
class WornAt:
    """Where the line reaches the pressure of a worn column; low and high are its interval.

    `high` None: perhaps never. Dates are None beyond ten years.
    """

    low: float
    central: float
    high: float | None
    earliest: datetime | None
    date: datetime | None
    latest: datetime | None


@dataclass(frozen=True, slots=True)
class Life:
    """One column; pressures in `unit`.

    `counted`: the log counts the injections, else its rows are counted. `reference_flow` [mL/min]
    is what pressures are taken to; None where the log has no flows or the profile none. `start` and
    `end` are the line at both ends; `why_none` says why no `worn_at` is given.
    """

    serial: str
    unit: str
    readings: int
    counted: bool
    reference_flow: float | None
    worn: float
    start: float
    end: float
    rises: bool
    reached: datetime | None
    worn_at: WornAt | None
    why_none: str | None
    points: tuple[Used, ...]


def find_lives(
    stream: BinaryIO,
    path: str,
    options: Options,
    choice: Choice,
    profile: Profile | None,
    worn: float,
) -> tuple[Life, ...]:
    """The life of each column of a log, in the order they come.

    `worn` is in the profile's unit, else the log's. Raises LogError for a log that cannot be used.
    """
    log = Log(stream, path, profile.instrument.pressure_unit if profile else None, options)
    log.refuse_unknown(choice)
    flow = profile.conditions.flow if profile is not None and profile.conditions else None
    reference = float(flow.to("mL/min")) if flow is not None else None
    with_flow = "flow" in log.layout.columns
    counted = "injections" in log.layout.columns
    method = choice.method or (profile.method.id if profile is not None else None)
    columns: dict[tuple[str, str], _Readings] = {}
    for row in log.rows():
        if not choice.takes(row) or row.pressure <= 0:
            continue
        if row.method and method is not None and row.method.casefold() != method.casefold():
            continue
        if (row.column, row.phase) not in columns and len(columns) == _MOST_COLUMNS:
            raise log.lines.error(
                f"more than {_MOST_COLUMNS} columns and phases",
                "take one column with --column SERIAL, or name the right one with --use",
            )
        readings = columns.setdefault((row.column, row.phase), _Readings())
        pressure = row.pressure
        if with_flow:
            if row.flow is None or row.flow <= 0:
                continue
            reference = reference or row.flow  # without a profile, that of the first run
            pressure *= reference / row.flow
        if counted and row.injections is None:
            continue
        number = row.injections if row.injections is not None else float(readings.count + 1)
        readings.add(Used(number, row.time, pressure))
    return tuple(
        _life(
            f"{serial}, {phase}" if phase else serial,
            readings,
            log.unit,
            counted,
            reference if with_flow else None,
            worn,
        )
        for (serial, phase), readings in columns.items()
        if readings.kept
    )


class _Readings:
    """The readings of one column, in bounded memory."""

    def __init__(self) -> None:
        self.kept: list[Used] = []
        self.count = 0
        self._every = 1

    def add(self, used: Used) -> None:
        if self.count % self._every == 0:
            self.kept.append(used)
        self.count += 1
        if len(self.kept) > _MOST:
            self.kept = self.kept[::2]
            self._every *= 2


def _life(
    serial: str, readings: _Readings, unit: str, counted: bool, reference: float | None, worn: float
) -> Life:
    points = readings.kept
    step = max(1, math.ceil(len(points) / _FITTED))
    fitted = points[::step]
    xs, ys = [p.injections for p in fitted], [p.pressure for p in fitted]
    reached = next(_lasting(points, worn), None)
    line = _fit(xs, ys)
    if line is not None and line.misses_the_end and len(xs) >= 2 * FEWEST:
        xs, ys = xs[len(xs) // 2 :], ys[len(ys) // 2 :]  # what it did lately
        line = _fit(xs, ys)
    why, at = None, None
    if line is None:
        why = f"fewer than {FEWEST} readings, or the injections do not count up"
    elif reached is not None:
        why = "it is reached"
    elif ys[-1] >= worn:
        why = "the last reading is at or above it; read again"
    elif line.misses_the_end:
        why = "the pressure does not follow a straight line, and lately leaves it"
    elif not line.rises:
        why = "the pressure does not rise beyond doubt"
    else:
        at = _worn_at(line, worn, points)
        why = None if at is not None else "the line does not tell where, or is above it already"
    return Life(
        serial=serial,
        unit=unit,
        readings=readings.count,
        counted=counted,
        reference_flow=reference,
        worn=worn,
        start=line.at(xs[0]) if line is not None else ys[0],
        end=line.at(xs[-1]) if line is not None else ys[-1],
        rises=line is not None and line.rises,
        reached=reached,
        worn_at=at,
        why_none=why,
        points=tuple(fitted),
    )


def _lasting(points: list[Used], worn: float) -> Iterator[datetime]:
    """Since when every reading is at or above the pressure of a worn column, three or more."""
    late = list(takewhile(lambda used: used.pressure >= worn, reversed(points)))
    if len(late) >= 3:
        yield late[-1].time


@dataclass(frozen=True, slots=True)
class _Line:
    middle: float
    mean: float
    slope: float
    spread: float  # sum of squares of the injections around their middle
    variance: float  # of a reading around the line, widened by its memory
    n: int
    rises: bool
    misses_the_end: bool  # the last readings lie off the line by more than chance

    def at(self, injections: float) -> float:
        return self.mean + self.slope * (injections - self.middle)


def _fit(xs: list[float], ys: list[float]) -> _Line | None:
    n = len(xs)
    if n < FEWEST or any(b < a for a, b in pairwise(xs)):
        return None
    middle, mean = fmean(xs), fmean(ys)
    spread = math.fsum((x - middle) ** 2 for x in xs)
    if spread == 0:
        return None
    slope = math.fsum((x - middle) * (y - mean) for x, y in zip(xs, ys, strict=True)) / spread
    rest = [y - mean - slope * (x - middle) for x, y in zip(xs, ys, strict=True)]
    deviation = math.sqrt(math.fsum(r * r for r in rest) / (n - 2))
    least = max(deviation / 100, 1e-9)
    memory = remember(rest, least)
    rises = slope > 0 and goes(xs, ys, least)
    variance = deviation**2 * memory.of_mean
    late = max(4, n // 8)
    # Not widened by the memory of the readings: a curve looks like one.
    off = abs(fmean(rest[-late:])) > _OFF * max(deviation, least) / math.sqrt(late)
    return _Line(middle, mean, slope, spread, variance, n, rises, off)


def _worn_at(line: _Line, worn: float, points: list[Used]) -> WornAt | None:
    """Fieller's interval: |line(x) - worn| <= t s sqrt(1/n + (x - middle)^2 / spread)."""
    t = _STUDENT[0] + _STUDENT[1] / (line.n - 2)
    noise = t * t * line.variance
    a, b = line.slope**2 - noise / line.spread, line.slope * (line.mean - worn)
    c = (line.mean - worn) ** 2 - noise / line.n
    central = line.middle + (worn - line.mean) / line.slope
    discriminant = b * b - a * c
    if discriminant < 0 or central <= points[-1].injections:
        return None
    if a > 0:
        low, high = (line.middle + (-b + s * math.sqrt(discriminant)) / a for s in (-1, 1))
        ends: tuple[float, float | None] = low, high
    else:
        ends = line.middle + (-b + math.sqrt(discriminant)) / a, None
    low, high_or_none = max(ends[0], points[-1].injections), ends[1]
    dates = [_date(x, points) for x in (low, max(central, low), high_or_none)]
    return WornAt(low, max(central, low), high_or_none, *dates)


def _date(injections: float | None, points: list[Used]) -> datetime | None:
    """When a column will have had so many, at the pace so far."""
    first, last = points[0], points[-1]
    days = (last.time - first.time) / timedelta(days=1)
    made = last.injections - first.injections
    if injections is None or days <= 0 or made <= 0:
        return None
    ahead = (injections - last.injections) * days / made
    return last.time + timedelta(days=ahead) if ahead <= _LATEST else None
