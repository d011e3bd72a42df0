"""What a laboratory decides once: margins, gradings, when a run fails. Plain data.

The defaults are common practice, no source. `settings.py` reads a repository's own policy.
"""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from typing import NamedTuple

from .findings import Severity
from .profile.model import Profile


class Margins(NamedTuple):
    """Margins as exact shares; `origin` says where each of high, low and headroom comes from."""

    high: Fraction = Fraction(25, 100)
    """Proposed high cutoff above the expected maximum."""
    low: Fraction = Fraction(50, 100)
    """Proposed low cutoff below the expected minimum."""
    headroom: Fraction = Fraction(10, 100)
    """Kept free under the weakest rating."""
    high_thin: Fraction = Fraction(10, 100)
    """A high cutoff less than this above the expected maximum stops normal runs."""
    high_wide: Fraction = Fraction(100, 100)
    """A high cutoff more than this above the expected maximum acts late."""
    low_thin: Fraction = Fraction(85, 100)
    """A low cutoff above this share of the expected minimum stops normal runs."""
    low_wide: Fraction = Fraction(5, 100)
    """A low cutoff under this share of the expected minimum sees only an open line."""
    origin: Mapping[str, str] = dict.fromkeys(("high", "low", "headroom"), "default")


class AdjustmentLimits(NamedTuple):
    """How far a method may be adjusted when it moves to another instrument.

    Shares are exact; percent are points of percent B. The first group is that of the harmonised
    pharmacopoeial chapter (`transfer/adjustment.py` says how well each is known), the second is
    how near a number counts as equal to what a rule gives (common practice, no source).
    """

    length_over_particle_less: Fraction = Fraction(25, 100)
    length_over_particle_more: Fraction = Fraction(50, 100)
    isocratic_flow: Fraction = Fraction(50, 100)
    isocratic_kelvin: Fraction = Fraction(10)
    gradient_kelvin: Fraction = Fraction(5)
    minor_component: Fraction = Fraction(30, 100)
    minor_component_percent: Fraction = Fraction(2)
    component_percent: Fraction = Fraction(10)
    ph: Fraction = Fraction(2, 10)
    buffer_salts: Fraction = Fraction(10, 100)

    gradient_flow: Fraction = Fraction(2, 100)
    gradient_step: Fraction = Fraction(2, 100)
    gradient_minutes: Fraction = Fraction(2, 100)
    dwell_minutes: Fraction = Fraction(5, 100)
    injection_volume: Fraction = Fraction(10, 100)

    edition: str | None = None
    """The edition and procedure a site works to, once it has read the limits there."""


class Policy(NamedTuple):
    """A repository's policy."""

    margins: Margins = Margins()
    fail_on: Severity = Severity.ERROR
    severities: Mapping[str, Severity | None] = {}
    """Check name to its grade here; None turns the check off."""
    require: tuple[str, ...] = ("core",)
    """Checks that may not be left undecided: names, `core` or `all`."""
    exclude: tuple[str, ...] = ()
    """Patterns of paths, relative to the policy file, that a folder search leaves out."""
    source: str | None = None
    """The file the policy was read from."""
    adjustments: AdjustmentLimits = AdjustmentLimits()


DEFAULT_POLICY = Policy()


def margins_for(profile: Profile, policy: Policy) -> Margins:
    """The policy's margins with those that the profile sets itself."""
    own = profile.margins
    given = {
        name: quantity.value
        for name, quantity in (("high", own.high), ("low", own.low), ("headroom", own.headroom))
        if quantity is not None
    }
    if not given:
        return policy.margins
    origin = {**policy.margins.origin, **dict.fromkeys(given, "profile")}
    return policy.margins._replace(**given, origin=origin)
