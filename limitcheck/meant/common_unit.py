"""In which one unit the bare numbers of several profiles of an instrument were typed.

Each profile says how surprising its numbers are in each unit, by the same relations as a single
one. Rows of one instrument are typed by the same people and habits, so that together they count
for a few at most: a choice, common practice, no source.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable

from .evidence import INSTRUMENT, Evidence, MeantNumber
from .hypotheses import unit_cost
from .odds import MARGIN, mistake_cost
from .relations import RatingsRead, rare_cost, read, read_ratings

_COUNT_FOR = 4
"""Profiles that count in full, however many there are."""
_MOST = 12.0
"""Most that one profile says against a unit: a slip of its own must not decide for all."""


def unit_costs(evidences: Iterable[Evidence], units: Collection[str]) -> dict[str, float]:
    """By unit: how surprising all numbers are in it, as a negative log likelihood [-].

    The evidence of each profile is declared in any one of the units.
    """
    costs = dict.fromkeys(units, 0.0)
    number = 0
    for evidence in evidences:
        number += 1
        ratings = read_ratings(evidence, evidence.declared.ratings)  # in every unit as typed
        for unit in units:
            costs[unit] += min(_MOST, _cost(evidence, unit, ratings))
    share = min(1.0, _COUNT_FOR / number) if number else 0.0
    return {unit: unit_cost(unit) + share * cost for unit, cost in costs.items()}


def only_unit(costs: dict[str, float]) -> str | None:
    """The unit beside which every other is ruled out; None where one is not."""
    best = min(costs, key=costs.__getitem__)
    others = (cost for unit, cost in costs.items() if unit != best)
    return best if all(cost - costs[best] >= MARGIN for cost in others) else None


def ruled_out(costs: dict[str, float], unit: str) -> bool:
    """Whether numbers said to be in a unit cannot be, by the same margin."""
    return unit in costs and costs[unit] - min(costs.values()) >= MARGIN


def _cost(evidence: Evidence, unit: str, ratings: RatingsRead) -> float:
    changes = () if unit == evidence.unit else (MeantNumber(INSTRUMENT, "unit", unit),)
    numbers = evidence.changed(changes)
    found = read(evidence, numbers, ratings)
    cost = found.cost + rare_cost(evidence, numbers, found.weakest)
    return cost + mistake_cost(found.worst) if found.broken else cost
