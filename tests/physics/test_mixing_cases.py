"""Methods whose extremes are mixed on the way, or only predicted: what may be said of them."""

from __future__ import annotations

from datetime import date
from itertools import pairwise
from math import exp
from pathlib import Path

import pytest

from limitcheck.checks.engine import check_profile
from limitcheck.checks.subject import Subject
from limitcheck.diagnosis.isolation import isolate
from limitcheck.diagnosis.reading import read
from limitcheck.physics.calibrate import calibrate
from limitcheck.physics.course import course_ends
from limitcheck.physics.liquid import CannotPredict
from limitcheck.physics.mixing import STIRRED, stirred
from limitcheck.physics.predict import predict
from limitcheck.physics.system import Change
from limitcheck.policy import DEFAULT_POLICY
from limitcheck.profile.load import load
from limitcheck.profile.model import Profile
from limitcheck.units import Pressure

DAY = date(2026, 11, 28)
CASES = Path(__file__).parent / "mixing_cases"


def case(name: str) -> Profile:
    return load(CASES / f"{name}.toml").profile


def bar(number: float) -> Pressure:
    return Pressure.parse(f"{number} bar")


@pytest.mark.parametrize("time", [0.05, 0.5, 3.0])
def test_a_stirred_volume_passes_on_what_small_steps_give(time: float) -> None:
    """c' = (u - c) / time, by many small steps of the exact exponential between points."""
    programme = [(0.0, 5.0), (2.0, 5.0), (2.5, 95.0), (3.0, 95.0), (3.0, 20.0), (9.0, 50.0)]
    leaving = dict(stirred(programme, time, 24, 8))
    step, left = 1e-4, 5.0
    seen = {0.0: left}
    for (minute, percent_b), (until, then) in pairwise(programme):
        count = round((until - minute) / step)
        for n in range(count):
            middle = percent_b + (then - percent_b) * (n + 0.5) / count
            left = middle + (left - middle) * exp(-step / time)
            seen[round(minute + (n + 1) * step, 4)] = left
    known = [minute for minute in leaving if round(minute, 4) in seen]
    assert len(known) > 10
    for minute in known:
        assert leaving[minute] == pytest.approx(seen[round(minute, 4)], abs=0.05)


def test_a_short_wash_is_filled_by_mixing() -> None:
    """214 bar without, 274 bar with a quarter of the dwell volume stirred (own marching)."""
    made = case("wash")
    lowest = [1e-5 * low for low, _ in course_ends(made, predict(made))]
    assert STIRRED[1] == 0.25
    assert lowest[0] == pytest.approx(214, rel=0.03)
    assert lowest[1] == pytest.approx(274, rel=0.03)


def test_a_right_band_of_a_mixed_wash_is_not_called_wrong() -> None:
    report = check_profile(case("washb250"), DEFAULT_POLICY, DAY)
    assert "gradient-peak-outside-expected" not in {found.check for found in report.findings}
    there = Change(percent_b=95.0)
    # 209 is right for this column at 95 %.
    assert isolate(case("washb250"), {"all": bar(209)}, at=there, in_doubt=False).verdict in (
        "normal",
        "undecided",
    )


def test_a_mixed_peak_at_another_flow_is_not_normal_above_what_is_possible() -> None:
    """One composition in the whole flow path makes 819 bar at twice the flow."""
    found = read(case("ramp4"), bar(920), Change(flow=0.8e-6 / 60), in_doubt=False)
    assert found.position in ("unknown", "above normal")
    assert found.moved is not None
    assert found.moved.high is None or float(found.moved.high) < 819e5


def test_a_peak_that_mixing_lowers_calibrates_nothing() -> None:
    with pytest.raises(CannotPredict, match="depends on how much is mixed on the way"):
        calibrate(case("cal1"), 480e5)


def test_a_typed_prediction_is_no_surer_than_the_prediction() -> None:
    """190 to 210 bar, where 144 to 323 are predicted: 262 bar may stop normal runs."""
    subject = Subject(case("pb2"), DEFAULT_POLICY, DAY)
    assert subject.proposal.high is None
    assert "measure the normal pressure" in (subject.proposal.no_high or "")
    measured = case("pb2").expected
    assert measured is not None
    band = measured.model_copy(update={"basis": "measured"})
    made = case("pb2").model_copy(update={"expected": band})
    assert Subject(made, DEFAULT_POLICY, DAY).proposal.high is not None


def undecided(name: str) -> set[str]:
    return {item.check for item in check_profile(case(name), DEFAULT_POLICY, DAY).undecided}


@pytest.mark.parametrize(
    ("name", "check"),
    [
        ("restr-a", "high-cutoff-below-expected"),  # what a restrictor adds, no prediction holds
        ("pb2", "high-cutoff-below-expected"),  # 200 under a typed 210, 144 to 333 predicted
        ("lownt", "high-cutoff-below-expected"),  # no temperature: nothing can be predicted again
        ("lownt", "low-cutoff-above-expected"),
    ],
)
def test_a_typed_prediction_decides_no_more_than_the_prediction(name: str, check: str) -> None:
    assert check in undecided(name)


@pytest.mark.parametrize("name", ["lownt", "marg3"])
def test_no_low_cutoff_inside_what_is_only_predicted_is_proposed(name: str) -> None:
    proposal = Subject(case(name), DEFAULT_POLICY, DAY).proposal
    assert proposal.low is None
    assert "measure the normal pressure" in (proposal.no_low or "")


@pytest.mark.parametrize("name", ["noamb", "amb"])
def test_a_typed_prediction_that_cannot_be_made_again_is_no_normal_pressure(name: str) -> None:
    """Without a temperature; with the room's, or not even that."""
    assert read(case(name), bar(755), in_doubt=False).position == "unknown"
    assert read(case(name), bar(300), in_doubt=False).position == "unknown"
    assert (
        isolate(case(name), {"all": bar(450)}, in_doubt=False).verdict == "plan"
    )  # no more than steps
