"""Where inside a step of a gradient the whole flow path resists most and least."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from math import ceil

SAME = 1e-9
"""Relative difference [-] of two pressures that differ by rounding alone."""
GRID = 5.0  # % B, between the compositions among which an extreme is looked for
MOST = 4  # parabolas, each through the extreme of the one before


def extremes(central: Callable[[float], float], low: float, high: float) -> Iterator[float]:
    """Percent B [%] of the highest and of the lowest pressure strictly between low and high [% B].

    ``central`` gives the pressure [Pa] at a composition. An extreme that lies at an end is none
    inside. Of several humps the highest on a grid of 5 % B
    counts. Raises what ``central`` raises.
    """
    if high - low < 1e-9:
        return
    # The same compositions for every method, so that their viscosities are worked out once.
    between = [GRID * i for i in range(ceil(100.0 / GRID) + 1) if low < GRID * i < high]
    grid = [low, *(between or [0.5 * (low + high)]), high]
    heights = [central(percent_b) for percent_b in grid]
    for sign in (1.0, -1.0):
        found = _sharpened(central, grid, [sign * height for height in heights], sign)
        if low < found < high and sign * central(found) > (1.0 + sign * SAME) * sign * max(
            heights[0], heights[-1], key=lambda height: sign * height
        ):
            yield found


def _sharpened(
    central: Callable[[float], float], grid: list[float], heights: list[float], sign: float
) -> float:
    """Where a curve is highest, from the highest of its points on."""
    best = max(range(len(grid)), key=heights.__getitem__)
    # From an end the extreme may be less than a step inside: looked for beside it too.
    if best in (0, len(grid) - 1):
        beside = 1 if best == 0 else best - 1
        middle = 0.5 * (grid[best] + grid[beside])
        height = sign * central(middle)
        three = sorted(
            [(grid[best], heights[best]), (middle, height), (grid[beside], heights[beside])]
        )
    else:
        three = [(grid[i], heights[i]) for i in (best - 1, best, best + 1)]
    for _ in range(MOST):
        at = _vertex(three)
        if min(abs(at - x) for x, _ in three) < 1e-3 * (three[2][0] - three[0][0]):
            break
        points = sorted([*three, (at, sign * central(at))])
        top = max(range(4), key=lambda i: points[i][1])
        top = min(max(top, 1), 2)
        three = points[top - 1 : top + 2]
    return max(three, key=lambda point: point[1])[0]


def _vertex(three: list[tuple[float, float]]) -> float:
    """Where a parabola through three points is highest, from the first to the last of them."""
    (x0, y0), (x1, y1), (x2, y2) = three
    back, ahead = x1 - x0, x2 - x1
    down, up = y1 - y0, y1 - y2
    bend = back * up + ahead * down
    if bend <= 0.0:
        return x1
    return min(max(x1 - 0.5 * (back * back * up - ahead * ahead * down) / bend, x0), x2)
