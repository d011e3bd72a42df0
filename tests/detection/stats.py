"""Shares with their 95 % intervals."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from math import sqrt
from statistics import NormalDist

_Z = NormalDist().inv_cdf(0.975)


@dataclass(frozen=True, slots=True)
class Share:
    """`hits` out of `cases`."""

    hits: int
    cases: int

    @classmethod
    def of(cls, outcomes: Iterable[bool]) -> Share:
        """Counted from outcomes."""
        values = list(outcomes)
        return cls(sum(values), len(values))

    @property
    def percent(self) -> float:
        """The share in percent; nan of no cases."""
        return 100 * self.hits / self.cases if self.cases else float("nan")

    @property
    def interval(self) -> tuple[float, float]:
        """The Wilson score interval at 95 %, in percent.

        E. B. Wilson, J. Am. Stat. Assoc. 22 (1927) 209-212.

        >>> [round(bound, 2) for bound in Share(8, 10).interval]
        [49.02, 94.33]
        """
        n = self.cases
        if n == 0:
            return 0.0, 100.0
        p = self.hits / n
        centre = (p + _Z**2 / (2 * n)) / (1 + _Z**2 / n)
        half = _Z / (1 + _Z**2 / n) * sqrt(p * (1 - p) / n + _Z**2 / (4 * n**2))
        return 100 * max(0.0, centre - half), 100 * min(1.0, centre + half)

    def __str__(self) -> str:
        if self.cases == 0:
            return "-"
        low, high = self.interval
        return f"{self.percent:5.1f} ({low:.1f}-{high:.1f})"
