"""Where inside a step of a gradient the whole flow path resists most and least."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from itertools import pairwise
from math import ceil, log

Curve = Callable[[float], float]

SAME = 1e-9
"""Relative difference [-] of two pressures that differ by rounding alone."""
GRID = 5.0  # % B, between the compositions at which the estimate is taken
NEAR = 0.45  # % B, from a pressure already worked out
KINK = 0.3  # % B, how near a kink is looked for
MOST = 5  # pressures worked out for one extreme


def extremes(central: Curve, estimate: Curve | None, low: float, high: float) -> Iterator[float]:
    """Percent B [%] of the highest and of the lowest pressure strictly between low and high [% B].

    ``central`` gives the pressure [Pa] at a composition; ``estimate`` gives it roughly, in less
    time, and says where to look. What ln of both differs by is taken to run smoothly. Where that is
    not so there is no estimate (None), and kinks are looked for. An extreme that lies at an end is
    none inside. Raises what they raise.
    """
    ends = central(low), central(high)
    if high - low < 1e-9 or min(ends) <= 0.0:
        return
    # The same compositions for every method, so that their viscosities are worked out once.
    between = [GRID * i for i in range(ceil(100.0 / GRID) + 1) if low < GRID * i < high]
    grid = [low, *(between or [0.5 * (low + high)]), high]
    roughly = estimate or central
    shape = [log(roughly(percent_b)) for percent_b in grid]
    near = min(NEAR, 0.015 * (high - low))
    apart = log(ends[0]) - shape[0], log(ends[1]) - shape[-1]
    if estimate is not None and _steep(shape, grid, max(map(abs, apart))):
        return
    # ln of the pressures worked out, and what it differs by from the estimate's.
    found = {low: log(ends[0]), high: log(ends[1])}
    known = dict(zip(found, apart, strict=True))
    heights = _moved(known, grid, shape)
    for sign in (1.0, -1.0):
        for _ in range(MOST):
            place = _top(grid, heights, sign)
            if any(abs(place - x) < near for x in known):
                if len(known) > 2:
                    break
                place = grid[len(grid) // 2]
            found[place] = log(central(place))
            known[place] = found[place] - log(roughly(place))
            heights = _moved(known, grid, shape)
        at = max(found, key=lambda x: sign * found[x])
        if estimate is None:
            at = _at_a_kink(central, sign, grid, at)
        if sign * log(central(at)) > SAME + max(sign * log(end) for end in ends):
            yield at


def _at_a_kink(central: Curve, sign: float, grid: list[float], at: float) -> float:
    """The highest point found so far, or one higher, by steps that are halved from the grid's."""
    at = max((at, *grid), key=lambda x: sign * central(x))
    step = 0.5 * GRID
    while step > KINK:
        beside = (x for x in (at - step, at + step) if grid[0] < x < grid[-1])
        at = max((at, *beside), key=lambda x: sign * central(x))
        step *= 0.5
    return at


def _steep(shape: list[float], grid: list[float], apart: float) -> bool:
    """Whether the shape rises or falls all the way, so much that no parabola ``apart`` turns it."""
    whole = grid[-1] - grid[0]
    steps = [
        (then - now) / (b - a) * whole
        for (now, then), (a, b) in zip(pairwise(shape), pairwise(grid), strict=True)
    ]
    return min(steps) > 4.0 * apart or max(steps) < -4.0 * apart


def _moved(known: Mapping[float, float], grid: list[float], shape: list[float]) -> list[float]:
    """Heights with what was found added: a parabola through both ends and the last point known.

    A line as long as nothing else is.
    """
    (x0, y0), (x1, y1), *others = known.items()
    slope, sag = (y1 - y0) / (x1 - x0), 0.0
    if others:
        xm, ym = others[-1]
        sag = (ym - y0 - slope * (xm - x0)) / ((xm - x0) * (x1 - xm))
    return [
        height + y0 + (x - x0) * (slope + sag * (x1 - x))
        for x, height in zip(grid, shape, strict=True)
    ]


def _top(grid: list[float], heights: list[float], sign: float) -> float:
    """Where a curve through points is highest, or lowest, by a parabola through three of them."""
    best = heights.index(max(heights) if sign > 0.0 else min(heights))
    # From an end the extreme may be less than a step inside.
    first = min(max(best - 1, 0), len(grid) - 3)
    x0, x1, x2 = grid[first : first + 3]
    y0, y1, y2 = heights[first : first + 3]
    back, ahead = x1 - x0, x2 - x1
    down, up = sign * (y1 - y0), sign * (y1 - y2)
    bend = back * up + ahead * down
    if bend <= 0.0:
        return grid[best]
    return min(max(x1 - 0.5 * (back * back * up - ahead * ahead * down) / bend, x0), x2)
