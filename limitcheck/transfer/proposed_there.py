"""What to type for a method on another instrument: the one answer of `fit` and `transfer --new`."""

from __future__ import annotations

from datetime import date
from typing import NamedTuple

from ..checking.proposed import CutoffsToType, cutoffs_to_type, mistaken_cutoffs
from ..checking.recommendations import recommend
from ..checks.engine import check_profile
from ..physics.liquid import CannotPredict
from ..physics.ratio import RatioInterval
from ..policy import Policy
from ..profile.model import Profile
from ..profile.unrated import not_rated
from .normal_pressure import expecting_there, not_used, scaled_band


class ProposedThere(NamedTuple):
    """A method on another instrument with the band to expect there, and its cutoffs.

    `ratio` is the predicted pressure there over that on the method's own instrument, where the
    run is highest. `reason` says why nothing can be typed; None where both cutoffs can.
    `correct_first` says what is wrong with the method's own cutoffs, which nothing there rests on.
    """

    profile: Profile
    cutoffs: CutoffsToType
    ratio: RatioInterval | None
    reason: str | None
    correct_first: str = ""


def propose_there(sending: Profile, there: Profile, policy: Policy, today: date) -> ProposedThere:
    """The method as `on_instrument` puts it there, under the policy in force there."""
    nothing = CutoffsToType((), ())
    if (lacking := not_rated(there)) is not None:
        return ProposedThere(there, nothing, None, lacking.reason)
    if sending.expected is not None and sending.expected.inverted:
        return ProposedThere(there, nothing, None, not_used("sending"))
    own = recommend(check_profile(sending, policy, today), propose=True)
    if (mistaken := CutoffsToType(own.recommendations, own.withheld).not_alone) is not None:
        return ProposedThere(there, nothing, None, f"in the sending profile {mistaken}")
    try:
        profile = expecting_there(sending, there)
        ratio = scaled_band(sending, there).ratio.highest if sending.expected else None
    except CannotPredict as error:
        unknown = f"its pressure there cannot be predicted ({error.message})"
        return ProposedThere(there, nothing, None, unknown)
    cutoffs = cutoffs_to_type(profile, policy, today)
    reason = cutoffs.not_alone or cutoffs.reason("high") or cutoffs.reason("low")
    told = "; ".join(mistaken_cutoffs(own.findings, own.recommendations))
    return ProposedThere(profile, cutoffs, ratio, reason, told)
