"""Mixing on the way to the column: what a stirred volume makes of a gradient's programme.

Nobody states how much of a dwell volume is stirred, in mixer, pump heads and injector, and how much
only passed. Minutes and % B.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise
from math import exp

Programme = Sequence[tuple[float, float]]
"""Minutes and compositions [% B], straight lines between."""

STIRRED = (0.0, 0.25, 0.5)
"""Shares of the dwell volume that may be stirred [-]; assumed, no source."""
USUAL_DWELL = 1.0
"""Minutes that the dwell volume takes where it is not given; assumed, no source."""

_DECAY = (0.2, 0.5, 1.0, 1.5, 2.0, 3.0, 4.5, 6.0)  # after a change of slope, of the stirred time
HELD = 4.0
"""Times the stirred time: after so much of it 2 % of a step is left."""


def as_set(programme: Programme, count: int, least: int) -> Iterator[tuple[float, float]]:
    """Minutes and compositions along a programme, about ``count``, some of every step [% B]."""
    yield programme[0]
    whole = programme[-1][0] - programme[0][0]
    for (minute, percent_b), (until, then) in pairwise(programme):
        parts = 1
        if until > minute and percent_b != then:
            parts = max(least, round(count * (until - minute) / whole))
        for part in range(1, parts + 1):
            share = part / parts
            yield minute + share * (until - minute), percent_b + share * (then - percent_b)


def stirred(
    programme: Programme, time: float, count: int, least: int
) -> Iterator[tuple[float, float]]:
    """``as_set`` behind a stirred volume that takes a ``time`` above 0 [min] to fill.

    c' = (u - c) / time, u as set, c what leaves it [% B]; solved exactly along straight lines.

    A jump from 0 to 100 % B, one time after it (1 - 1/e):

    >>> round(dict(stirred([(0, 0), (1, 0), (1, 100), (9, 100)], 1.0, 9, 1))[2.0], 2)
    63.21
    """
    leaving = programme[0][1]
    yield programme[0]
    whole = programme[-1][0] - programme[0][0]
    for (minute, percent_b), (until, then) in pairwise(programme):
        length = until - minute
        if not length:
            continue  # a jump: what leaves does not change at once
        slope = (then - percent_b) / length
        parts = max(least, round(count * length / whole)) if slope else 1
        past = {length * part / parts for part in range(1, parts + 1)}
        past.update(time * by for by in _DECAY if time * by < length)
        late = leaving - percent_b + slope * time
        for passed in sorted(past):
            leaving = percent_b + slope * (passed - time) + late * exp(-passed / time)
            yield minute + passed, leaving
