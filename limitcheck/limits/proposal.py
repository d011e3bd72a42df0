"""The largest high cutoff within the margins and the smallest low one, with what binds them.

High = the largest storable value not above expected high × (1 + margin), nor above the
weakest rating × (1 − headroom), nor above what the field takes; low = the smallest storable
value not under expected low × (1 − margin). All exact; the display step rounds the safe way.
A margin set wider than what counts as wide is cut to that, so that a proposal passes its own
checks.
"""

from __future__ import annotations

from fractions import Fraction
from typing import NamedTuple

from ..findings import KeyPath
from ..policy import Margins
from ..profile.hardware import RatedPart, under_pressure, weakest
from ..profile.model import Expected, Profile
from ..profile.unrated import not_rated, without_rating
from ..units import Pressure, percent, plain, round_down, round_up
from ..units.printing import as_read


class Bound(NamedTuple):
    """One upper or lower bound on a cutoff, exact, with the reason in words."""

    reason: str
    pressure: Pressure
    path: KeyPath


class Limit(NamedTuple):
    """One proposed cutoff: every bound, the one that binds, and the storable number."""

    bounds: tuple[Bound, ...]
    binding: Bound
    pressure: Pressure

    @property
    def enter(self) -> str:
        """The number to type, in the instrument's unit."""
        return plain(self.pressure.to(self.pressure.unit))


class Proposal(NamedTuple):
    """Proposed cutoffs; None with a reason where there is none."""

    high: Limit | None
    low: Limit | None
    no_high: str | None
    no_low: str | None
    high_bounds: tuple[Bound, ...]
    unrated: tuple[str, ...]
    """Parts up to the column without a rating: no bound comes of them."""


class Reached(NamedTuple):
    """The least and the most [Pa] that a pressure of a run is predicted to be, and in words."""

    least: float
    most: float
    told: str
    """In the instrument's unit, with what makes it wider than the prediction's own interval."""


def propose(
    profile: Profile,
    margins: Margins,
    reached: Reached | None = None,
    lowest: Reached | None = None,
) -> Proposal:
    """The cutoffs for a profile under these margins.

    ``reached`` is what its runs are predicted to reach, where no band says what is normal: a high
    cutoff that is not above the most of it may stop good runs, and is not proposed.
    """
    bounds = _high_bounds(profile, weakest(under_pressure(profile)), margins)
    high, no_high = _high(profile, bounds, margins, reached)
    low, no_low = _low(profile, margins, lowest)
    unrated = tuple(part.name for part in without_rating(profile))
    return Proposal(high, low, no_high, no_low, bounds, unrated)


def least_high(expected: Expected, margins: Margins) -> Pressure:
    """What a high cutoff must reach to let normal runs pass."""
    return expected.high.times(1 + margins.high_thin)


def expecting(profile: Profile, by: Fraction) -> Profile:
    """The profile with its expected band, if it has one, times a factor."""
    expected = profile.expected
    if expected is None:
        return profile
    band = {"low": expected.low.times(by), "high": expected.high.times(by)}
    return profile.model_copy(update={"expected": expected.model_copy(update=band)})


def _high_bounds(profile: Profile, part: RatedPart | None, margins: Margins) -> tuple[Bound, ...]:
    """Every bound from above; none where neither a rating nor an expected pressure is given."""
    expected, instrument = profile.normal_band, profile.instrument
    bounds = []
    if expected is not None:
        margin = min(margins.high, margins.high_wide)
        reason = f"expected high {expected.high} + {percent(margin)}{_cut(margin < margins.high)}"
        bounds.append(Bound(reason, expected.high.times(1 + margin), ("expected", "high")))
    if part is not None:
        reason = f"weakest rating, {part.told} - {percent(margins.headroom)}"
        bounds.append(Bound(reason, part.pressure.times(1 - margins.headroom), part.path))
    if bounds and instrument.entry_max is not None:
        most = Pressure.of(instrument.entry_max, instrument.pressure_unit)
        reason = f"largest value that the field takes, {most}"
        bounds.append(Bound(reason, most, ("instrument", "entry_max")))
    return tuple(bounds)


def _high(
    profile: Profile, bounds: tuple[Bound, ...], margins: Margins, reached: Reached | None
) -> tuple[Limit | None, str | None]:
    instrument, expected = profile.instrument, profile.expected
    if expected is not None and expected.no_band:
        return None, _no_band(expected)
    if not bounds:
        return None, "neither an expected pressure nor a rating is given"
    if (lacking := not_rated(profile)) is not None:
        return None, f"{lacking.reason}, and a high cutoff protects the weakest part"
    unit = instrument.pressure_unit
    binding = min(bounds, key=lambda bound: bound.pressure.value)
    stored = round_down(binding.pressure.to(unit), instrument.step)
    pressure = Pressure.of(stored, unit)
    if stored <= 0:
        return None, f"no storable number is left under {binding.reason}"
    if expected is not None and pressure < least_high(expected, margins):
        return None, (
            f"the largest value within the margins, {pressure}, is not "
            f"{percent(margins.high_thin)} above the expected high {expected.high}"
        )
    if reached is not None and float(pressure) <= reached.most:
        largest = f"the largest value within the margins, {pressure}"
        if float(pressure) <= reached.least:
            least = as_read(reached.least, unit)
            return None, (
                f"these runs are predicted to reach at least {least} {unit}, and {largest}, would "
                "stop them all: check the unit, the geometry and the flow; if they are right, this "
                "hardware does not suit the method"
            )
        return None, (
            f"these runs are predicted to reach {reached.told}, and {largest}, may stop them: "
            "measure the normal pressure and give it in [expected]"
        )
    return Limit(bounds, binding, pressure), None


def _low(
    profile: Profile, margins: Margins, lowest: Reached | None
) -> tuple[Limit | None, str | None]:
    instrument, expected = profile.instrument, profile.expected
    if expected is None:
        return None, "no expected pressure is given"
    if expected.no_band:
        return None, _no_band(expected)
    share = max(1 - margins.low, margins.low_wide)
    cut = _cut(share > 1 - margins.low)
    reason = f"expected low {expected.low} - {percent(1 - share)}{cut}"
    binding = Bound(reason, expected.low.times(share), ("expected", "low"))
    unit = instrument.pressure_unit
    stored = round_up(binding.pressure.to(unit), instrument.step)
    pressure = Pressure.of(stored, unit)
    if pressure.value > expected.low.value * margins.low_thin:
        return None, (
            f"the display step {plain(instrument.step)} {unit} is too coarse: the next value, "
            f"{pressure}, is over {percent(margins.low_thin)} of {expected.low}"
        )
    if instrument.entry_max is not None and stored > instrument.entry_max:
        return None, f"the field takes no more than {plain(instrument.entry_max)} {unit}"
    if lowest is not None and float(pressure) >= lowest.least:
        return None, (
            f"at the lowest these runs are predicted to make {lowest.told}, and {pressure} may "
            "stop them: measure the normal pressure and give it in [expected]"
        )
    return Limit((binding,), binding, pressure), None


def _no_band(expected: Expected) -> str:
    if not expected.inverted:
        return expected.no_band
    return f"the expected minimum {expected.low} is above the expected maximum {expected.high}"


def _cut(cut: bool) -> str:
    return ", more would be wide" if cut else ""
