"""What is asked of a log, and what it says about normal pressure."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Literal

from .mixed import OtherUnit
from .summaries import Place

FEWEST_READINGS = 5
Kind = Literal["auto", "normal", "distribution-free"]
Direction = Literal["rising", "falling", "level", "unknown"]


@dataclass(frozen=True, slots=True)
class Choice:
    """Which rows of the log count, and how the band is formed."""

    method: str | None = None
    column: str | None = None
    since: datetime | None = None
    until: datetime | None = None
    coverage: float = 0.95
    confidence: float = 0.95
    interval: Kind = "auto"


@dataclass(frozen=True, slots=True)
class Interval:
    """Holds at least the share `coverage` of readings with probability `confidence`."""

    low: float
    high: float
    kind: Literal["normal", "distribution-free"]
    factor: float | None  # k of mean +- k s
    rank: int | None  # r: r-th smallest to r-th largest
    why: str


@dataclass(frozen=True, slots=True)
class Point:
    """One point of the chart; `average` is the moving average there."""

    line: int
    time: datetime
    readings: int
    pressure: float
    average: float | None


@dataclass(frozen=True, slots=True)
class Step:
    """A sudden change that stayed; `column` tells of a column changed at the same time."""

    line: int
    time: datetime
    height: float
    column: str | None


@dataclass(frozen=True, slots=True)
class Trend:
    """What the chart says. Pressures in the unit of the log, slope a day."""

    centre: float
    low_limit: float
    high_limit: float
    first_out: Place | None
    out_since: Place | None
    steps: tuple[Step, ...]
    slope: float | None
    direction: Direction
    reaches_cutoff: datetime | None  # the high cutoff when rising, the low one when falling
    at_cutoff: bool  # the same cutoff, reached already

    @property
    def steady(self) -> bool:
        """No step, no present slope, and inside the limits at the end."""
        return not self.steps and self.out_since is None and self.direction in ("level", "unknown")


@dataclass(frozen=True, slots=True)
class PhaseBaseline:
    """One phase of the run (or all readings, where the log has no phases)."""

    phase: str
    readings: int
    first: datetime
    last: datetime
    median: float
    mean: float
    deviation: float
    robust_deviation: float
    lowest: float
    highest: float
    digits: int | None  # values were rounded to this many digits before counting
    interval: Interval | None
    outliers: tuple[Place, ...]  # the first ones in file order
    outlier_count: int
    other_units: tuple[OtherUnit, ...]
    correlation: float
    points: tuple[Point, ...]
    trend: Trend | None


@dataclass(frozen=True, slots=True)
class Band:
    """The `[expected]` table: exact decimal texts in the instrument's unit."""

    low: str
    high: str
    unit: str

    @property
    def table(self) -> str:
        """The table to paste into a profile."""
        return f'[expected]\nlow = {self.low}\nhigh = {self.high}\nbasis = "measured"'


@dataclass(frozen=True, slots=True)
class Baseline:
    """What a log says about normal pressure; every pressure is in `unit`."""

    file: str
    sha256: str
    unit: str
    layout: tuple[str, ...]
    method: str | None
    coverage: float
    confidence: float
    blank_rows: int
    phases: tuple[PhaseBaseline, ...]
    columns: tuple[str, ...]
    expected: Band | None
    high_cutoff: float | None
    low_cutoff: float | None
    doubts: tuple[str, ...]  # why the band must not be used as it is
    notes: tuple[str, ...]

    @property
    def steady(self) -> bool:
        """No doubts, and no phase that drifts or stepped."""
        moved = any(phase.trend is not None and not phase.trend.steady for phase in self.phases)
        return not (moved or self.doubts)
