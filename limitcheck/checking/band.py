"""What the expected band of a profile may be called, wherever it is drawn or listed.

One decision, that of a reading: nothing is normal of a band that is in doubt, of one that is only
predicted, or of one that measured pairs outrank.
"""

from __future__ import annotations

from typing import Literal, NamedTuple, TypeAlias

from ..profile.model import Profile
from ..units import Pressure

UNUSED = "not used: measured pairs say what is normal"

Called: TypeAlias = Literal["normal", "predicted", "not used", "in doubt"]


class Band(NamedTuple):
    """The ends as typed; `doubt` says in a few words why a band in doubt is not to go by."""

    low: Pressure
    high: Pressure
    basis: str
    called: Called
    doubt: str = ""

    @property
    def normal(self) -> bool:
        """Whether a pressure within it is normal."""
        return self.called == "normal"

    @property
    def why_not(self) -> str:
        """Why nothing is normal of it, in a few words; empty where something is."""
        why = {"in doubt": f"in doubt: {self.doubt}", "predicted": "only predicted"}
        return why.get(self.called, UNUSED) if not self.normal else ""


def band_of(profile: Profile, *, doubt: str) -> Band | None:
    """The expected band of a profile; `doubt` is what findings say against it, empty for nothing.

    None where it has none.
    """
    expected = profile.expected
    if expected is None:
        return None
    if expected.inverted:
        doubt = f"low {expected.low} is above high {expected.high}"
    elif expected.no_band:
        doubt = f"no run reads {expected.low}"
    called: Called = "normal"
    if doubt:
        called = "in doubt"
    elif _outranked(profile):
        called = "not used"
    elif expected.basis == "predicted":
        called = "predicted"
    return Band(expected.low, expected.high, expected.basis, called, doubt)


def _outranked(profile: Profile) -> bool:
    """Whether measured pairs say what is normal better than the band of a profile."""
    if not profile.measured:
        return False
    from ..physics.faults.normal import outranked
    from ..physics.predict import predict

    return outranked(profile, lambda: predict(profile))
