"""The order in which causes are looked at, and why, in words.

Fit counts most, then what was told, then how often a cause is seen (common practice, no source).
Points order and are never shown: no share of certainty can be made of them.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from .catalogue import FAMILIES, Common, Family
from .causes import Cause
from .telling import LEAK_SEEN, Spoken, Told, spoken

_ALIKE = 3.0  # ratio of likelihoods
_FIT = {"fits": 2, "near": 4, "does not fit": 30}
_BEST = 0
_COMMON: dict[Common, int] = {"often seen": 0, "sometimes seen": 2, "seldom seen": 4}
_FOR, _AGAINST, _SEEN = -2, 3, -6


@dataclass(frozen=True, slots=True)
class Ranked:
    """A cause with what the answers say of it, and its reasons in words."""

    cause: Cause
    spoken: Spoken

    @property
    def points(self) -> int:
        """Fewer come first."""
        cause = self.cause
        fit = _BEST if cause.alike else _FIT[cause.fit]
        told = _FOR * len(self.spoken.for_it) + _AGAINST * len(self.spoken.against)
        if LEAK_SEEN in self.spoken.for_it:
            told += _SEEN  # what is seen needs no likelihood
        return fit + _COMMON[cause.common] + told

    @property
    def order(self) -> tuple[int, int, int, float]:
        """What sorts causes: points, then the more common, then the cheaper test."""
        cause = self.cause
        return self.points, _COMMON[cause.common], cause.known.test.effort, cause.distance

    @property
    def reasons(self) -> tuple[str, ...]:
        """Why it stands where it stands."""
        cause = self.cause
        fit = "fits best" if cause.alike else "nearly fits" if cause.fit == "near" else cause.fit
        told = (*self.spoken.for_it, *(f"but {text}" for text in self.spoken.against))
        return (fit, cause.common, *told)


@dataclass(frozen=True, slots=True)
class Group:
    """Causes of one kind that fit and that pressure alone can't tell apart, the first first."""

    family: Family
    members: tuple[Ranked, ...]

    @property
    def words(self) -> str:
        """The kind in words."""
        return FAMILIES[self.family]


def ranked(found: Iterable[Cause], usual: float, told: Told, swings: bool | None
           ) -> tuple[Ranked, ...]:  # fmt: skip
    """All causes in order; `usual` is how likely the reading is with nothing wrong at all."""
    listed = list(found)
    best = max([usual, *(cause.likelihood for cause in listed)])
    marked = (replace(c, alike=c.fit == "fits" and c.likelihood * _ALIKE >= best) for c in listed)
    all_of_them = (Ranked(cause, spoken(cause.known, told, swings)) for cause in marked)
    return tuple(sorted(all_of_them, key=lambda ranked: ranked.order))


def groups(causes: Iterable[Ranked]) -> tuple[Group, ...]:
    """The causes that fit, or nearly, by kind; in the order of the first of each."""
    found: dict[Family, list[Ranked]] = {}
    for ranked in causes:
        if ranked.cause.fit != "does not fit":
            found.setdefault(ranked.cause.known.family, []).append(ranked)
    return tuple(Group(family, tuple(members)) for family, members in found.items())
