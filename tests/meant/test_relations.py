"""What numbers say as typed: which relations break, by how much, and surprise.

The scale of surprise is compared with its own words (0 usual, 1 seen, 3 hardly seen); its figures
are common practice, no source, and are kept by the measurements in tests/detection.
"""

from __future__ import annotations

from math import inf

import pytest

from limitcheck.meant import Evidence, MeantNumber, Predicted
from limitcheck.meant.evidence import (
    ENTRY_MAX,
    EXPECTED,
    EXPECTED_HIGH,
    EXPECTED_LOW,
    HIGH,
    INSTRUMENT,
    LOW,
    Numbers,
)
from limitcheck.meant.relations import AGAINST_PREDICTION, NumbersRead, rare_cost
from limitcheck.meant.relations import read as read_numbers
from tests.profiles_for_tests import profile_file

PUMP = ("flow_path", 0, "rating")
COLUMN = ("flow_path", 1, "rating")
HOT = '200\n\n[conditions]\ntemperature = "60 degC"\n'
DERATED = (
    '"400 bar"\nrating_at_temperature = [{temperature = "25 degC", rating = "400 bar"}, '
    '{temperature = "60 degC", rating = "230 bar"}]'
)


def read(predicted: Predicted | None = None, **values: str) -> NumbersRead:
    evidence = Evidence(profile_file(**values).profile, predicted)
    return read_numbers(evidence, evidence.declared)


def rare(evidence: Evidence, numbers: Numbers | None = None) -> float:
    now = numbers or evidence.declared
    return rare_cost(evidence, now, read_numbers(evidence, now).weakest)


@pytest.mark.parametrize(
    ("values", "broken", "worst"),
    [
        ({}, [], 1.0),
        ({"high": "403"}, [("high-cutoff-above-rating", HIGH)], 403 / 400),
        ({"high": "402"}, [], 1.0),
        ({"high": "200"}, [], 1.0),
        ({"high": "199.1"}, [], 1.0),
        ({"high": "100"}, [("high-cutoff-below-expected", HIGH)], 2.0),
        ({"low": "120"}, [], 1.0),
        ({"low": "125"}, [("low-cutoff-above-expected", LOW)], 125 / 120),
        (
            {"low": "300"},
            [("low-cutoff-not-below-high", LOW), ("low-cutoff-above-expected", LOW)],
            300 / 120,
        ),
        ({"expected_low": "210"}, [("expected-inverted", EXPECTED_HIGH)], 210 / 200),
        (
            {"expected_high": "410"},
            [("high-cutoff-below-expected", HIGH), ("expected-above-rating", EXPECTED_HIGH)],
            410 / 250,
        ),
        ({"expected_low": "0", "expected_high": "0"}, [("low-cutoff-above-expected", LOW)], inf),
        ({"step": "1\nentry_max = 240"}, [("entry-beyond-field", HIGH)], 250 / 240),
        ({"step": "1\nentry_max = 249"}, [], 1.0),
        ({"pump": '"40000 bar"'}, [("rating-implausible", PUMP)], 40000 / 2500),
        (
            {"pump": '"1 bar"', "high": "0", "low": "0"},
            [("rating-implausible", PUMP), ("expected-above-rating", EXPECTED_HIGH)],
            200.0,
        ),
        ({"pump": DERATED, "expected_high": HOT}, [("high-cutoff-above-rating", HIGH)], 250 / 230),
    ],
)
def test_broken_relations(
    values: dict[str, str], broken: list[tuple[str, object]], worst: float
) -> None:
    found = read(**values)
    assert {(item.check, item.path) for item in found.broken} == set(broken)
    assert found.worst == pytest.approx(worst)


@pytest.mark.parametrize(
    ("values", "mends", "together"),
    [
        ({"high": "420"}, {HIGH, INSTRUMENT, PUMP}, set()),
        ({"high": "500"}, {HIGH, INSTRUMENT}, {PUMP, COLUMN}),
        ({"high": "100"}, {HIGH, EXPECTED, EXPECTED_HIGH}, set()),
        (
            {"high": "100", "expected_low": '"120 bar"', "expected_high": '"200 bar"'},
            {HIGH, EXPECTED, EXPECTED_HIGH, INSTRUMENT},
            set(),
        ),
        ({"low": "130"}, {LOW, EXPECTED, EXPECTED_LOW}, set()),
        ({"expected_low": "210"}, {EXPECTED_LOW, EXPECTED_HIGH}, set()),
        ({"step": "1\nentry_max = 240"}, {HIGH, ENTRY_MAX}, set()),
        ({"pump": '"40000 bar"'}, {PUMP}, set()),
    ],
)
def test_what_may_mend_a_broken_relation(
    values: dict[str, str], mends: set[object], together: set[object]
) -> None:
    (broken,) = read(**values).broken
    assert broken.mends == mends
    assert broken.together == together


@pytest.mark.parametrize(
    ("predicted", "worst"),
    [
        (Predicted(150, 180, 220), 1.0),
        (Predicted(60, 67, 70), 1.0),  # 200 bar is under three times the central value
        (Predicted(10, 12, 20), 3 * 200 / 36),
        (Predicted(10, 12, 20, left_out=200), 1.0),
        (Predicted(900, 999, 1100), 3 * 333 / 200),
    ],
)
def test_the_band_against_the_prediction(predicted: Predicted, worst: float) -> None:
    found = read(predicted)
    broken = [(item.check, item.path) for item in found.broken]
    assert broken == ([(AGAINST_PREDICTION, EXPECTED_HIGH)] if worst > 1 else [])
    assert found.worst == pytest.approx(worst)


USUAL = [
    {},
    {"high": "220"},
    {"high": "300"},
    {"high": "390", "expected_high": "130"},
    {"expected_high": "150"},
    {"pump": '"1000 bar"', "column": '"1300 bar"'},
    {"step": "1\nentry_max = 400"},
    {"step": "0.1"},
    {"expected_low": "60", "low": "20"},
]
HARDLY_SEEN = [
    {
        "high": "190",
        "low": "0",
        "expected_low": "10",
        "expected_high": "20",
        "pump": '"1000 bar"',
        "column": '"1000 bar"',
    },
    {"high": "30", "low": "0", "expected_low": "1", "expected_high": "2"},
    {"step": "1\nentry_max = 60", "high": "0"},
    {"step": "1\nentry_max = 8700"},
    {"expected_low": "12", "low": "0"},
]


@pytest.mark.parametrize("values", USUAL)
def test_usual_numbers_surprise_little(values: dict[str, str]) -> None:
    assert 0 <= read(**values).surprise <= 1


@pytest.mark.parametrize("values", HARDLY_SEEN)
def test_numbers_hardly_seen_surprise(values: dict[str, str]) -> None:
    assert read(**values).surprise > 3


def test_without_band_or_ratings_little_can_surprise() -> None:
    no_ratings = {"pump": "", "column": "", "low": "0"}
    assert read(high="5800", expected_low="100", expected_high="150", **no_ratings).surprise < 2.6


def test_a_step_of_another_unit_surprises() -> None:
    for step in ("0.001", "50"):
        assert read(step=step).surprise >= read().surprise + 1
    for step in ("0.1", "1"):
        assert read(step=step).surprise == read().surprise


def test_a_band_far_from_the_prediction_surprises() -> None:
    assert read(Predicted(150, 180, 220)).surprise == read().surprise
    for predicted in (Predicted(10, 20, 30), Predicted(1000, 1100, 1200)):
        assert read(predicted).surprise > read().surprise + 3
    assert read(Predicted(10, 20, 30, left_out=180)).surprise == read().surprise
    assert read(Predicted(150, 160, 180)).surprise < read(Predicted(100, 110, 120)).surprise


def low_cost(low: str) -> float:
    return read(low=low).cost - read(low="0").cost


def test_low_cutoffs_are_weak_or_follow_the_method() -> None:
    for follows in ("30", "60", "102"):  # 25 to 85 % of 120 bar
        assert read(low=follows).low_follows
        assert low_cost(follows) < 0.2
    for seen in ("3", "10", "25", "28", "110"):
        assert not read(low=seen).low_follows
        assert 0.5 < low_cost(seen) < 1
    assert low_cost("0.5") > 3
    assert low_cost("0.5") > low_cost("1") > low_cost("2") > low_cost("3") == low_cost("4")
    assert low_cost("25") < low_cost("27")


def test_ratings_out_of_the_usual_cost_and_the_detector_does_not_count() -> None:
    usual = read(pump='"1500 bar"', column='"1500 bar"', high="0", low="0")
    unusual = read(pump='"1500 bar"', column='"1900 bar"', high="0", low="0")
    assert usual.cost == usual.surprise
    assert unusual.cost > unusual.surprise == usual.surprise
    cell = '"450 bar"\n\n[[flow_path]]\npart = "detector cell"\nrating = "60 bar"'
    assert read(column=cell) == read()


def test_what_tells_explanations_apart_starts_nothing() -> None:
    evidence = Evidence(profile_file(high="5000", pump='"5000 psi"').profile)
    as_rated = evidence.changed([MeantNumber(HIGH, "unit", "psi")])
    assert rare(evidence, as_rated) < 0
    low_pressure = profile_file(expected_low="8", expected_high="10", high="14", low="5").profile
    usual = Evidence(profile_file().profile)
    assert rare(Evidence(low_pressure)) > 1 > rare(usual) == 0


def test_a_rating_read_as_that_of_another_part_is_likelier() -> None:
    """8000 bar beside 800 bar: a zero too many says more than psi, which stands nowhere."""
    evidence = Evidence(profile_file(pump='"8000 bar"', column='"800 bar"').profile)
    twin = evidence.changed([MeantNumber(PUMP, "typing", "bar", "800")])
    other = evidence.changed([MeantNumber(PUMP, "unit", "psi")])
    assert rare(evidence, twin) < rare(evidence, other)
