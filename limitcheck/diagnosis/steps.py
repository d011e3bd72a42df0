"""The records of a search for a blockage: a step of its plan, and what two readings tell."""

from __future__ import annotations

from dataclasses import dataclass

from ..units import Pressure


@dataclass(frozen=True, slots=True)
class PlannedStep:
    """One step: what to open, which parts stay, the normal pressure then [Pa], what was read."""

    name: str
    action: str
    parts: tuple[str, ...]
    low: float | None
    high: float | None
    reading: Pressure | None


@dataclass(frozen=True, slots=True)
class Excess:
    """Drop [Pa] over the parts between two readings, the normal one, and the excess over it."""

    parts: tuple[str, ...]
    places: tuple[int, ...]
    before: str
    after: str | None
    drop: float
    normal: float | None
    low: float | None
    excess: float | None
    high: float | None
