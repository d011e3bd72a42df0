"""What to type for a method on another instrument: the one answer of `fit` and `transfer --new`."""

from __future__ import annotations

from datetime import date
from typing import NamedTuple

from ..checking.proposed import NAMES, CutoffsToType, cutoffs_to_type, mistaken_cutoffs
from ..checking.recommendations import recommend
from ..checks.engine import check_profile
from ..physics.liquid import CannotPredict
from ..physics.ratio import RatioInterval
from ..policy import Policy
from ..profile.model import Profile
from ..profile.unrated import not_rated
from ..units import Pressure, show
from .normal_pressure import ScaledBand, expecting_there, not_used, scaled_band


class ProposedThere(NamedTuple):
    """A method on another instrument with the band to expect there, and its cutoffs.

    `ratio` is the predicted pressure there over that on the method's own instrument, where the
    run is highest. `reason` says why nothing can be typed; None where both cutoffs can.
    `correct_first` says what is wrong with the method's own cutoffs, which nothing there rests on.
    `may_stop` says which of the cutoffs normal runs may reach, as far as their pressure there is
    known; empty where they reach none.
    """

    profile: Profile
    cutoffs: CutoffsToType
    ratio: RatioInterval | None
    reason: str | None
    correct_first: str = ""
    may_stop: str = ""


def propose_there(sending: Profile, there: Profile, policy: Policy, today: date) -> ProposedThere:
    """The method as `on_instrument` puts it there, under the policy in force there."""
    nothing = CutoffsToType((), ())
    if (lacking := not_rated(there)) is not None:
        return ProposedThere(there, nothing, None, lacking.reason)
    if sending.expected is not None and sending.expected.no_band:
        return ProposedThere(there, nothing, None, not_used("sending", sending.expected))
    own = recommend(check_profile(sending, policy, today), propose=True)
    if (mistaken := CutoffsToType(own.recommendations, own.withheld).not_alone) is not None:
        return ProposedThere(there, nothing, None, f"in the sending profile {mistaken}")
    try:
        profile = expecting_there(sending, there)
        scaled = scaled_band(sending, there) if sending.expected else None
    except CannotPredict as error:
        unknown = f"its pressure there cannot be predicted ({error.message})"
        return ProposedThere(there, nothing, None, unknown)
    cutoffs = cutoffs_to_type(profile, policy, today)
    reason = cutoffs.not_alone or cutoffs.reason("high") or cutoffs.reason("low")
    told = "; ".join(mistaken_cutoffs(own.findings, own.recommendations))
    if scaled is None:
        return ProposedThere(profile, cutoffs, None, reason, told)
    ratio, may_stop = scaled.ratio.highest, _may_stop(cutoffs, scaled)
    return ProposedThere(profile, cutoffs, ratio, reason, told, may_stop)


def _may_stop(cutoffs: CutoffsToType, scaled: ScaledBand) -> str:
    """Which cutoffs lie where normal runs may lie, a sentence without its stop."""
    least, most = scaled.low.low, scaled.high.high
    reached = []
    for name in NAMES:
        if (item := cutoffs.number(name)) is not None:
            typed = Pressure.of(item.enter, item.unit)
            if typed <= most if name == "high" else typed >= least:
                reached.append(f"the {name} cutoff, {typed},")
    if not reached:
        return ""
    span = f"{show(least, least.unit)} to {show(most, most.unit)}"
    return f"{' and '.join(reached)} may stop normal runs: they may lie anywhere from {span}"
