"""Proposed cutoffs: the largest safe high, the smallest useful low, and what binds them.

High = the largest storable value not above expected high × (1 + margin) and not above the
weakest rating × (1 − headroom); low = the smallest storable value not under
expected low × (1 − margin). All exact; the display step rounds the safe way.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from .findings import KeyPath
from .policy import Margins
from .profile.hardware import RatedPart, under_pressure, weakest
from .profile.model import Expected, Profile
from .units import Pressure, plain, round_down, round_up


@dataclass(frozen=True, slots=True)
class Bound:
    """One upper or lower bound on a cutoff, exact, with the reason in words."""

    reason: str
    pressure: Pressure
    path: KeyPath


@dataclass(frozen=True, slots=True)
class Limit:
    """One proposed cutoff: every bound, the one that binds, and the storable number."""

    bounds: tuple[Bound, ...]
    binding: Bound
    pressure: Pressure

    @property
    def enter(self) -> str:
        """The number to type, in the instrument's unit."""
        return plain(self.pressure.to(self.pressure.unit))


@dataclass(frozen=True, slots=True)
class Proposal:
    """Proposed cutoffs; None with a reason where there is none."""

    high: Limit | None
    low: Limit | None
    no_high: str | None
    no_low: str | None
    weakest: RatedPart | None


def propose(profile: Profile, margins: Margins) -> Proposal:
    """The cutoffs for a profile under these margins."""
    part, expected = weakest(under_pressure(profile)), profile.expected
    bounds = _high_bounds(expected, part, margins)
    high, no_high = _high(profile, bounds, margins)
    low, no_low = _low(profile, expected, margins, high)
    return Proposal(high, low, no_high, no_low, part)


def _high_bounds(
    expected: Expected | None, part: RatedPart | None, margins: Margins
) -> tuple[Bound, ...]:
    bounds = []
    if expected is not None:
        above = _scaled(expected.high, 1 + margins.high)
        reason = f"expected high {expected.high} + {percent(margins.high)}"
        bounds.append(Bound(reason, above, ("expected", "high")))
    if part is not None:
        under = _scaled(part.pressure, 1 - margins.headroom)
        reason = f"weakest rating, {part.name} {part.pressure} - {percent(margins.headroom)}"
        bounds.append(Bound(reason, under, part.path))
    return tuple(bounds)


def _high(
    profile: Profile, bounds: tuple[Bound, ...], margins: Margins
) -> tuple[Limit | None, str | None]:
    if not bounds:
        return None, "neither an expected pressure nor a rating is given"
    instrument, expected = profile.instrument, profile.expected
    unit = instrument.pressure_unit
    binding = min(bounds, key=lambda bound: bound.pressure.value)
    most = binding.pressure.to(unit)
    if instrument.entry_max is not None:
        most = min(most, instrument.entry_max)
    stored = round_down(most, instrument.step)
    pressure = Pressure.of(stored, unit)
    if stored <= 0:
        return None, f"no storable number is left under {binding.reason}"
    if expected is not None and pressure.value < expected.high.value * (1 + margins.high_thin):
        return None, (
            f"the largest safe value, {pressure}, is not {percent(margins.high_thin)} above the "
            f"expected high {expected.high}"
        )
    return Limit(bounds, binding, pressure), None


def _low(
    profile: Profile, expected: Expected | None, margins: Margins, high: Limit | None
) -> tuple[Limit | None, str | None]:
    if expected is None:
        return None, "no expected pressure is given"
    instrument = profile.instrument
    above = _scaled(expected.low, 1 - margins.low)
    reason = f"expected low {expected.low} - {percent(margins.low)}"
    binding = Bound(reason, above, ("expected", "low"))
    stored = round_up(above.to(instrument.pressure_unit), instrument.step)
    pressure = Pressure.of(stored, instrument.pressure_unit)
    if stored <= 0:
        return None, f"the expected low {expected.low} leaves nothing to set"
    if pressure.value > expected.low.value * margins.low_thin:
        return None, (
            f"the display step {plain(instrument.step)} {instrument.pressure_unit} is too coarse: "
            f"the next value, {pressure}, is over {percent(margins.low_thin)} of {expected.low}"
        )
    if high is not None and pressure.value >= high.pressure.value:
        return None, f"{pressure} is not under the high cutoff {high.pressure}"
    return Limit((binding,), binding, pressure), None


def _scaled(pressure: Pressure, by: Fraction) -> Pressure:
    return Pressure.of(pressure.to(pressure.unit) * by, pressure.unit)


def percent(share: Fraction) -> str:
    """A share as text, "25 %"."""
    return f"{plain(share * 100)} %"
