"""From costs to odds, and from odds to the word of confidence."""

from __future__ import annotations

from math import exp

import pytest

from limitcheck.findings import Confidence
from limitcheck.meant import Evidence, Explanation, Judgement, MeantNumber
from limitcheck.meant.evidence import HIGH, INSTRUMENT, LOW
from limitcheck.meant.odds import mistake_cost, posterior, weigh
from limitcheck.meant.relations import Broken
from tests.profiles_for_tests import profile_file

BROKEN = (Broken("high-cutoff-above-rating", HIGH, 10.0, frozenset({HIGH})),)
PSI, MPA, KGF, BAR = (MeantNumber(HIGH, "unit", unit) for unit in ("psi", "MPa", "kgf/cm2", "bar"))
LOW_PSI = MeantNumber(LOW, "unit", "psi")
PUMP_PSI = MeantNumber(("flow_path", 0, "rating"), "unit", "psi")
EVIDENCE = Evidence(profile_file(high="25", column='"6500 psi"').profile)


def weighed(
    *found: tuple[tuple[MeantNumber, ...], float],
    as_typed: float = 12.0,
    broken: tuple[Broken, ...] = BROKEN,
) -> Judgement | None:
    return weigh(
        EVIDENCE, [Explanation(changes, cost) for changes, cost in found], as_typed, broken
    )


def confidence(*found: tuple[tuple[MeantNumber, ...], float], **given: float) -> Confidence | None:
    judgement = weighed(*found, **given)  # type: ignore[arg-type]
    return None if judgement is None else judgement.confidence


def test_shares_follow_from_costs() -> None:
    one, other = posterior([1.0, 3.0])
    assert one / other == pytest.approx(exp(2))
    assert one + other == pytest.approx(1)


def test_a_relation_hardly_missed_is_an_ordinary_mistake() -> None:
    assert mistake_cost(1.05) < 1 < 2 < mistake_cost(2) < 7 < mistake_cost(10) < mistake_cost(1e99)


def test_certain_is_alone_by_far() -> None:
    assert confidence(((PSI,), 2.0)) is Confidence.CERTAIN
    assert confidence(((PSI,), 2.0), ((MPA,), 8.5)) is Confidence.LIKELY
    assert confidence(((PSI,), 2.0), ((MPA,), 10.0)) is Confidence.CERTAIN
    assert confidence(((PSI,), 2.0), ((MPA,), 4.0)) is Confidence.POSSIBLE
    assert confidence(((PSI,), 4.0)) is Confidence.LIKELY  # a mistake not listed is not ruled out


def test_a_unit_that_stands_nowhere_else_is_no_more_than_likely() -> None:
    assert confidence(((MPA,), 2.0)) is Confidence.LIKELY


def test_what_leaves_the_prediction_contradicted_is_not_certain() -> None:
    judgement = weigh(EVIDENCE, [Explanation((PSI,), 2.0, against_prediction=True)], 12.0, BROKEN)
    assert judgement is not None
    assert judgement.confidence is Confidence.LIKELY


def test_labels_and_the_front_panel_must_be_looked_at() -> None:
    assert confidence(((PUMP_PSI,), 2.0)) is Confidence.LIKELY
    assert confidence(((MeantNumber(INSTRUMENT, "unit", "psi"),), 2.0)) is Confidence.LIKELY


def test_unusual_numbers_that_contradict_nothing_are_never_certain() -> None:
    judgement = weighed(((PSI,), 1.0), broken=())
    assert judgement is not None
    assert judgement.confidence is Confidence.LIKELY


def test_what_is_less_probable_than_an_ordinary_mistake_is_not_said() -> None:
    assert weighed() is None
    assert weighed(((PSI,), 4.0), as_typed=2.0) is None
    assert confidence(((PSI,), 3.0), as_typed=2.8) is Confidence.POSSIBLE


def test_two_kinds_of_slip_with_the_same_number_are_one_explanation() -> None:
    digit = MeantNumber(HIGH, "typing", "bar", "250")
    judgement = weighed(((digit,), 4.0), ((MPA,), 2.0))
    assert judgement is not None
    assert judgement.best.changes == (MPA,)
    assert judgement.best.either
    assert judgement.best.cost < 2.0
    assert judgement.rivals == ()
    assert judgement.confidence is Confidence.LIKELY


def test_a_second_slip_beside_the_best_is_no_rival() -> None:
    alone = weighed(((PSI,), 2.0))
    judgement = weighed(((PSI,), 2.0), ((PSI, LOW_PSI), 3.0))
    assert judgement is not None
    assert alone is not None
    assert judgement.rivals == ()
    assert judgement.best.probability == pytest.approx(alone.best.probability, abs=0.01)
    assert judgement.confidence is Confidence.CERTAIN


def test_the_near_unit_is_said_beside_and_leaves_a_doubt() -> None:
    judgement = weighed(((BAR,), 2.0), ((KGF,), 4.5))
    assert judgement is not None
    assert judgement.best.near
    assert judgement.rivals == ()
    assert judgement.confidence is Confidence.LIKELY


def test_at_most_four_rivals_that_matter() -> None:
    others = [((MeantNumber(HIGH, "typing", "bar", str(260 + i)),), 2.0 + i / 10) for i in range(9)]
    judgement = weighed(((PSI,), 1.0), *others, ((LOW_PSI,), 5.0))
    assert judgement is not None
    assert [e.changes[0].number for e in judgement.rivals] == ["260", "261", "262", "263"]
