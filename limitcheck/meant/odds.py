"""From costs to odds, and from odds to the word of confidence.

Costs are negative log likelihoods: what a kind of slip costs, and what stays unusual under it.
With the numbers as typed, and a mistake of a kind not listed, as further alternatives they give
each explanation its probability. The figures are choices, common practice, no source;
tests/detection measures how often each word is right under them.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from math import exp, log, log1p

from ..findings import Confidence
from .evidence import INSTRUMENT, NEAR_UNIT, Evidence, Group, MeantNumber
from .relations import Broken

CERTAIN, LIKELY = 0.995, 0.9
"""The least probability for each word; below it is possible."""
POSSIBLE = Confidence.POSSIBLE
MARGIN = 7.5
"""Nothing is certain while another explanation is within this cost: odds of 1 to 1800."""
_MISTAKE, _MISTAKE_BY = 0.5, 3.0
"""Cost of a relation that is broken as typed, and more for each factor e it is missed by."""
_FAR, _FAR_BY = 3.0, 2.0
"""Missed by more than this factor, it is hardly an ordinary mistake."""
_UNLISTED = 8.5
"""Cost of a mistake of a kind not listed here."""
_WORTH_SAYING, _AGAINST_TYPED = 0.15, 0.4
"""Probability under which an explanation is not reported, alone and as a share of that of an
ordinary mistake."""
_MATTERS = 0.1
"""A rival is named from this share of the best explanation's probability on."""


@dataclass(frozen=True, slots=True)
class Explanation:
    """Numbers as they may have been meant, and how probable that is."""

    changes: tuple[MeantNumber, ...]
    cost: float
    probability: float = 0.0
    """That these numbers were meant so, whether others were mistaken beside them or not."""
    either: bool = False
    """Two kinds of slip give the same numbers: which one it was cannot be told."""
    near: bool = False
    """The near unit (bar for kgf/cm2, or the reverse) fits as well."""
    against_prediction: bool = False
    """The expected band still contradicts the prediction: not everything is explained."""


@dataclass(frozen=True, slots=True)
class Judgement:
    """The explanations found, most probable first."""

    broken: tuple[Broken, ...]
    """What is contradicted as typed; empty where the numbers are only unusual."""
    explanations: tuple[Explanation, ...]
    confidence: Confidence

    @property
    def best(self) -> Explanation:
        """The most probable explanation."""
        return self.explanations[0]

    @property
    def rivals(self) -> tuple[Explanation, ...]:
        """The other explanations that matter, at most four; not the best and one more slip, nor
        the near unit."""
        least = _MATTERS * self.best.probability
        others = (e for e in self.explanations[1:] if e.probability >= least)
        return tuple(e for e in others if not _like(self.best, e))[:4]


def mistake_cost(factor: float) -> float:
    """Cost of the numbers as typed where a relation is missed by a factor: an ordinary mistake."""
    factor = min(factor, 1e9)
    return _MISTAKE + _MISTAKE_BY * log(factor) + _FAR_BY * max(0.0, log(factor / _FAR))


def weigh(
    evidence: Evidence, found: Iterable[Explanation], as_typed: float, broken: tuple[Broken, ...]
) -> Judgement | None:
    """The explanations with their odds; None where none is worth saying."""
    merged = _merged(evidence, found)
    if not merged:
        return None
    shares = posterior([*(e.cost for e in merged), as_typed, _UNLISTED])
    odds = list(zip(merged, shares, strict=False))
    explanations = [
        replace(e, probability=p + sum(q for other, q in odds if _adds_to(e, other)))
        for e, p in odds
    ]
    explanations.sort(key=lambda e: -e.probability)
    if explanations[0].probability < max(_WORTH_SAYING, _AGAINST_TYPED * shares[-2]):
        return None
    confidence = _confidence(evidence, explanations) if broken else _unusual(explanations[0])
    return Judgement(broken, tuple(explanations), confidence)


def _confidence(evidence: Evidence, explanations: list[Explanation]) -> Confidence:
    best, *others = explanations
    if best.probability < LIKELY:
        return Confidence.POSSIBLE
    alone = all(e.cost - best.cost >= MARGIN for e in others if not _adds_to(best, e))
    explained = not best.either and not best.against_prediction
    sure = alone and explained and best.probability >= CERTAIN
    if sure and all(_may_be_certain(evidence, change) for change in best.changes):
        return Confidence.CERTAIN
    return Confidence.LIKELY


def _unusual(best: Explanation) -> Confidence:
    """Where nothing is contradicted, nothing is certain."""
    return Confidence.LIKELY if best.probability >= LIKELY else Confidence.POSSIBLE


def _may_be_certain(evidence: Evidence, change: MeantNumber) -> bool:
    """A rating plate or a front panel must be looked at, however clear the numbers are; and a
    unit of pressure that stands nowhere else is no more than likely."""
    if change.group == INSTRUMENT or change.group in evidence.index:
        return False
    return change.kind in ("typing", "geometry") or change.unit in evidence.units_used


def _merged(evidence: Evidence, found: Iterable[Explanation]) -> list[Explanation]:
    """Explanations that give the same numbers are one, as probable as both together."""
    kept: dict[tuple[object, ...], Explanation] = {}
    for new in sorted(found, key=lambda e: e.cost):
        key = tuple(sorted(map(evidence.meaning, new.changes)))
        first = kept.get(key)
        if first is None:
            kept[key] = new
        else:
            cost = first.cost - log1p(exp(first.cost - new.cost))
            kept[key] = replace(first, cost=cost, either=True)
    units = {_units(e) for e in kept.values()}
    return [replace(e, near=_units(e, swap=True) in units) for e in kept.values()]


def _units(explanation: Explanation, *, swap: bool = False) -> frozenset[tuple[Group, str, str]]:
    """Groups and units; with `swap`, bar for kgf/cm2 and the reverse: empty where neither is."""
    units = frozenset((c.group, c.number, c.unit) for c in explanation.changes)
    swapped = frozenset((g, n, NEAR_UNIT.get(unit, unit)) for g, n, unit in units)
    return units if not swap else swapped if swapped != units else frozenset()


def _adds_to(best: Explanation, other: Explanation) -> bool:
    """Whether another explanation holds the best and one more slip."""
    return set(best.changes) < set(other.changes)


def _like(best: Explanation, other: Explanation) -> bool:
    return _adds_to(best, other) or _units(best, swap=True) == _units(other)


def posterior(costs: Iterable[float]) -> list[float]:
    """The share of each among alternatives of these costs."""
    values = list(costs)
    least = min(values)
    weights = [exp(least - cost) for cost in values]
    whole = sum(weights)
    return [weight / whole for weight in weights]
