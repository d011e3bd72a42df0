"""The order every sound profile keeps. It knows nothing of `limitcheck.meant`."""

from __future__ import annotations

from fractions import Fraction
from itertools import pairwise

from limitcheck.profile.hardware import under_pressure
from limitcheck.profile.model import Profile
from limitcheck.units import Pressure

ROUNDING = Fraction(1005, 1000)
"""A cutoff may be this many times a rating or the largest entry: rounded, not mistaken."""


def in_order(profile: Profile) -> bool:
    """low < expected low <= expected high < high <= largest entry and every rating up to the
    column, as far as the profile has them."""
    cutoffs, expected = profile.cutoffs, profile.expected
    high = cutoffs.high.value if cutoffs.high else None
    low = cutoffs.low.value if cutoffs.low else None
    limits = [part.pressure.value for part in under_pressure(profile)]
    if profile.instrument.entry_max is not None:
        unit = profile.instrument.pressure_unit
        limits.append(Pressure.of(profile.instrument.entry_max, unit).value)
    band = (expected.low.value, expected.high.value) if expected else None
    if band is not None and band[0] > band[1]:
        return False
    rising = [x for x in (low, *(band or ()), high) if x]
    if not all(a < b or (a, b) == band for a, b in pairwise(rising)):
        return False
    top = max(rising, default=Fraction(0))
    return all(top <= limit * ROUNDING for limit in limits)
