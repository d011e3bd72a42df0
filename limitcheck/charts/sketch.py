"""Charts in characters, for a terminal; no line over 58 columns."""

from __future__ import annotations

from collections.abc import Iterator

from ..units.printing import digits
from .svg import Axis

COLUMNS = 48
_ROWS = 12


class Sketch:
    """Signs on a grid: pressure upwards, time to the right; what is marked later hides the rest."""

    def __init__(self, low: float, high: float, columns: int = COLUMNS) -> None:
        self._axis = Axis(low, high, _ROWS - 1, 0)
        self._grid = [[" "] * columns for _ in range(_ROWS)]

    def mark(self, column: int, amount: float, sign: str) -> None:
        """Put a sign at an amount."""
        self._grid[self._row(amount)][column] = sign

    def fill(self, column: int, low: float, high: float, sign: str) -> None:
        """Put signs from one amount up to another."""
        for row in range(self._row(high), self._row(low) + 1):
            self._grid[row][column] = sign

    def level(self, amount: float, sign: str) -> None:
        """Put a sign at an amount in every column."""
        for column in range(len(self._grid[0])):
            self.mark(column, amount, sign)

    def lines(self, start: str, end: str) -> Iterator[str]:
        """The sketch with its amounts at the left, and what the time begins and ends with."""
        low, high, bottom, _ = self._axis
        for row, cells in enumerate(self._grid):
            amount = high - (high - low) * row / bottom
            label = digits(amount, 4) if row % 3 == 0 or row == bottom else ""
            yield f"{label:>8} |{''.join(cells).rstrip()}"
        columns = len(self._grid[0])
        yield f"{'':8} +{'-' * columns}"
        yield f"{'':10}{start}{end:>{max(columns - len(start), len(end) + 1)}}"

    def _row(self, amount: float) -> int:
        return round(self._axis.at(amount))
