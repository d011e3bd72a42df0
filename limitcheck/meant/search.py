"""The search for the numbers that were meant: as typed first, then the smallest changes.

Its figures are costs, on the scale of `relations`: choices, common practice, no source.
tests/detection measures what comes of them.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator
from dataclasses import dataclass
from itertools import combinations
from math import inf

from ..profile.plausible import implausible_geometry
from .evidence import (
    ENTRY_MAX,
    EXPECTED,
    EXPECTED_HIGH,
    EXPECTED_LOW,
    HIGH,
    INSTRUMENT,
    LOW,
    Evidence,
    Group,
    Predicted,
)
from .geometry import changed, mending, size_cost, slips_against_prediction
from .hypotheses import Hypothesis, two_slips, typing_errors, unit_slips
from .odds import POSSIBLE, Explanation, Judgement, mistake_cost, weigh
from .relations import (
    AGAINST_PREDICTION,
    ROUNDING,
    Broken,
    NumbersRead,
    rare_cost,
    read,
    read_ratings,
)

_SURPRISING = 2.6
"""Surprise from which numbers that break nothing are looked into."""
_BETTER_BY, _MUCH_BETTER_BY = 0.3, 1.5
_USUAL_ONE, _USUAL_TWO = 3.2, 1.8
"""Largest surprise left under one, and under two, slips for an explanation to count."""
_PAIRS_BEYOND = 1.3
"""Surprise left under the best single slip from which two slips are tried as well."""
_LEFT = 1.5
"""Cost of a prediction that an explanation does not put right."""
_SOFT = frozenset({LOW, EXPECTED, EXPECTED_LOW, EXPECTED_HIGH, ENTRY_MAX, INSTRUMENT})
"""What may be doubted where nothing is contradicted: not a rating plate, nor a high cutoff under
the ratings, since many laboratories set one for all methods."""
_PAIRED = _SOFT | {HIGH}
_BAND = frozenset({EXPECTED, EXPECTED_LOW, EXPECTED_HIGH})


@dataclass(frozen=True, slots=True)
class Meant:
    """What was judged of a profile: lengths and flows one by one, then the pressures together."""

    sizes: tuple[Judgement, ...] = ()
    pressures: Judgement | None = None


_SOUND = Meant()


def judge(evidence: Evidence) -> Meant:
    """Which numbers were meant, where those typed do not agree."""
    sizes: tuple[Judgement, ...] = ()
    if evidence.geometry:
        sizes, evidence = _judge_sizes(evidence)
    pressures = _judge_pressures(evidence)
    return Meant(sizes, pressures) if sizes or pressures else _SOUND


def _judge_sizes(evidence: Evidence) -> tuple[tuple[Judgement, ...], Evidence]:
    """Lengths and flows that cannot be right; and the evidence with those that are clear
    corrected, so that the rest is compared with what the flow path really makes."""
    profile, judged = evidence.profile, []
    left = list(evidence.geometry)
    while left:
        first = left.pop(0)
        broken = Broken(
            "geometry-implausible", first.paths[0], first.factor, frozenset(first.paths)
        )
        found = [Explanation(h.changes, h.cost) for h in mending(evidence, profile, first)]
        as_typed = size_cost(profile) + mistake_cost(first.factor)
        judgement = weigh(evidence, found, as_typed, (broken,))
        if judgement is None:
            continue
        judged.append(judgement)
        if judgement.confidence is not POSSIBLE:
            profile = changed(profile, judgement.best.changes[0])
            still = {item.paths for item in implausible_geometry(profile)}
            left = [item for item in left if item.paths in still]
    return tuple(judged), Evidence(profile, Predicted.made_by(profile), evidence.asked)


def _judge_pressures(evidence: Evidence) -> Judgement | None:
    """None where the pressures agree as typed, or where no explanation is worth saying."""
    ratings = read_ratings(evidence, evidence.declared.ratings)
    declared = read(evidence, evidence.declared, ratings, lenient=True)
    if declared.broken:
        declared = read(evidence, evidence.declared, ratings)
    elif declared.surprise < _SURPRISING:
        return None
    search = _Search(evidence, declared)
    as_typed = declared.cost
    if declared.broken:
        rare = rare_cost(evidence, evidence.declared, declared.weakest)
        as_typed += mistake_cost(declared.worst) + rare
    return weigh(evidence, search.explanations(), as_typed, declared.broken)


class _Search:
    """One search over a profile whose pressures do not agree."""

    def __init__(self, evidence: Evidence, declared: NumbersRead) -> None:
        self.evidence, self.declared = evidence, declared
        self.ratings = read_ratings(evidence, evidence.declared.ratings)

    def explanations(self) -> list[Explanation]:
        """Every way of reading the numbers under which they agree."""
        singles = [(h, self.read_if_involved(h)) for h in unit_slips(self.evidence)]
        found = self.explaining(singles)
        if self.declared.broken or min((left for _, left in found), default=inf) > _PAIRS_BEYOND:
            found += self.explaining((h, self.read(h)) for h in self.pairs(singles))
        found += self.explaining((h, self.read(h)) for h in self.other_slips())
        return [explanation for explanation, _ in found]

    def pairs(self, singles: Iterable[tuple[Hypothesis, NumbersRead]]) -> Iterator[Hypothesis]:
        """Two slips of units: each mends what the other leaves broken."""
        units = [(h, h.groups, r.broken) for h, r in singles if h.changes[0].kind == "unit"]
        if not self.declared.broken:
            units = [unit for unit in units if _SOFT.issuperset(unit[1])]
        groups = {its for _, its, _ in units}
        slips = [(h, its, {g for g in groups if mends(left, g)}) for h, its, left in units]
        for (one, its, menders), (other, others, other_menders) in combinations(slips, 2):
            if its != others and others in menders and its in other_menders:
                pair = two_slips(one, other)
                if pair is not None:
                    yield pair

    def other_slips(self) -> Iterator[Hypothesis]:
        """Typing errors that may mend what is broken; lengths and flows against a prediction."""
        for group in self.mistypable():
            yield from typing_errors(self.evidence, group, *self.window(group))
        against = [b.check for b in self.declared.broken] == [AGAINST_PREDICTION]
        if against and self.evidence.asked is None:
            yield from slips_against_prediction(self.evidence)

    def mistypable(self) -> Iterator[Group]:
        """The numbers of which one, mistyped, may explain all that does not agree."""
        broken, typed, asked = self.declared.broken, self.evidence.typed, self.evidence.asked
        rated = [rating.group for rating in self.evidence.ratings if rating.text]
        groups = [group for group in typed if broken or group not in (HIGH, LOW)]
        for group in (*groups, *(group for group in rated if involved(broken, (group,)))):
            if may_mend(broken, (group,)) and asked in (None, group):
                yield group

    def window(self, group: Group) -> tuple[float, float]:
        """Between which pressures a number alone breaks nothing that can be said at once."""
        now = self.evidence.declared
        least, most = now.band or (0.0, 0.0)
        weakest = self.ratings.weakest
        low, high = {
            HIGH: (max(most, now.low), min(weakest, now.entry_max)),
            LOW: (0.0, min(least or inf, now.high or inf)),
            EXPECTED_LOW: (now.low, most),
            EXPECTED_HIGH: (least, min(now.high or inf, weakest)),
            ENTRY_MAX: (now.high, inf),
        }.get(group, (0.0, inf))
        return low / ROUNDING, high * ROUNDING

    def read(self, hypothesis: Hypothesis) -> NumbersRead:
        """The numbers under a hypothesis."""
        numbers = self.evidence.changed(hypothesis.changes)
        as_typed = numbers.ratings is self.evidence.declared.ratings
        ratings = self.ratings if as_typed else None
        return read(self.evidence, numbers, ratings, lenient=not self.declared.broken)

    def read_if_involved(self, hypothesis: Hypothesis) -> NumbersRead:
        """The same; as typed for a rating that has nothing to do with what is broken."""
        rated = hypothesis.changes[0].group in self.evidence.index
        if rated and not involved(self.declared.broken, hypothesis.groups):
            return self.declared
        return self.read(hypothesis)

    def explaining(
        self, hypotheses: Iterable[tuple[Hypothesis, NumbersRead]]
    ) -> list[tuple[Explanation, float]]:
        """Those under which nothing is broken and little unusual, with the surprise left."""
        found = []
        for hypothesis, reading in hypotheses:
            groups = hypothesis.groups
            if reading.cost > (_USUAL_ONE if len(hypothesis.changes) == 1 else _USUAL_TWO):
                continue
            left = self.left_broken(reading, groups)
            cost = hypothesis.cost + reading.cost + left
            broken = self.declared.broken
            if left < inf and (
                broken or (_SOFT.issuperset(groups) and self.doubtful(groups, cost))
            ):
                if broken:
                    numbers = self.evidence.changed(hypothesis.changes)
                    cost += rare_cost(self.evidence, numbers, reading.weakest)
                explanation = Explanation(
                    hypothesis.changes, cost, against_prediction=bool(reading.broken)
                )
                found.append((explanation, reading.cost))
        return found

    def left_broken(self, reading: NumbersRead, groups: frozenset[Group]) -> float:
        """The cost of what stays broken: only a prediction that this cannot put right may."""
        left = {(b.check, b.path) for b in reading.broken}
        if not left:
            return 0.0
        before = {(b.check, b.path) for b in self.declared.broken}
        prediction = {item for item in before if item[0] == AGAINST_PREDICTION}
        if groups & (_BAND | {INSTRUMENT}) or before == prediction:
            return inf
        return _LEFT if left <= prediction else inf

    def doubtful(self, groups: frozenset[Group], cost: float) -> bool:
        """Whether numbers that contradict nothing are doubted all the same: not a band alone that
        the low cutoff follows."""
        better_by = self.declared.cost - cost
        if groups & _BAND and self.declared.low_follows:
            return len(groups) == 2 and better_by >= _MUCH_BETTER_BY
        return better_by >= _BETTER_BY


def may_mend(broken: Iterable[Broken], groups: Collection[Group]) -> bool:
    """Whether reading these groups otherwise can mend all that is broken, but a prediction."""
    return all(
        not b.mends.isdisjoint(groups) or (b.together and b.together.issubset(groups))
        for b in broken
        if b.check != AGAINST_PREDICTION
    )


def mends(broken: tuple[Broken, ...], groups: Collection[Group]) -> bool:
    """The same of a second slip: a rating must have to do with what the first leaves broken."""
    return may_mend(broken, groups) and (_PAIRED.issuperset(groups) or involved(broken, groups))


def involved(broken: Iterable[Broken], groups: Collection[Group]) -> bool:
    """Whether these groups have to do with anything that is broken."""
    return any(not b.mends.isdisjoint(groups) or not b.together.isdisjoint(groups) for b in broken)
