"""Summaries of any number of readings in constant memory.

An instrument shows pressure in steps, so a log of a million rows holds a few hundred distinct
values: counting them is exact and small, and gives median, quantiles and spread without a sort.
Where a log holds more distinct values than `MOST_DISTINCT` (computed values, converted ones),
they are rounded to 6, then 5, 4, 3 significant digits, and `Tally.digits` says to how many.
"""

from __future__ import annotations

import math
from collections import deque
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from statistics import median

MOST_DISTINCT = 100_000
MOST_LISTED = 1000
_NEIGHBOURS = 4  # on each side


class Tally:
    """How often each value occurred."""

    def __init__(self) -> None:
        self.counts: dict[float, int] = {}
        self.digits: int | None = None  # significant digits kept; None: every value exact

    def add(self, value: float, times: int = 1) -> None:
        """Count `value` that many times more."""
        if self.digits is not None:
            value = float(f"{value:.{self.digits - 1}e}")
        self.counts[value] = self.counts.get(value, 0) + times
        if len(self.counts) > MOST_DISTINCT:
            self._coarsen()

    def _coarsen(self) -> None:
        self.digits = 6 if self.digits is None else self.digits - 1
        old, self.counts = self.counts, {}
        for value, times in old.items():
            self.add(value, times)

    def where(self, holds: Callable[[float], bool]) -> Tally:
        """The part of it whose values hold."""
        part = Tally()
        part.digits = self.digits
        part.counts = {v: c for v, c in self.counts.items() if holds(v)}
        return part

    def less(self, others: Tally) -> Tally:
        """The tally without these values, rounded alike."""
        left = Tally()
        left.digits = self.digits
        for value, times in self.counts.items():
            if (kept := times - others.counts.get(value, 0)) > 0:
                left.counts[value] = kept
        return left

    def __len__(self) -> int:
        return sum(self.counts.values())

    @property
    def mean(self) -> float:
        """Arithmetic mean."""
        return math.fsum(v * c for v, c in self.counts.items()) / len(self)

    @property
    def deviation(self) -> float:
        """Standard deviation with n - 1; 0 for a single value."""
        mean, n = self.mean, len(self)
        if n < 2:
            return 0.0
        return math.sqrt(math.fsum(c * (v - mean) ** 2 for v, c in self.counts.items()) / (n - 1))

    def at_rank(self, *ranks: int) -> list[float]:
        """The values at these ranks (1 = smallest) of the sorted readings."""
        ordered = sorted(self.counts.items())
        found = []
        for rank in ranks:
            passed = 0
            for value, times in ordered:
                passed += times
                if passed >= rank:
                    found.append(value)
                    break
        return found

    @property
    def median(self) -> float:
        """Median."""
        n = len(self)
        low, high = self.at_rank((n + 1) // 2, n // 2 + 1)
        return (low + high) / 2

    def absolute_deviation(self) -> float:
        """Median of the distances from the median (MAD)."""
        middle = self.median
        distances = Tally()
        for value, times in self.counts.items():
            distances.add(abs(value - middle), times)
        return distances.median

    def step(self) -> float:
        """Step of the display: the largest that all values are multiples of; 0 where none is."""
        for decimals in range(5):
            scale: int = 10**decimals
            scaled = [round(v * scale) for v in self.counts]
            if all(
                math.isclose(v * scale, s, rel_tol=1e-12, abs_tol=1e-9)
                for v, s in zip(self.counts, scaled, strict=True)
            ):
                return float(math.gcd(*scaled) if len(scaled) > 1 else 1) / scale
        return 0.0


@dataclass(frozen=True, slots=True)
class Point:
    """A reading, or the mean of neighbouring ones with the place and time of the first.

    `average` is the moving average there.
    """

    line: int
    time: datetime
    pressure: float
    readings: int = 1
    average: float | None = None


class Blocks:
    """Means of `size` readings each, in file order; the last is of half to one and a half."""

    def __init__(self, size: int) -> None:
        self.size = size
        self.end = datetime.min
        self._done: list[Point] = []
        self._first: Point | None = None  # of the block not yet full
        self._sum = 0.0
        self._count = 0

    def add(self, point: Point) -> None:
        """Take in the next reading."""
        self._first = self._first or point
        self._sum += point.pressure
        self._count += 1
        self.end = point.time
        if self._count == self.size:
            self._close()

    def _close(self) -> None:
        if self._first is not None:
            mean = self._sum / self._count
            self._done.append(Point(self._first.line, self._first.time, mean, self._count))
        self._first, self._sum, self._count = None, 0.0, 0

    def finish(self) -> list[Point]:
        """The means; no more readings follow."""
        self._close()
        if len(self._done) > 1 and self._done[-1].readings < self.size / 2:
            last, rest = self._done[-2:]
            count = last.readings + rest.readings
            total = last.pressure * last.readings + rest.pressure * rest.readings
            self._done[-2:] = [Point(last.line, last.time, total / count, count)]
        return self._done


class Neighbourhood:
    """Readings far from the median of the nine around them (fewer at both ends).

    Compared with its neighbours, a reading of a slow drift or after a step is not far off.
    """

    def __init__(self, reach: float, digits: int | None = None) -> None:
        self.reach = reach
        self.tally = Tally()
        self.tally.digits = digits  # rounded as the readings they are among
        self.listed: list[Point] = []
        self._near: deque[Point] = deque(maxlen=2 * _NEIGHBOURS + 1)
        self._judged = 0  # of those in _near, from the left

    def add(self, point: Point) -> None:
        """Take in the next reading."""
        if len(self._near) == self._near.maxlen:
            self._judged -= 1
        self._near.append(point)
        if len(self._near) - self._judged > _NEIGHBOURS:
            self._judge()

    def finish(self) -> None:
        """Judge the readings that no more neighbours follow."""
        while self._judged < len(self._near):
            self._judge()

    @property
    def count(self) -> int:
        """How many there are."""
        return len(self.tally)

    def _judge(self) -> None:
        point = self._near[self._judged]
        self._judged += 1
        if abs(point.pressure - median(p.pressure for p in self._near)) > self.reach:
            self.tally.add(point.pressure)
            if len(self.listed) < MOST_LISTED:
                self.listed.append(point)


class SerialCorrelation:
    """Correlation [-] of each reading with the one before it."""

    def __init__(self, mean: float) -> None:
        self._mean = mean
        self._before: float | None = None
        self._products = 0.0
        self._squares = 0.0

    def add(self, value: float) -> None:
        """Take in the next reading."""
        off = value - self._mean
        if self._before is not None:
            self._products += off * self._before
        self._squares += off * off
        self._before = off

    @property
    def value(self) -> float:
        """The lag-one autocorrelation; 0 where nothing varies."""
        return self._products / self._squares if self._squares > 0 else 0.0
