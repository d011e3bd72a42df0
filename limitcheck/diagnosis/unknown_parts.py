"""Parts of which nobody knows what they take: none is named from a number worked out without them.

A back-pressure restrictor takes what it is made for: only readings of a good day say how much.
Other parts that a prediction leaves out, or that a profile does not list, take up to an allowance.
"""

from __future__ import annotations

from collections.abc import Sequence

from ..physics.left_out import PARTS_LEFT_OUT, allowed
from .measurements import Measurements
from .steps import Excess


def within_allowance(work: Measurements, excess: Excess) -> bool:
    """Whether parts left out may take all of an excess that is only predicted."""
    return bool(work.left_out) and (excess.low is None or excess.low <= work.left_out)


def not_to_be_named(work: Measurements, able: Sequence[Excess]) -> str | None:
    """Why the restriction can't be said to sit in one of these, a sentence; None where it can."""
    for excess in able:
        unknown = [i for i in excess.places if i in work.restrictors]
        if unknown and excess.normal is None:
            steps = ", ".join(
                f"--normal {name}=..." for name in (excess.before, excess.after) if name
            )
            return (
                f"{work.show(excess.drop)} is over {', '.join(excess.parts)}, and what the "
                f"{work.names(unknown[:1])[0]} takes on a good day is not known: whether a "
                f"restriction sits there can't be told. Readings of a good day tell: {steps}."
            )
    more = work.left_out
    small = [e for e in able if within_allowance(work, e)]
    if len(small) < len(able) or not small:
        return None  # another is above all that these may take
    where = ", or ".join(", ".join(excess.parts) for excess in small)
    return (
        f"more than predicted is over {where}, but {PARTS_LEFT_OUT}, listed or "
        f"not, may take {allowed(more, work.unit)} of it: whether a restriction sits there "
        "can't be told. Readings of every step on a good day tell."
    )
