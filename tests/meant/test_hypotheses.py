"""What a slip may be: each kind is among the hypotheses, and rarer ones cost more."""

from __future__ import annotations

from math import inf
from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from limitcheck.meant import Evidence
from limitcheck.meant.evidence import ENTRY_MAX, EXPECTED, EXPECTED_HIGH, HIGH, INSTRUMENT, LOW
from limitcheck.meant.hypotheses import Hypothesis, intended, two_slips, typing_errors, unit_slips
from tests.detection.mistakes import mistyped
from tests.profiles_for_tests import profile_file

PUMP = ("flow_path", 0, "rating")


def slips(**values: str) -> dict[tuple[object, str], Hypothesis]:
    found = unit_slips(Evidence(profile_file(**values).profile))
    return {(h.changes[0].group, h.changes[0].unit): h for h in found}


def test_every_number_in_every_other_unit_but_the_near_one() -> None:
    found = slips(step="1\nentry_max = 600")
    for group in (HIGH, LOW, EXPECTED, EXPECTED_HIGH, ENTRY_MAX, INSTRUMENT):
        units = {unit for g, unit in found if g == group}
        assert units == {"psi", "MPa", "kPa"}
    kinds = {h.changes[0].group: h.changes[0].kind for h in found.values()}
    assert kinds[EXPECTED_HIGH] == "one end"
    assert kinds[ENTRY_MAX] == "entry field"
    assert kinds[("flow_path", 1, "rating")] == "unit"


def test_what_is_not_there_or_was_never_set_is_not_doubted() -> None:
    groups = {group for group, _ in slips(low="0", high="450")}
    assert not groups & {LOW, HIGH, ENTRY_MAX}
    two_units = slips(expected_low='"1740 psi"', expected_high='"200 bar"')
    assert (EXPECTED, "MPa") not in two_units
    assert (EXPECTED_HIGH, "MPa") in two_units


def test_what_happens_more_rarely_costs_more() -> None:
    found = slips()
    assert found[HIGH, "psi"].cost < found[INSTRUMENT, "psi"].cost
    assert found[EXPECTED, "psi"].cost < found[EXPECTED_HIGH, "psi"].cost
    assert found[HIGH, "psi"].cost < found[HIGH, "kPa"].cost
    assert slips(column='"6500 psi"')[HIGH, "psi"].cost < found[HIGH, "psi"].cost


def test_two_slips_into_one_unit_cost_less_than_into_two() -> None:
    found = slips()
    same = two_slips(found[HIGH, "psi"], found[LOW, "psi"])
    other = two_slips(found[HIGH, "psi"], found[LOW, "MPa"])
    assert same is not None
    assert other is not None
    assert found[HIGH, "psi"].cost < same.cost < other.cost
    assert same.groups == {HIGH, LOW}
    assert two_slips(found[HIGH, "psi"], found[HIGH, "MPa"]) is None
    assert two_slips(found[HIGH, "psi"], found[INSTRUMENT, "psi"]) is None
    assert two_slips(found[INSTRUMENT, "psi"], found[PUMP, "psi"]) is not None


@pytest.mark.parametrize(
    ("typed", "meant"),
    [
        ("2500", "250"),  # ten times
        ("25", "250"),
        ("25000", "250"),  # a hundred times
        ("20", "220"),  # a digit left out
        ("2550", "250"),  # a digit twice
        ("205", "250"),  # two changed places
        ("350", "250"),  # one digit wrong
        ("2.5", "25"),
        ("1740", "174.0"),
    ],
)
def test_errors_that_are_undone(typed: str, meant: str) -> None:
    found = dict(intended(typed))
    assert f"{float(meant):g}" in found
    assert typed not in found


@given(st.integers(1, 99999), st.randoms())
def test_every_typing_error_is_among_those_undone(number: int, rng: Random) -> None:
    """The injector of tests/detection was written apart from the inference."""
    wrong = mistyped(rng, str(number))
    if wrong is not None:
        assert str(number) in dict(intended(wrong))


def test_round_numbers_are_more_probable() -> None:
    found = dict(intended("25"))
    assert found["250"] < found["255"] < found["257"]


def test_a_typing_error_keeps_the_unit() -> None:
    evidence = Evidence(profile_file(pump='"4000 psi"').profile)
    assert {h.changes[0].unit for h in typing_errors(evidence, PUMP, 0.0, inf)} == {"psi"}
