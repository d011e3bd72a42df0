"""Which part of a log that is not steady as a whole may be steady: candidates, longest first."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from itertools import combinations

from .phase import PhaseBaseline

MOST_TRIED = 6
FEWEST_READINGS = 20  # a band of fewer is far wider than what is normal
_LEAST_SHARE, _FEWEST = 0.2, 12  # of the points of the chart
_BEFORE_A_DRIFT = 0.5  # of the way to where a drift shows: it began before


@dataclass(frozen=True, slots=True)
class Stretch:
    """A steady part of the log, both ends included; its readings and the band of the display."""

    since: datetime
    until: datetime
    readings: int
    low: str
    high: str


def candidates(phases: Sequence[PhaseBaseline]) -> list[tuple[datetime, datetime]]:
    """Times from and to which each phase may be steady.

    Parts lie between steps, readings far off, zeros and the start of a swing. Of a log that drifts,
    or begins to swing, only what lies well before that shows: later parts would make it the new
    normal.
    """
    found: list[tuple[datetime, datetime]] = []
    for phase in phases:
        points, trend = phase.points, phase.trend
        n = len(points)
        if n < _FEWEST or trend is None:
            continue
        places, gaps = {0, n}, set[int]()
        times = [point.time for point in points]

        def place(time: datetime, times: Sequence[datetime] = times) -> int:
            return sum(t <= time for t in times) - 1

        for step in trend.steps:
            places.add(place(step.time))
        wild = {place(outlier.time) for outlier in phase.outliers[:20]}
        places |= wild | {at + 1 for at in wild}
        for time in phase.off.times if phase.off is not None else ():
            at = place(time)  # left out, so that it stands behind this place
            places.add(at + 1)
            gaps.add(at + 1)
        end = n
        if not trend.steps and trend.first_out is not None and not trend.steady:
            end = int(_BEFORE_A_DRIFT * place(trend.first_out.time))
        elif not trend.steady and not trend.steps:
            continue
        scatter = phase.scatter
        if scatter is not None and scatter.grew and scatter.signal is not None:
            end = min(end, int(_BEFORE_A_DRIFT * place(scatter.signal.time)))
        for a, b in combinations(sorted(p for p in places if p <= end) + [end] * (end < n), 2):
            if wild & set(range(a, b)) or any(a < gap < b for gap in gaps):
                continue
            if b - a >= max(_FEWEST, _LEAST_SHARE * n):
                until = phase.last if b == n else times[b - 1]
                found.append((times[a], until))
    return sorted(set(found), key=lambda pair: pair[0] - pair[1])[:MOST_TRIED]
