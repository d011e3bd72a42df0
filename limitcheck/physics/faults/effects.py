"""The pressure under each fault, the cutoff that stops it, and the smallest fault seen."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from functools import cached_property
from math import sqrt
from typing import Literal, NamedTuple

from ...profile.model import Profile
from ..flow_path import first_column
from ..liquid import CannotPredict
from ..ratio import RatioInterval
from .changes import FAULTS, NormalRun, Ratios, Where

Cutoff = Literal["high", "low"]
Certainty = Literal["always", "usually", "sometimes"]


class Normal(NamedTuple):
    """The normal pressure [Pa] over the whole run, and where it comes from.

    ``gradient``: the band is the course of one run, not the spread of many readings.
    """

    low: float
    high: float
    basis: str
    gradient: bool

    @property
    def central(self) -> float:
        """The middle of the band [Pa]."""
        return 0.5 * (self.low + self.high)

    def reaching(self, cutoff: Cutoff) -> tuple[float, float]:
        """The normal pressures [Pa] that reach a cutoff first: all, or a gradient's extreme."""
        if not self.gradient:
            return self.low, self.high
        return (self.high, self.high) if cutoff == "high" else (self.low, self.low)


class FaultEffect(NamedTuple):
    """The pressure [Pa] under one fault, and the cutoff that stops the pump.

    ``stopped_by`` None: nobody notices. ``certainty`` says over how much of the band it
    stops: "always", "usually" (from the middle on) or "sometimes" (only at its end).
    """

    name: str
    description: str
    low: float
    central: float
    high: float
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
    reason: str = ""


class Faults:
    """The faults of one profile; figures are worked out when asked for.

    Raises ``CannotPredict`` from ``normal`` where no pressure is declared or predictable.
    """

    def __init__(self, profile: Profile) -> None:
        self.profile = profile
        self.run = NormalRun(profile)

    @cached_property
    def normal(self) -> Normal:
        """The normal pressure [Pa]: the declared band, else the predicted one."""
        expected = self.profile.expected
        conditions = self.profile.conditions
        gradient = conditions is not None and conditions.gradient is not None
        if expected is not None and 0 < expected.low.value <= expected.high.value:
            return Normal(float(expected.low), float(expected.high), expected.basis, gradient)
        found = self.run.prediction
        if gradient:
            return Normal(found.lowest.central, found.highest.central, "predicted", gradient)
        return Normal(found.low, found.high, "predicted", gradient)

    @property
    def effects(self) -> tuple[FaultEffect, ...]:
        """Every fault that can be computed."""
        return self._tried[0]

    @property
    def not_computed(self) -> tuple[NotComputed, ...]:
        """Every other fault, with the reason."""
        return self._tried[1]

    @cached_property
    def _tried(self) -> tuple[tuple[FaultEffect, ...], tuple[NotComputed, ...]]:
        return self.tried(FAULTS)

    def tried(
        self, names: Iterable[str]
    ) -> tuple[tuple[FaultEffect, ...], tuple[NotComputed, ...]]:
        """Some of the faults: those that can be computed, and the others.

        Raises CannotPredict where there is no normal pressure to start from.
        """
        normal = self.normal
        effects: list[FaultEffect] = []
        missing: list[NotComputed] = []
        for name in names:
            try:
                effects.append(self._effect(normal, name, *FAULTS[name](self.run)))
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
        low = min(normal.low * at_lowest.low, normal.high * at_highest.low)
        high = max(normal.low * at_lowest.high, normal.high * at_highest.high)
        central = 0.5 * (normal.low * at_lowest.central + normal.high * at_highest.central)
        return FaultEffect(name, description, low, central, high, at_highest, *self._stop(ratios))

    def _stop(self, ratios: Ratios) -> tuple[Cutoff | None, Certainty | None]:
        """Which cutoff stops the pump, and over how much of the band."""
        at_lowest, at_highest = ratios
        limit = self.cutoff("high")
        first, last = self.normal.reaching("high")
        middle = 0.5 * (first + last) * at_highest.central
        if limit is not None and last * at_highest.high >= limit:
            sure = first * at_highest.low >= limit
            return "high", "always" if sure else "usually" if middle >= limit else "sometimes"
        limit = self.cutoff("low")
        first, last = self.normal.reaching("low")
        middle = 0.5 * (first + last) * at_lowest.central
        if limit is not None and first * at_lowest.low <= limit:
            sure = last * at_lowest.high <= limit
            return "low", "always" if sure else "usually" if middle <= limit else "sometimes"
        return None, None

    @cached_property
    def smallest(self) -> tuple[Smallest, ...]:
        """The smallest blockages and the smallest leak that these cutoffs see."""
        column, _ = first_column(self.profile)
        return (
            self._smallest(
                "inlet-frit-blocked", "pressure added by the inlet frit", "high", lambda rise: rise
            ),
            self._smallest(
                "bed-blocked",
                "cross-section of the bed closed",
                "high",
                lambda rise: 1.0 - 1.0 / (1.0 + rise / self.run.share(column)),
            ),
            self._smallest("tubing-before-injector-blocked", *self._bore("before the injector")),
            self._smallest("tubing-after-injector-blocked", *self._bore("after the injector")),
            self._smallest("leak", "flow lost before the column", "low", lambda rise: -rise),
        )

    def _bore(self, where: Where) -> tuple[str, Cutoff, Callable[[float], float]]:
        def closed(rise: float) -> float:
            share = self.run.share(self.run.narrowest(where).place)
            return 1.0 - 1.0 / sqrt(1.0 + rise / share)

        return f"cross-section of the tubing {where} closed", "high", closed

    def _smallest(
        self, name: str, description: str, which: Cutoff, size: Callable[[float], float]
    ) -> Smallest:
        limit = self.cutoff(which)
        if limit is None:
            reason = "never seen, " + (
                "no high cutoff" if which == "high" else "the low cutoff is off"
            )
            return Smallest(name, description, None, None, reason)
        first, last = self.normal.reaching(which)
        near, far = (last, first) if which == "high" else (first, last)
        try:
            earliest, latest = (size(self._rise(limit, n, which)) for n in (near, far))
        except CannotPredict as error:
            return Smallest(name, description, None, None, f"not computed, {error.message}")
        return Smallest(name, description, earliest, latest)

    @staticmethod
    def _rise(limit: float, start: float, which: Cutoff) -> float:
        """Relative change [-] from a normal pressure to a cutoff; 0 where it is past it."""
        change = limit / start - 1.0
        return max(change, 0.0) if which == "high" else min(change, 0.0)
