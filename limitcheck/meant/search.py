"""The search for the units that were meant: declared first, then the smallest changes."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from itertools import combinations

from ..units import TRADE_UNITS
from .evidence import AGAINST_PREDICTION, EXPECTED, HIGH, INSTRUMENT, LOW, Evidence, Group, Reading

NEAR = frozenset({"bar", "kgf/cm2"})
"""2 % apart: plausibility cannot tell them apart, so one is never suggested for the other."""
_ONE_SLIP = 2.0
_SECOND_SAME, _SECOND_OTHER = 1.0, 2.5
"""Cost of a second slip: into the same unit, as when two numbers were copied, or another."""
_RARE_UNIT, _RARE_BUT_USED = 1.5, 0.3
_IMPLAUSIBLE = 2.6
"""Surprise from which numbers that break nothing are looked into."""
_BETTER_BY, _MUCH_BETTER_BY = 0.3, 1.5
_USUAL_ONE, _USUAL_TWO, _VERY_USUAL = 3.2, 1.8, 1.05
"""Largest surprise left under one, and under two, slips for an explanation to count, and under
one that has to stand against an ordinary mistake."""
_PAIRS_BEYOND = 1.3
"""Surprise left under the best single slip from which two slips are tried as well."""
_TIE, _CLEAR = 0.7, 1.5
_NEAR_MISS, _FAR_OFF = 1.5, 3.0
"""A relation broken by less than the first factor may be an ordinary mistake as well (units are a
factor 6 apart); only beyond the second is a slip certain."""


@dataclass(frozen=True, slots=True)
class Explanation:
    """Groups with the unit each was meant in, and what that leaves."""

    meant: Mapping[Group, str]
    reading: Reading
    cost: float
    near: bool = False
    """Whether the near unit (bar for kgf/cm2, or the reverse) fits as well."""


@dataclass(frozen=True, slots=True)
class Verdict:
    """The explanations found, best first; `declared` is the reading as typed."""

    declared: Reading
    explanations: tuple[Explanation, ...]

    @property
    def best(self) -> Explanation:
        """The first explanation."""
        return self.explanations[0]

    @property
    def ties(self) -> tuple[Explanation, ...]:
        """The other explanations that fit about as well, and say otherwise than the best."""
        return tuple(e for e in self._rivals if e.cost - self.best.cost < _TIE)

    @property
    def _rivals(self) -> Iterator[Explanation]:
        """The other explanations, without those that hold the best and one more slip."""
        best = self.best.meant.items()
        return (e for e in self.explanations[1:] if not best <= e.meant.items())

    @property
    def clear(self) -> bool:
        """Whether the best is far ahead, and what it leaves is usual."""
        ahead = all(e.cost - self.best.cost >= _CLEAR for e in self._rivals)
        usual = self.best.reading.cost <= 1.2 and len(self.best.meant) == 1
        return ahead and usual and self.declared.worst >= _FAR_OFF

    @property
    def near_miss(self) -> bool:
        """Whether the numbers are so nearly right that an ordinary mistake is as likely."""
        far = _FAR_OFF if LOW in self.best.meant else _NEAR_MISS
        return bool(self.declared.broken) and self.declared.worst < far


def judge(evidence: Evidence) -> Verdict | None:
    """None where the numbers agree as declared, or where no change of units makes them agree."""
    declared = evidence.read({})
    if not declared.broken and declared.surprise < _IMPLAUSIBLE:
        return None
    found = list(_explain(evidence, declared, _singles(evidence)))
    if not found or min(e.reading.cost for e in found) > _PAIRS_BEYOND:
        found += _explain(evidence, declared, _pairs(evidence))
    if declared.worst < _NEAR_MISS and declared.broken and declared.surprise < _IMPLAUSIBLE:
        found = [explanation for explanation in found if _fits_well(explanation)]
    if not found:
        return None
    return Verdict(declared, _merge_near(sorted(found, key=lambda e: e.cost)))


def _fits_well(explanation: Explanation) -> bool:
    """Whether one number typed at the instrument, or the band, then is just what people set."""
    groups, reading = explanation.meant.keys(), explanation.reading
    if groups == {HIGH}:
        return reading.high_cost <= _VERY_USUAL
    return groups == {LOW} or (groups <= {HIGH, EXPECTED} and reading.cost <= _VERY_USUAL)


def _singles(evidence: Evidence) -> Iterator[dict[Group, str]]:
    for group, unit in evidence.groups.items():
        for meant in TRADE_UNITS:
            if meant != unit and {meant, unit} != NEAR:
                yield {group: meant}


def _pairs(evidence: Evidence) -> Iterator[dict[Group, str]]:
    for one, other in combinations(_singles(evidence), 2):
        if one.keys() != other.keys() and not _same_numbers(one, other):
            yield one | other


def _same_numbers(one: Mapping[Group, str], other: Mapping[Group, str]) -> bool:
    """The instrument's unit already moves what is typed at it."""
    groups = one.keys() | other.keys()
    return INSTRUMENT in groups and bool(groups & {HIGH, LOW, EXPECTED})


def _explain(
    evidence: Evidence, declared: Reading, choices: Iterator[dict[Group, str]]
) -> Iterator[Explanation]:
    for meant in choices:
        reading = evidence.read(meant)
        cost = reading.cost + _slip_cost(evidence, meant)
        usual = _USUAL_ONE if len(meant) == 1 else _USUAL_TWO
        if not _settled(declared, reading, meant) or reading.cost > usual:
            continue
        if declared.broken or _doubtful(declared, meant, declared.cost - cost):
            yield Explanation(meant, reading, cost)


def _doubtful(declared: Reading, meant: Mapping[Group, str], better_by: float) -> bool:
    """Whether numbers that contradict nothing are doubted all the same.

    A rating plate is not, nor a high cutoff under the ratings (many laboratories set one for
    all methods), nor an expected band alone that the low cutoff follows; both together only
    where that is much better.
    """
    if not meant.keys() <= {LOW, EXPECTED, INSTRUMENT}:
        return False
    if EXPECTED in meant and declared.low_follows:
        return len(meant) == 2 and better_by >= _MUCH_BETTER_BY
    return better_by >= _BETTER_BY


def _settled(declared: Reading, reading: Reading, meant: Mapping[Group, str]) -> bool:
    """Whether nothing is left broken, but a prediction that this choice cannot put right."""
    left = set(reading.broken)
    before = {found for found in declared.broken if found[0] == AGAINST_PREDICTION}
    if not meant.keys() & {EXPECTED, INSTRUMENT} and before != set(declared.broken):
        left -= before
    return not left


def _slip_cost(evidence: Evidence, meant: Mapping[Group, str]) -> float:
    cost = _ONE_SLIP
    if len(meant) == 2:
        cost += _SECOND_SAME if len(set(meant.values())) == 1 else _SECOND_OTHER
    for unit in set(meant.values()):
        if unit in ("kPa", "kgf/cm2"):
            cost += _RARE_BUT_USED if unit in evidence.units_used else _RARE_UNIT
    return cost + (0.5 if INSTRUMENT in meant else 0.0)


def _merge_near(found: list[Explanation]) -> tuple[Explanation, ...]:
    """Explanations that differ only by bar for kgf/cm2 are one; the cheaper stands for both."""
    kept: dict[frozenset[tuple[Group, str]], Explanation] = {}
    for explanation in found:
        units = {
            group: "bar" if unit in NEAR else unit for group, unit in explanation.meant.items()
        }
        key = frozenset(units.items())
        kept[key] = replace(kept[key], near=True) if key in kept else explanation
    return tuple(kept.values())
