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


class AcceptanceRules(NamedTuple):
    """Which findings somebody may answer for, and how."""

    allowed: bool = True
    """Whether there may be acceptances at all."""
    until_required: bool = True
    """Whether an acceptance must have a last day."""
    never: tuple[str, ...] = (
        "high-cutoff-missing",
        "high-cutoff-above-rating",
        "rounded-over-rating",
        "rule-of-thumb-conversion:error",
        "rating-derated:error",
        "expected-above-rating",
    )
    """Checks that are never accepted; only their errors where the name ends in ":error"."""


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
    acceptances: AcceptanceRules = AcceptanceRules()
    source: str | None = None
    """The file the policy was read from."""


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
