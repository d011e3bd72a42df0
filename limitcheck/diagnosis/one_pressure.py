"""Several statements about one pressure: what they leave open, and what is normal. SI floats.

The two ends of a gradient's band, each moved to one composition, and measured pairs there, are such
statements: the pressure is where all of them have it, not anywhere that one of them has it.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations
from math import exp, fsum, log
from typing import NamedTuple

VARIATION = 0.05
"""How far a reading may be off, two standard deviations as a share of it: a pump that is not quite
steady, read a little early (common practice, no source)."""
_ALIKE = log(1.0 + VARIATION)


class Statement(NamedTuple):
    """Where a pressure lies [Pa]; with ``anywhere`` no place from low to high is the likeliest."""

    name: str
    low: float
    central: float
    high: float
    anywhere: bool = False


class OnePressure(NamedTuple):
    """What statements leave open, ``least`` to ``most`` [Pa], and what of it is ``normal`` [Pa].

    ``apart`` are two that contradict each other.
    """

    least: float
    most: float
    normal: tuple[float, float] | None
    apart: tuple[Statement, ...] = ()


def together(statements: Sequence[Statement]) -> OnePressure:
    """The overlap of all [Pa]; normal is what lies as near the most likely as a reading varies.

    The surer a statement is, the more it counts for what is most likely; one of ``anywhere`` not at
    all. Where two exclude each other, all that any has is open, and nothing is normal.
    """
    for pair in combinations(statements, 2):
        if max(s.low for s in pair) > min(s.high for s in pair):
            return OnePressure(
                min(s.low for s in statements), max(s.high for s in statements), None, pair
            )
    least, most = max(s.low for s in statements), min(s.high for s in statements)
    middle = 0.5 * (log(least) + log(most))
    # However narrow, a pressure varies from day to day.
    least, most = min(least, exp(middle - _ALIKE)), max(most, exp(middle + _ALIKE))
    sure = [s for s in statements if not s.anywhere]
    if sure:
        counts = [log(s.high / s.low) ** -2 for s in sure]
        found = [n * log(s.central) for n, s in zip(counts, sure, strict=True)]
        middle = fsum(found) / fsum(counts)
    elif log(most / least) > 2.01 * _ALIKE:
        return OnePressure(least, most, None)
    middle = min(max(middle, log(least)), log(most))
    normal = max(least, exp(middle - _ALIKE)), min(most, exp(middle + _ALIKE))
    return OnePressure(least, most, normal)


def varied(statement: Statement) -> Statement:
    """The statement [Pa] as far as a pressure varies from day to day besides."""
    low, central, high = statement.low, statement.central, statement.high
    if statement.anywhere:
        return statement._replace(low=low * exp(-_ALIKE), high=high * exp(_ALIKE))
    down, up = (log(central / low) ** 2, log(high / central) ** 2)
    return statement._replace(
        low=central * exp(-((down + _ALIKE**2) ** 0.5)), high=central * exp((up + _ALIKE**2) ** 0.5)
    )
