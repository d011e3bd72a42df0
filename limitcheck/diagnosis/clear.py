"""Excesses so large, and read so surely, that a small one elsewhere does not take them back.

The weights ask for an explanation of every reading. Where there is none, because a step reads a
little off what is normal, a restriction of many times that is a restriction all the same.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import compress

from .measurements import Measurements
from .steps import Excess
from .weighing import SURE, Weights

_LARGE = 0.2
"""Of the normal pressure: the least excess that is named so (assumed, no source)."""
_SMALL = 0.05
"""Of the normal pressure: how far another drop may be below normal (assumed, no source)."""
_MISREAD = 0.03  # of the weight


def clear_excesses(
    work: Measurements, excesses: Sequence[Excess], weights: Weights
) -> tuple[Excess, ...]:
    """The groups that are restricted beyond doubt, the largest first; none where that is open.

    Both readings beside each were taken twice, alike, and its excess is four standard deviations.
    """
    if weights.nothing + weights.even > 1 - SURE:
        return ()
    total = work.total()
    if any(excess.high is not None and excess.high < -_SMALL * total for excess in excesses):
        return ()
    trusted = {
        name
        for name, misread in zip(work.readings, weights.misread, strict=True)
        if len(work.repeated[name]) > 1 and misread < _MISREAD
    }
    clear = [
        excess.excess is not None
        and excess.low is not None
        and excess.excess >= _LARGE * total
        and excess.low > excess.excess / 2  # two standard deviations are as far as half of it
        and {excess.before, excess.after or excess.before} <= trusted
        for excess in excesses
    ]
    return tuple(sorted(compress(excesses, clear), key=lambda e: e.excess or 0.0, reverse=True))


def not_explained(
    work: Measurements, excesses: Sequence[Excess], named: Sequence[Excess]
) -> str | None:
    """The other drops that are not normal, in a sentence; None where all are."""
    off = [
        f"{work.show(abs(e.excess), 2)} {'more' if e.excess > 0 else 'less'} than usual over "
        f"{', '.join(e.parts)} (step {e.before})"
        for e in excesses
        if e not in named
        and e.excess is not None
        and e.low is not None
        and e.high is not None
        and not e.low <= 0.0 <= e.high
    ]
    return f"Not explained by that: {'; '.join(off)}" if off else None
