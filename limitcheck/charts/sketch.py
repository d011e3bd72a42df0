"""The chart of a baseline in characters, for a terminal."""

from __future__ import annotations

from collections.abc import Iterator

from ..history.phase import PhaseBaseline
from ..physics.figures import digits

_COLUMNS, _ROWS = 48, 12


def sketch(phase: PhaseBaseline, unit: str) -> Iterator[str]:
    """Readings, their moving average and its limits, in order of time; no line over 58 columns."""
    points, trend = phase.points, phase.trend
    limits = [trend.low_limit, trend.high_limit] if trend is not None else []
    marks = [p.pressure for p in points] + limits
    top, bottom = max(marks), min(marks)
    span = (top - bottom) or 1.0
    columns = min(_COLUMNS, len(points))

    def row(value: float) -> int:
        return min(_ROWS - 1, max(0, round((_ROWS - 1) * (top - value) / span)))

    grid = [[" "] * columns for _ in range(_ROWS)]
    for limit in limits:
        grid[row(limit)] = ["-"] * columns
    placed = [(index * columns // len(points), point) for index, point in enumerate(points)]
    for column, point in placed:
        if point.average is not None:
            grid[row(point.average)][column] = "o"
    for column, point in placed:
        grid[row(point.pressure)][column] = "*"
    for index, cells in enumerate(grid):
        label = digits(top - span * index / (_ROWS - 1), 4) if index % 3 == 0 else ""
        yield f"{label:>8} |{''.join(cells).rstrip()}"
    yield f"{'':8} +{'-' * columns}"
    first, last = f"{points[0].time:%Y-%m-%d}", f"{points[-1].time:%Y-%m-%d}"
    yield f"{'':10}{first}{last:>{max(columns - len(first), len(last) + 1)}}"
    most = max(point.readings for point in points)
    yield f"{'':10}* {'a reading' if most == 1 else f'mean of {most} readings'}, in {unit}"
    if trend is not None:
        yield f"{'':10}o moving average; - its limits"
