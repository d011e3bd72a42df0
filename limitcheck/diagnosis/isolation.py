"""What `isolate` gives back: the plan, the excess of each group of parts, and the verdict."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Verdict = Literal[
    "plan", "found", "several", "undecided", "normal", "low", "contradiction", "unjudged"
]


class ReadingError(ValueError):
    """A reading that cannot be used; `advice` says what to give instead."""

    def __init__(self, message: str, advice: str) -> None:
        super().__init__(message)
        self.message = message
        self.advice = advice


@dataclass(frozen=True, slots=True)
class PlannedStep:
    """One step: what to open, the normal pressure then [unit], and what was read."""

    name: str
    action: str
    parts: tuple[str, ...]
    low: float | None
    high: float | None
    reading: float | None


@dataclass(frozen=True, slots=True)
class Excess:
    """Drop over the parts between two readings against the normal one, in the display's unit."""

    parts: tuple[str, ...]
    places: tuple[int, ...]
    before: str
    after: str | None
    drop: float
    normal: float | None
    low: float | None
    excess: float | None
    high: float | None


@dataclass(frozen=True, slots=True)
class Advice:
    """What to do about one part, simplest first."""

    part: str
    steps: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Isolation:
    """Plan, readings, and what they say. Every pressure is in `unit`."""

    unit: str
    resolution: float
    plan: tuple[PlannedStep, ...]
    excesses: tuple[Excess, ...]
    verdict: Verdict
    message: str
    named: tuple[Excess, ...]
    further: tuple[PlannedStep, ...]  # steps that would tell the parts of a group apart
    advice: tuple[Advice, ...]
    reversed_column: str | None
    no_normal: str | None  # why there is no normal pressure to hold against
    doubt: str | None  # why the normal drops themselves are doubtful
