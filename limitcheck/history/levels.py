"""Two levels in one log, and readings with the pump off.

A gradient is read at its start and at its peak, two methods share a log: the readings then lie in
two heaps, one band over both holds neither. They are told apart where the gap between the heaps is
far wider than the heaps are, and the log goes from one to the other and back.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise

from .band import Interval
from .summaries import Tally

OFF = 0.1
"""Below this share of the usual pressure the pump is off or just starting (common practice, no
source)."""
_APART = 5.0  # distance of two heaps, in their own standard deviation; chance makes 2.7
_GAP = 1.0  # between them, likewise
_STEPS = 2.0  # least gap, in steps of the display
_LEAST_SHARE = 0.05  # of the readings in the smaller heap
FEWEST_CROSSINGS = 4


@dataclass(frozen=True, slots=True)
class Level:
    """One heap of readings [unit of the log], and the band it makes by itself."""

    readings: int
    low: float
    high: float
    interval: Interval | None


def off_below(tally: Tally) -> float:
    """The pressure [unit of the log] below which the pump does not run; 0 where none is known.

    Never above half of the readings.
    """
    running = tally.where(lambda value: value > 0)
    if not len(running):
        return 0.0
    (high,) = running.at_rank(max(1, math.ceil(0.9 * len(running))))
    limit = OFF * running.where(lambda value: value > OFF * high).median
    return limit if 2 * len(tally.where(lambda value: value < limit)) <= len(tally) else 0.0


def find_split(tally: Tally, step: float) -> float | None:
    """The pressure between two heaps of readings; None where they are one.

    The split with the smallest sum of squares around both means (Otsu 1979, from memory).
    """
    values = sorted(tally.counts.items())
    n, total = len(tally), math.fsum(v * c for v, c in values)
    squares = math.fsum(v * v * c for v, c in values)
    count = sums = square = 0.0
    best: tuple[float, float, float, float] | None = None
    for (value, times), (following, _) in pairwise(values):
        count, sums, square = count + times, sums + value * times, square + value * value * times
        if min(count, n - count) < max(3.0, _LEAST_SHARE * n):
            continue
        within = square - sums * sums / count
        within += (squares - square) - (total - sums) ** 2 / (n - count)
        apart = (total - sums) / (n - count) - sums / count
        if best is None or within < best[0]:
            best = within, apart, following - value, (following + value) / 2
    if best is None:
        return None
    within, apart, gap, middle = best
    deviation = math.sqrt(max(within, 0.0) / n)
    clear = apart > _APART * deviation and gap > max(_GAP * deviation, _STEPS * step)
    return middle if clear else None
