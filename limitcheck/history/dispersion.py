"""How far readings scatter, followed in time: whether a pressure began to swing.

The chart is the exponentially weighted moving average of half the squared differences between
neighbouring readings: each point is 0.1 of the newest square and 0.9 of the point before. A level
that drifts or steps moves few of the differences, so it is no scatter. One wild reading is in two
differences, each of which counts as nine variances at most. The first third of the log (12 to 50
readings) says what is usual.

References
----------
J. F. MacGregor and T. J. Harris, J. Quality Technol. 25 (1993) 106, for moving averages of squares;
NIST/SEMATECH e-Handbook 6.3.2.2, for differences of neighbours (from memory both). The limit is
simulated: `python -m tests.history.swing_study`.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from .summaries import Point

SMOOTHING = 0.1
MOST = 9.0  # variances that one difference counts for
_MOST_SAID = 400.0  # likewise, in what is said of the latest scatter
_FAR = ((24, 1.5), (6, 1.8))  # after so many readings, so many usual deviations
_LASTING = 8  # readings outside to the end
_FEWEST, _LONGEST = 12, 50  # readings that say what is usual
_ROUNDING = 0.25  # variance of two neighbours between two steps of a display, in steps squared


@dataclass(frozen=True, slots=True)
class Scatter:
    """What the chart says, in the unit of the readings.

    `usual` is the standard deviation between neighbours at first, `latest` over the readings after
    the signal (over the last third without one). `signal` is where the chart first left its limit,
    which chance does once in about 500 readings; `grew` whether the scatter is greater beyond
    doubt: the last readings all leave the chart outside, or `latest` is far above `usual`.
    """

    usual: float
    latest: float
    signal: Point | None
    grew: bool


def reference_of(readings: int) -> int:
    """How many of so many readings say what is usual."""
    return min(max(readings // 3, _FEWEST), _LONGEST)


def limit(reference: int) -> float:
    """Of the moving average, in usual variances, where so many readings say what is usual."""
    return 2.35 + 2.5 / reference


class ScatterChart:
    """Follows readings in time, in constant memory; `expected` is how many will come."""

    def __init__(self, expected: int, step: float) -> None:
        self._reference = reference_of(expected)
        self._late = max(self._reference, expected - expected // 3)
        self._least = _ROUNDING * step * step
        self._squares: list[float] = []
        self._before: float | None = None
        self._usual = self._average = 0.0
        self._outside = 0  # readings in a row, up to now
        self._count = 0
        self._sum = self._whole = 0.0
        self._summed = 0
        self._signal: Point | None = None

    def add(self, point: Point) -> None:
        """Take in the next reading."""
        before, self._before = self._before, point.pressure
        self._count += 1
        if before is None:
            return
        square = (point.pressure - before) ** 2 / 2
        if self._count <= self._reference:
            self._squares.append(square)
            if self._count == self._reference:
                self._settle()
            return
        counted = min(square, MOST * self._usual)
        self._average += SMOOTHING * (counted - self._average)
        outside = self._average > limit(self._reference) * self._usual
        self._outside = self._outside + 1 if outside else 0
        if self._signal is None and outside:
            self._signal = point
            self._sum, self._whole, self._summed = 0.0, 0.0, 0
        if self._signal is not None or self._count > self._late:
            self._sum += counted
            self._whole += min(square, _MOST_SAID * self._usual)
            self._summed += 1

    def _settle(self) -> None:
        usual = max(sum(self._squares) / len(self._squares), self._least)
        for _ in range(3):
            kept = [min(square, MOST * usual) for square in self._squares]
            usual = max(sum(kept) / len(kept), self._least)
        self._usual = self._average = usual

    def finish(self) -> Scatter | None:
        """What the chart says; None where it has too few readings."""
        if self._count < self._reference + _FEWEST or self._usual <= 0.0:
            return None
        usual = math.sqrt(self._usual)
        latest = math.sqrt(self._whole / self._summed) if self._summed else usual
        far = any(
            self._summed >= readings and self._sum > self._summed * times**2 * self._usual
            for readings, times in _FAR
        )
        grew = self._signal is not None and (self._outside >= _LASTING or far)
        return Scatter(usual, latest, self._signal, grew)
