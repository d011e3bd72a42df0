"""The composition inside a step of a gradient at which the whole flow path resists most."""

from __future__ import annotations

from collections.abc import Sequence
from math import ceil

from .drops import drops
from .system import System

SAME = 1e-9
"""Relative difference [-] of two pressures that differ by rounding alone."""
GRID = 5.0  # % B, between the compositions among which a peak is looked for
NARROW = 2.0  # % B, for the parabola through it
MOST = 8  # parabolas, each beginning where the one before ended


def peak(ready: System, low: float, high: float) -> float | None:
    """Percent B [%] of the highest pressure between low [%] and high [%], None if it is at an end.

    Looked for where the viscosities in and outside the oven, weighted by what they make at the
    first composition, are highest; then by a parabola through the whole path's pressure around
    that. Raises CannotPredict where the two do not mix.
    """
    if low == high:
        return None
    state = ready.at(low)
    found = drops(ready.path.segments, state)
    segments = ready.path.segments
    inside = sum(d.pressure for s, d in zip(segments, found, strict=True) if s.heated)
    outside = sum(drop.pressure for drop in found) - inside
    inside /= state.liquid.viscosity(state.hot)
    outside /= state.liquid.viscosity(state.cold)

    def thick(percent_b: float) -> float:
        liquid = ready.at(percent_b).liquid
        return inside * liquid.viscosity(state.hot) + outside * liquid.viscosity(state.cold)

    # The same compositions for every method, so that their viscosities are worked out once.
    between = [GRID * i for i in range(ceil(100.0 / GRID) + 1) if low < GRID * i < high]
    grid = [low, *(between or [0.5 * (low + high)]), high]
    heights = [thick(percent_b) for percent_b in grid]
    best = max(range(len(grid)), key=heights.__getitem__)
    best = min(max(best, 1), len(grid) - 2)  # from an end, the peak may be less than a step inside
    centre = _vertex(grid[best - 1 : best + 2], heights[best - 1 : best + 2])
    step = min(NARROW, centre - low, high - centre)
    if step <= 0.0:
        return None
    for _ in range(MOST):
        near = [max(centre - step, low), centre, min(centre + step, high)]
        centre = _vertex(near, [_central(ready, percent_b) for percent_b in near])
        if near[0] < centre < near[2] or centre in (low, high):
            break
    return centre if low < centre < high else None


def _vertex(at: Sequence[float], values: Sequence[float]) -> float:
    """Where a parabola through three points is highest, from the first to the last of them."""
    back, ahead = at[1] - at[0], at[2] - at[1]
    down, up = values[1] - values[0], values[1] - values[2]
    bend = back * up + ahead * down
    if bend <= 0.0:
        return at[1]
    return min(max(at[1] - 0.5 * (back * back * up - ahead * ahead * down) / bend, at[0]), at[2])


def _central(ready: System, percent_b: float) -> float:
    return sum(drop.pressure for drop in drops(ready.path.segments, ready.at(percent_b)))
