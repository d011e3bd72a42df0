"""Readings that no flow path can show together."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import combinations, pairwise

from .measurements import Measurements
from .one_pressure import VARIATION


def impossible(work: Measurements) -> tuple[str, tuple[str, ...]] | None:
    """What no flow path can show, and the steps to read again; None where all can be."""
    for name, values in work.repeated.items():
        if _unlike(values, work.resolution):
            shown = " and ".join(work.show(value) for value in values)
            third = "read it a third time" if len(values) == 2 else "it does not stand still"
            return f"step {name} was read as {shown}: {third}", (name,)
    for (before, upper), (after, lower) in pairwise(work.readings.items()):
        if lower > upper + _most_apart(work.resolution, upper, lower):
            return (
                f"the reading rises from {work.show(upper)} ({before}) to "
                f"{work.show(lower)} ({after}), although parts were removed. At the same "
                "flow, mobile phase and temperature that can't be: were the readings "
                "swapped, was it too early, or did something else change? Read both again"
            ), (before, after)
    return None


def _unlike(values: Sequence[float], resolution: float) -> bool:
    """Whether no two of the readings of one step agree."""
    if len(values) < 2:
        return False
    return all(abs(a - b) > _most_apart(resolution, a, b) for a, b in combinations(values, 2))


def _most_apart(resolution: float, *readings: float) -> float:
    """How far two readings [Pa] of one pressure can lie apart."""
    return resolution + VARIATION * math.fsum(readings)
