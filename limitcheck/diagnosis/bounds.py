"""Which pressures are normal, and which can't be told from normal: one decision for all. Pascal."""

from __future__ import annotations

from collections.abc import Callable
from typing import Literal, NamedTuple

from ..physics.faults.normal import Normal, normal_pressure, outranked
from ..physics.left_out import PARTS_LEFT_OUT, allowed
from ..physics.liquid import CannotPredict
from ..physics.predict import predict
from ..profile.model import Profile
from .conditions import MovedBand

Position = Literal["normal", "above normal", "below normal", "unknown"]


class Bounds(NamedTuple):
    """A pressure [Pa] outside ``least`` to ``most`` is not normal, inside ``normal`` it is.

    Between both it can't be told. ``normal`` is None where nothing is sure enough for that. Of a
    band ``in_doubt`` nothing can be told at all: it may be typed in another unit.
    """

    least: float
    most: float
    normal: tuple[float, float] | None
    in_doubt: bool

    @property
    def band(self) -> tuple[float, float]:
        """What is normal [Pa]; where nothing is, what can't be told from it."""
        return self.normal or (self.least, self.most)

    def position(self, pascal: float) -> Position:
        """Where a pressure [Pa] lies; unknown where it can't be told from normal."""
        if self.in_doubt:
            return "unknown"
        if self.normal is not None and self.normal[0] <= pascal <= self.normal[1]:
            return "normal"
        if pascal < self.least:
            return "below normal"
        return "above normal" if pascal > self.most else "unknown"


def bounds(found: Normal, moved: MovedBand | None, *, in_doubt: bool) -> Bounds:
    """Those of a normal pressure, at other conditions where its band was moved there.

    A band that is ``in_doubt`` tells nothing, where it is what is normal: where its ends are
    exchanged, or measured pairs outrank it, what is predicted stands in its place.
    Nothing is normal of what nobody measured or declared: how well a pressure can be predicted is
    not how far it may vary.
    """
    if moved is None:
        least, most = found.low, found.high
        normal: tuple[float, float] | None = (least, most)
    else:
        least, most = float(moved.least), float(moved.most)
        low, high = moved.low, moved.high
        normal = None if low is None or high is None else (float(low), float(high))
    in_doubt = in_doubt and bool(found.typed)
    if in_doubt:
        normal = None
    if found.basis == "predicted":
        normal = None
        least = min(least, found.low, found.lowest.low)
        most = max(most, found.high, found.highest.high)
    return Bounds(least, most, normal, in_doubt)


class Usual(NamedTuple):
    """What everything connected makes on good days.

    ``total`` [Pa] is None where that is only predicted or in doubt; ``apart``: what contradicts
    what.
    """

    bounds: Bounds
    basis: str
    total: tuple[float, float] | None
    apart: str = ""
    left_out: float = 0.0
    """What of the most [Pa] is for parts without a known resistance, or not listed."""

    def told(self, show: Callable[[float], str], unit: str) -> str:
        """What everything connected makes on good days, and how far that is known."""
        edges = self.bounds
        wide = f"{show(edges.least)} to {show(edges.most)}"
        if edges.normal is not None:
            normal = " to ".join(show(end) for end in edges.normal)
            if normal != wide:
                wide = f"{normal}, and as far as that is known {wide}"
        elif edges.in_doubt:
            return f"a band that is in doubt: {wide}"
        elif self.basis == "predicted":
            wide = f"predicted, not measured: {wide}"
        elif self.apart:
            wide = f"{self.apart} contradict each other: {wide}"
        if self.left_out:
            wide += f", {allowed(self.left_out, unit)} of it for {PARTS_LEFT_OUT}"
        return wide


def usual(profile: Profile, moved: MovedBand | None, *, in_doubt: bool) -> Usual | None:
    """That of a profile as its steps are read, its band ``moved`` there; None where nothing says.

    Measured pairs outrank a band that nobody measured.
    """
    band = None if outranked(profile, lambda: predict(profile)) else profile.normal_band
    if band is None:
        profile, moved = profile.model_copy(update={"expected": None}), None
    try:
        found = normal_pressure(profile, lambda: predict(profile))
    except CannotPredict:
        return None
    edges = bounds(found, moved, in_doubt=in_doubt)
    total: tuple[float, float] | None = edges.least, edges.most
    by_itself = band is None or not (band.is_moved or profile.source)
    if edges.in_doubt or (found.basis == "predicted" and by_itself):
        total = None
    apart = " and ".join(statement.name for statement in moved.apart) if moved is not None else ""
    return Usual(edges, found.basis, total, apart, found.left_out)
