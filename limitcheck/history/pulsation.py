"""How a pressure pulses within a run, and whether it does so in time with the pump.

Of a log with many readings a minute, stretches without a break are looked at; the one that swings
most speaks for the log. Slow drift is taken off first. A period in time with the pump says where
to look, and no more: another pulse may have the same period by chance.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from itertools import groupby, pairwise
from statistics import fmean, median

from ..physics.strokes import Strokes
from .attribution import Pulse, attributed
from .log import Logged
from .periodogram import FEWEST_CYCLES, detrended, find_peaks

_LONGEST_BREAK = 30.0  # s between neighbours of one stretch
_FEWEST = 64  # readings of a stretch
_BUFFERED = 8_000  # readings of a stretch, at most
_MOST_POINTS = 2000  # of a periodogram
_AS_FINE = 1.5  # times the finest sampling
_MINUTE = 60.0  # s: what the swing is taken over
_FEWEST_IN_PART = 20
_TRIMMED = 100  # one in so many readings is left out at each end of a part
_PER_STROKE = 8  # points that a stroke should keep
_WELL_OVER = 1.25
_FEWEST_MINUTES = 3
_MOST_USUAL = 0.03


@dataclass(frozen=True, slots=True)
class Pulsation:
    """How the pressure pulses in one stretch, from `line` on; pressures in the unit of the log.

    `swing` is the highest less the lowest reading of a minute (`parts` of them, each without one
    reading in a hundred at both ends), the median over them; `most` the largest of them. `sampling`
    is the time between readings, `shortest` the shortest period that can be told, `longest` the
    longest, all in s; None where the log gives too little. `stroke` and `cycle` are the pump's
    periods [s]; `missing` why they are not known. `pulses` come strongest first; None where no
    period can be told.
    """

    line: int
    first: datetime
    last: datetime
    readings: int
    swing: float
    most: float
    parts: int
    typical: float  # median pressure
    sampling: float
    shortest: float
    longest: float
    stroke: float | None
    cycle: float | None
    missing: str
    pulses: tuple[Pulse, ...]
    stretches: int  # that were compared

    @property
    def too_slow(self) -> bool:
        """Whether the readings are too far apart for one stroke."""
        return self.stroke is not None and self.stroke < self.shortest

    @property
    def main(self) -> Pulse | None:
        """The strongest pulse."""
        return self.pulses[0] if self.pulses else None

    @property
    def why_not_normal(self) -> str:
        """Why its swing should not become the expected one; empty where it may."""
        main = self.main
        if main is not None and main.source in ("cycle", "part of a cycle"):
            return "the pulse is in time with one head"
        if main is not None and main.source == "alias":
            return "what makes the pulse is not known"
        if self.parts < _FEWEST_MINUTES:
            return f"{self.parts} min of readings are too few"
        if self.most > _MOST_USUAL * self.typical:
            return "more than the 1 to 3 % of a pump in good order (common practice, no source)"
        return ""

    def above(self, expected: float, step: float) -> bool:
        """Whether it swings well over the expected swing; `step` is that of the display."""
        return self.swing > max(_WELL_OVER * expected, expected + step)


@dataclass(frozen=True, slots=True)
class _Stretch:
    line: int
    first: datetime
    last: datetime
    times: list[float]  # s
    values: list[float]
    resolution: float  # s: of the times as they are written
    sampling: float
    swings: list[float]


class PulsationWatch:
    """Follows readings in time and keeps the stretch that swings most, in bounded memory."""

    def __init__(self) -> None:
        self._line = 0
        self._first = self._last = datetime.min
        self._phase = ""
        self._times: list[float] = []
        self._values: list[float] = []
        self._best: _Stretch | None = None
        self._stretches = 0

    def add(self, row: Logged) -> None:
        """Take in the next reading."""
        if self._times:
            gap = (row.time - self._last).total_seconds()
            if gap > _LONGEST_BREAK or row.phase != self._phase or len(self._times) == _BUFFERED:
                self._close()
        if not self._times:
            self._line, self._first, self._phase = row.line, row.time, row.phase
        self._last = row.time
        self._times.append((row.time - self._first).total_seconds())
        self._values.append(row.pressure)

    def _close(self) -> None:
        times, values = self._times, self._values
        self._times, self._values = [], []
        if len(times) < _FEWEST or times[-1] <= 0:
            return
        spread = _spread(times)
        if spread is None:
            return
        times, resolution = spread
        gaps = [b - a for a, b in pairwise(times)]
        usual = median(gaps)
        # Times in whole seconds, 1.2 s apart, are mostly 1 s apart: their mean tells.
        sampling = max(usual, fmean(gap for gap in gaps if gap <= 3 * usual))
        swings = _swings(times, values)
        best = self._best
        if best is None or sampling * _AS_FINE < best.sampling:
            self._stretches = 0
            best = None
        elif sampling > _AS_FINE * best.sampling:
            return
        self._stretches += 1
        if best is None or median(swings) > median(best.swings):
            self._best = _Stretch(
                self._line, self._first, self._last, times, values, resolution, sampling, swings
            )

    def finish(self, pump: Strokes | str) -> Pulsation | None:
        """What was seen, without periods; None for a log without many readings a minute.

        `pump` holds the pump's periods, or what is missing for them.
        """
        self._close()
        best = self._best
        if best is None:
            return None
        known = None if isinstance(pump, str) else pump
        return Pulsation(
            line=best.line,
            first=best.first,
            last=best.last,
            readings=len(best.times),
            swing=median(best.swings),
            most=max(best.swings),
            parts=len(best.swings),
            typical=median(best.values),
            sampling=best.sampling,
            shortest=2 * max(best.sampling, best.resolution),
            longest=best.times[-1] / FEWEST_CYCLES,
            stroke=known and known.stroke,
            cycle=known and known.cycle,
            missing=pump if isinstance(pump, str) else "",
            pulses=(),
            stretches=self._stretches,
        )

    def with_pulses(self, found: Pulsation) -> Pulsation:
        """The same with its periods, which take up to a second to find."""
        best = self._best
        if best is None:
            return found
        times, values, sampling = best.times, best.values, best.sampling
        size = 1
        if found.stroke is not None and len(times) > _MOST_POINTS:
            size = min(
                math.ceil(len(times) / _MOST_POINTS), int(found.stroke / _PER_STROKE / sampling)
            )
        if size > 1:
            times, values = _means(times, size), _means(values, size)
            sampling *= size
        times, values = times[:_MOST_POINTS], values[:_MOST_POINTS]
        shortest = max(found.shortest, 2 * sampling)
        found = replace(found, shortest=shortest, longest=(times[-1] - times[0]) / FEWEST_CYCLES)
        peaks = find_peaks(times, detrended(times, values), 1 / shortest)
        pump = None if found.stroke is None else Strokes(found.stroke, found.cycle)
        pulses = attributed(peaks, pump, times[-1] - times[0], sampling)
        return replace(found, pulses=pulses)


def _spread(times: Sequence[float]) -> tuple[list[float], float] | None:
    """Times in which no two are the same, and the step they are written in [s] where some were.

    Readings of one and the same time are spread evenly up to the next; None where that would be
    most of a minute.
    """
    groups = [(time, len(list(same))) for time, same in groupby(times)]
    if len(groups) == len(times):
        return list(times), 0.0
    if len(groups) < 3:
        return None
    resolution = min(b[0] - a[0] for a, b in pairwise(groups))
    if resolution > _LONGEST_BREAK:
        return None
    spread: list[float] = []
    for time, count in groups:
        spread.extend(time + i * resolution / count for i in range(count))
    return spread, resolution


def _swings(times: Sequence[float], values: Sequence[float]) -> list[float]:
    """Highest less lowest of each minute (of twenty readings at least), slow drift taken off."""
    level = detrended(times, values)
    count = max(1, min(round(times[-1] / _MINUTE), len(level) // _FEWEST_IN_PART))
    size = len(level) / count
    found = []
    for i in range(count):
        part = sorted(level[int(i * size) : int((i + 1) * size)])
        cut = math.ceil(len(part) / _TRIMMED) if len(part) >= _FEWEST_IN_PART else 0
        found.append(part[-1 - cut] - part[cut])
    return found


def _means(values: Sequence[float], size: int) -> list[float]:
    return [sum(values[i : i + size]) / size for i in range(0, len(values) - size + 1, size)]
