"""The pressure under each fault, the cutoff that stops it, and the smallest fault seen."""

from __future__ import annotations

from collections.abc import Callable
from functools import cached_property, partial
from typing import Literal, NamedTuple

from ..flow_path import first_column
from ..liquid import CannotPredict
from ..ratio import RatioInterval
from .changes import (
    COLUMN_ALONE,
    FAULTS,
    TUBES_BLOCKED,
    NormalRun,
    Ratios,
    Where,
    reached,
    under_fault,
)
from .normal import Cutoff, Normal
from .plug import PLUG_LENGTH

Certainty = Literal["always", "usually", "sometimes"]


class FaultEffect(NamedTuple):
    """The pressure [Pa] under one fault, and the cutoff that stops the pump.

    ``stopped_by`` None: nobody notices. ``certainty`` says over how much of the band it
    stops: "always", "usually" (from the middle on) or "sometimes" (only at its end). ``most`` is
    the pressure where the normal one is at the high end of the band.
    """

    name: str
    description: str
    low: float
    central: float
    high: float
    most: float
    ratio: RatioInterval
    stopped_by: Cutoff | None
    certainty: Certainty | None


class NotComputed(NamedTuple):
    """A fault whose pressure this profile does not let us compute, and why."""

    name: str
    reason: str


class Smallest(NamedTuple):
    """The smallest blockage or leak that a cutoff sees.

    ``earliest`` starts from the end of the normal band nearer to the cutoff, ``latest`` from
    the other end; shares [-]: of the cross-section closed, of the flow lost, or of the
    normal pressure added. None where the cutoff never sees it; ``reason`` says why.
    """

    name: str
    description: str
    earliest: float | None
    latest: float | None
    reason: str | None = None


Tried = tuple[tuple[FaultEffect, ...], tuple[NotComputed, ...]]


class Faults(NormalRun):
    """The faults of one profile; figures are worked out when asked for.

    Raises ``CannotPredict`` from ``normal`` where no pressure is declared or predictable.
    """

    @property
    def effects(self) -> tuple[FaultEffect, ...]:
        """Every fault that can be computed."""
        return self._tried[0]

    @property
    def not_computed(self) -> tuple[NotComputed, ...]:
        """Every other fault, with the reason."""
        return self._tried[1]

    @cached_property
    def _tried(self) -> Tried:
        normal = self.normal
        effects: list[FaultEffect] = []
        missing: list[NotComputed] = []
        for name, fault in FAULTS.items():
            try:
                effects.append(self._effect(normal, name, *fault(self)))
            except CannotPredict as error:
                missing.append(NotComputed(name, error.message))
        return tuple(effects), tuple(missing)

    def cutoff(self, which: Cutoff) -> float | None:
        """A cutoff [Pa]; None where it is absent or off."""
        cutoffs = self.profile.cutoffs
        value = cutoffs.high if which == "high" else cutoffs.low
        return float(value) if value is not None and value.value > 0 else None

    def _effect(self, normal: Normal, name: str, description: str, ratios: Ratios) -> FaultEffect:
        at_lowest, at_highest = ratios
        first, last = normal.lowest, normal.highest
        low = min(first.low * at_lowest.low, last.low * at_highest.low)
        kept = self._kept(name)
        high = max(
            under_fault(first.high, at_lowest.high, kept),
            under_fault(last.high, at_highest.high, kept),
        )
        central = 0.5 * (first.central * at_lowest.central + last.central * at_highest.central)
        most = reached(normal, ratios)
        stop = self._stop(ratios, kept)
        return FaultEffect(name, description, low, central, high, most, at_highest, *stop)

    def _kept(self, name: str) -> float:
        """What parts left out take under a fault as before [Pa]: where it is the column's alone."""
        return self.normal.left_out if name in COLUMN_ALONE else 0.0

    def _stop(self, ratios: Ratios, kept: float) -> tuple[Cutoff | None, Certainty | None]:
        """Which cutoff stops the pump, and over how much of the band."""
        cutoffs: tuple[tuple[Cutoff, RatioInterval], ...]
        cutoffs = (("high", ratios[1]), ("low", ratios[0]))
        for which, at in cutoffs:
            limit = self.cutoff(which)
            if limit is None or (at.central <= 1.0 if which == "high" else at.central >= 1.0):
                continue  # away from it: where it stops the pump, the normal run does
            normal = self.normal.reaching(which)
            ends = [pressure * r for pressure, r in zip(normal, at, strict=True)]
            ends[-1] = under_fault(normal.high, at.high, kept)
            if which == "low":
                ends.reverse()
            passed = [end >= limit if which == "high" else end <= limit for end in ends]
            if any(passed):
                words: tuple[Certainty, ...] = ("always", "usually", "sometimes")
                return which, words[passed.index(True)]
        return None, None

    @cached_property
    def smallest(self) -> tuple[Smallest, ...]:
        """The smallest blockages and the smallest leak that these cutoffs see."""
        return (
            self._smallest(
                "inlet-frit-blocked", "pressure added by the inlet frit", "high", lambda rise: rise
            ),
            self._smallest("bed-blocked", "cross-section of the bed closed", "high", self._bed),
            *(
                self._smallest(
                    name,
                    f"cross-section of the tubing {where} closed over {PLUG_LENGTH * 1e3:.0f} mm",
                    "high",
                    partial(self._plug, where),
                )
                for name, where in TUBES_BLOCKED.items()
            ),
            self._smallest("leak", "flow lost before the column", "low", lambda rise: -rise),
        )

    def _bed(self, rise: float) -> float:
        share = self.share(first_column(self.profile)[0])
        return 1.0 - 1.0 / (1.0 + rise / share)

    def _plug(self, where: Where, rise: float) -> float:
        return self.plug_closed(self.narrowest(where), rise)

    def _smallest(
        self, name: str, description: str, which: Cutoff, size: Callable[[float], float]
    ) -> Smallest:
        limit = self.cutoff(which)
        if limit is None:
            off = "no high cutoff" if which == "high" else "the low cutoff is off"
            return Smallest(name, description, None, None, f"never seen, {off}")
        normal = self.normal.reaching(which)
        if not normal.low:
            return Smallest(name, description, None, None, "not computed, it may be no pressure")
        rises = [limit / start - 1.0 for start in (normal.low, normal.high)]
        if which == "high":
            earliest, latest = (max(rise, 0.0) for rise in reversed(rises))
        else:
            earliest, latest = (min(rise, 0.0) for rise in rises)
        try:
            return Smallest(name, description, size(earliest), size(latest))
        except CannotPredict as error:
            return Smallest(name, description, None, None, f"not computed, {error.message}")
