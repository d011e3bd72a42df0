"""In which one unit the bare numbers of several profiles of an instrument were typed.

Each profile says how surprising its numbers are in each unit, by the same relations as a single
one. Rows of one instrument are typed by the same people and habits, so that together they count
for a few at most: a choice, common practice, no source.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence

from .evidence import INSTRUMENT, Evidence, MeantNumber
from .hypotheses import unit_cost
from .odds import MARGIN, mistake_cost
from .relations import AT_LIMIT, RatingsRead, rare_cost, read, read_ratings

_COUNT_FOR = 4
"""Profiles that count in full, however many there are."""
_MOST = 12.0
"""Most that one profile says against a unit: a slip of its own must not decide for all."""


_LEAST = AT_LIMIT
"""Least that one profile says against a unit: nothing else there is below zero."""


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


def may_be_ruled_out(evidences: Sequence[Evidence], unit: str, units: Collection[str]) -> bool:
    """Whether `unit_costs` may rule out a unit; quick where the first profiles tell that it cannot.

    Another unit has to be less surprising by far: it is not looked at any further than to where it
    is no more, whatever the profiles that are left say.
    """
    if unit not in units or not evidences:
        return False
    share = min(1.0, _COUNT_FOR / len(evidences))
    rows = [(one, read_ratings(one, one.declared.ratings)) for one in evidences]
    own = unit_cost(unit) + share * sum(min(_MOST, _cost(one, unit, rated)) for one, rated in rows)
    return any(_stays_under(own - MARGIN, rows, other, share) for other in units if other != unit)


def _stays_under(
    most: float, rows: Sequence[tuple[Evidence, RatingsRead]], unit: str, share: float
) -> bool:
    """Whether the cost of a unit may be no more than `most`."""
    most += 1e-6  # sums in another order differ by less
    least = unit_cost(unit) + share * _LEAST * len(rows)
    for evidence, rated in rows:
        if least > most:
            return False
        least += share * (min(_MOST, _cost(evidence, unit, rated)) - _LEAST)
    return least <= most


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
