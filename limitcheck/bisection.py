"""The one bisection of the package."""

from __future__ import annotations

from collections.abc import Callable


def bisect(
    reached: Callable[[float], bool], low: float, high: float, width: float
) -> tuple[float, float]:
    """The last number at which something is not reached and the first at which it is.

    Between them lies at most `width` of the second. `reached` is False at `low` and turns True
    once above it; `high` is doubled until it is.

    >>> before, after = bisect(lambda x: x * x >= 2, 0.0, 1.0, 1e-6)
    >>> before < 2**0.5 <= after, round(after, 5)
    (True, 1.41421)
    """
    while not reached(high):
        low, high = high, 2 * high
    while high - low > width * high:
        middle = 0.5 * (low + high)
        if reached(middle):
            high = middle
        else:
            low = middle
    return low, high
