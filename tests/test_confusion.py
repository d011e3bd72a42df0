"""Which unit was meant: the inference on its own, and its manners."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from limitcheck.meant import Evidence, Predicted, Verdict, judge
from limitcheck.meant.evidence import EXPECTED, HIGH, INSTRUMENT, LOW
from limitcheck.units import Pressure, plain
from tests.profiles_for_tests import profile_file


def verdict(predicted: Predicted | None = None, **values: str) -> Verdict | None:
    return judge(Evidence(profile_file(**values).profile, predicted))


def test_numbers_that_agree_are_left_alone() -> None:
    assert verdict() is None


@pytest.mark.parametrize(
    ("values", "meant"),
    [
        ({"high": "25"}, {HIGH: "MPa"}),
        ({"high": "3626"}, {HIGH: "psi"}),
        ({"high": "25000"}, {HIGH: "kPa"}),
        ({"low": "870"}, {LOW: "psi"}),
        ({"low": "6000"}, {LOW: "kPa"}),
        ({"expected_low": "1740", "expected_high": "2900"}, {EXPECTED: "psi"}),
        ({"expected_low": "12", "expected_high": "20"}, {EXPECTED: "MPa"}),
        ({"pump": '"400 psi"'}, {("flow_path", 0, "rating"): "bar"}),
        ({"pump": '"40 bar"'}, {("flow_path", 0, "rating"): "MPa"}),
        (
            {"high": "3620", "low": "870", "expected_low": "1740", "expected_high": "2900"},
            {INSTRUMENT: "psi"},
        ),
        (
            {"low": "870", "expected_low": "1740", "expected_high": "2900"},
            {LOW: "psi", EXPECTED: "psi"},
        ),
    ],
)
def test_the_smallest_change_that_makes_all_agree(
    values: dict[str, str], meant: dict[object, str]
) -> None:
    found = verdict(**values)
    assert found is not None
    assert found.best.meant == meant
    assert found.best.reading.broken == ()


def test_bar_is_never_suggested_for_kgf_nor_the_reverse() -> None:
    assert verdict(high="401") is None
    assert verdict(unit='"kgf/cm2"', high="408") is None


def test_the_near_unit_is_named_beside_the_other() -> None:
    found = verdict(
        unit='"MPa"', step="0.1", low="6", high="250", expected_low="12", expected_high="20"
    )
    assert found is not None
    assert found.best.meant == {HIGH: "bar"}
    assert found.best.near


def test_an_untouched_default_is_no_confusion() -> None:
    """450 bar is the column's rating: above the pump's, but not another unit."""
    found = verdict(high="450")
    assert found is None


def test_an_ordinary_mistake_is_no_confusion() -> None:
    assert verdict(high="190") is None
    assert verdict(high="420") is None
    assert verdict(expected_high="260") is None


def test_a_weak_low_cutoff_is_common_practice() -> None:
    for low in ("5", "10", "20"):
        assert verdict(low=low) is None


def test_the_prediction_tells_which_of_two_is_wrong() -> None:
    """A low-pressure method, or an expected band in MPa: only the physics knows."""
    values = {"low": "", "expected_low": "12", "expected_high": "20", "high": "300"}
    low_pressure = verdict(Predicted(14, 18, 24), **values)
    assert low_pressure is None
    slipped = verdict(Predicted(150, 190, 240), **values)
    assert slipped is not None
    assert slipped.best.meant == {EXPECTED: "MPa"}


def test_explanations_that_fit_alike_are_ties() -> None:
    found = verdict(low="", high="25")
    assert found is not None
    assert {str(e.meant) for e in (found.best, *found.ties)} >= {str({HIGH: "MPa"})}
    for tie in found.ties:
        assert not found.best.meant.items() <= tie.meant.items()


ORDER = st.tuples(
    st.integers(20, 350), st.floats(0.4, 0.9), st.floats(1.1, 1.6), st.floats(0.3, 0.8)
)


@given(ORDER, st.sampled_from(["bar", "psi", "MPa", "kPa", "kgf/cm2"]))
def test_a_sound_profile_is_sound_in_every_unit(
    order: tuple[int, float, float, float], unit: str
) -> None:
    """The same pressures, declared in any unit, give no confusion."""
    top, width, above, below = order
    expected_low = top * width
    pressures = {
        "expected_high": top,
        "expected_low": expected_low,
        "high": min(top * above, 395),
        "low": expected_low * below,
    }
    values = {
        name: plain(round(Pressure.of(str(round(bar, 3)), "bar").to(unit), 4))
        for name, bar in pressures.items()
    }
    assert verdict(unit=f'"{unit}"', step="0.01", **values) is None


@given(st.integers(1, 99999), st.integers(1, 99999), st.integers(1, 9999), st.integers(1, 9999))
def test_an_explanation_always_leaves_nothing_broken(
    high: int, low: int, expected_low: int, width: int
) -> None:
    found = verdict(
        high=str(high),
        low=str(low),
        expected_low=str(expected_low),
        expected_high=str(expected_low + width),
    )
    if found is not None:
        assert all(not e.reading.broken for e in found.explanations)
        costs = [e.cost for e in found.explanations]
        assert costs == sorted(costs)
        assert all(len(e.meant) <= 2 for e in found.explanations)
