"""What numbers say under a choice of units: which relations break, by how much, and surprise.

The scale of surprise is held to its own words (0 usual, 1 seen, 3 hardly seen); its figures are
common practice, no source, and are held by the measurements in tests/detection.
"""

from __future__ import annotations

from math import inf

import pytest

from limitcheck.meant import Evidence, Predicted
from limitcheck.meant.evidence import AGAINST_PREDICTION, EXPECTED, HIGH, LOW, Reading
from tests.profiles_for_tests import profile_file

PUMP = ("flow_path", 0, "rating")
TOP = (*EXPECTED, "high")
HOT = '200\n\n[conditions]\ntemperature = "60 degC"\n'
DERATED = (
    '"400 bar"\nrating_at_temperature = [{temperature = "25 degC", rating = "400 bar"}, '
    '{temperature = "60 degC", rating = "230 bar"}]'
)


def read(predicted: Predicted | None = None, **values: str) -> Reading:
    return Evidence(profile_file(**values).profile, predicted).read({})


@pytest.mark.parametrize(
    ("values", "broken", "worst"),
    [
        ({}, [], 1.0),
        ({"high": "401"}, [("high-cutoff-above-rating", HIGH)], 401 / 400),
        ({"high": "400"}, [], 1.0),
        ({"high": "200"}, [("high-cutoff-below-expected", HIGH)], 1.0),
        ({"high": "100"}, [("high-cutoff-below-expected", HIGH)], 2.0),
        ({"low": "120"}, [("low-cutoff-above-expected", LOW)], 1.0),
        (
            {"low": "250"},
            [("low-cutoff-not-below-high", LOW), ("low-cutoff-above-expected", LOW)],
            250 / 120,
        ),
        (
            {"expected_high": "410"},
            [("high-cutoff-below-expected", HIGH), ("expected-above-rating", TOP)],
            410 / 250,
        ),
        ({"expected_low": "0", "expected_high": "0"}, [("low-cutoff-above-expected", LOW)], inf),
        ({"step": "1\nentry_max = 240"}, [("entry-beyond-field", HIGH)], 250 / 240),
        ({"step": "1\nentry_max = 250"}, [], 1.0),
        ({"pump": '"40000 bar"'}, [("rating-implausible", PUMP)], None),
        (
            {"pump": '"1 bar"', "high": "0", "low": "0"},
            [("rating-implausible", PUMP), ("expected-above-rating", TOP)],
            200.0,
        ),
        ({"pump": DERATED, "expected_high": HOT}, [("high-cutoff-above-rating", HIGH)], 250 / 230),
    ],
)
def test_broken_relations(
    values: dict[str, str], broken: list[tuple[str, object]], worst: float | None
) -> None:
    found = read(**values)
    assert set(found.broken) == set(broken)
    assert worst is None or found.worst == pytest.approx(worst)


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
    assert found.broken == (((AGAINST_PREDICTION, TOP),) if worst > 1 else ())
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
]


@pytest.mark.parametrize("values", USUAL)
def test_usual_numbers_surprise_little(values: dict[str, str]) -> None:
    assert 0 <= read(**values).surprise <= 1


@pytest.mark.parametrize("values", HARDLY_SEEN)
def test_numbers_hardly_seen_surprise(values: dict[str, str]) -> None:
    assert read(**values).surprise > 3


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
