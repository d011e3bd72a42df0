"""A measured band is of the run as the columns see it: a short wash never fills them."""

from __future__ import annotations

from itertools import accumulate
from math import log

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from limitcheck.diagnosis.conditions import moved_band
from limitcheck.physics.course import course, course_ends
from limitcheck.physics.faults import Faults
from limitcheck.physics.over_course import over_course
from limitcheck.physics.predict import predict
from limitcheck.physics.system import Change
from limitcheck.profile.model import Profile
from limitcheck.units import Pressure
from tests.physics.profiles import CELL, INJECTOR, PUMP, TUBE, column, conditions, profile

LONG = column(length='"250 mm"', particle_size='"5 um"')
WASH = (
    "[{minute = 0, percent_b = 10}, {minute = 20, percent_b = 50}, {minute = 20.1, percent_b = 95},"
    " {minute = 21, percent_b = 95}, {minute = 21.1, percent_b = 10},"
    " {minute = 28, percent_b = 10}]"
)
ENDS = "[{minute = 0, percent_b = 10}, {minute = 15, percent_b = 90}]"


def run_of(gradient: str, expected: str = "") -> Profile:
    own = conditions(percent_b="", gradient=gradient)
    return profile(PUMP, TUBE, INJECTOR, LONG, CELL, conditions=own, expected=expected)


def as_measured(gradient: str) -> Profile:
    """The band that the tool's own course of the run makes."""
    made = run_of(gradient)
    run = course(made, predict(made).ready)
    low, high = (round(run.lowest.central / 1e5, 1), round(run.highest.central / 1e5, 1))
    return run_of(gradient, f'{{low = {low}, high = {high}, basis = "measured"}}')


@pytest.mark.parametrize("percent_b", [0.0, 10.0, 50.0, 95.0])
def test_both_ends_move_to_the_same_pressure(percent_b: float) -> None:
    made = as_measured(WASH)
    there = Change(percent_b=percent_b)
    moved = moved_band(made, there)
    assert moved is not None
    true = predict(made, there).central
    for end in (moved.lowest, moved.highest):
        low, central, high = end.pascal
        assert central == pytest.approx(true, rel=0.01)
        assert low < true * 1.001
        assert high > true * 0.999
    assert float(moved.most) < 1.35 * true


def test_a_pressure_far_above_normal_is_not_called_normal() -> None:
    made = as_measured(WASH)
    there = Change(percent_b=50.0)
    moved = moved_band(made, there)
    assert moved is not None
    assert moved.most < Pressure.parse(f"{1.4 * predict(made, there).central / 1e5:.1f} bar")


def test_only_a_is_one_pressure_from_both_ends() -> None:
    made = as_measured(WASH)
    only = next(effect for effect in Faults(made).effects if effect.name == "only-a")
    true = predict(made, Change(percent_b=0.0)).central
    assert only.central == pytest.approx(true, rel=0.02)
    assert only.high < 1.4 * true


def test_how_long_the_last_composition_is_held_nobody_knows() -> None:
    """From what the course makes of it to what it makes where it fills the columns."""
    made = run_of(ENDS)
    found = predict(made)
    lowest, highest = over_course(made, found)
    least, most = course_ends(made, found.ready)
    apart = found.lowest_central / least
    assert apart < 0.98
    assert lowest.factor == pytest.approx(apart**0.5)
    assert highest.factor == pytest.approx(found.highest.central / most)


@given(
    st.lists(st.tuples(st.floats(0.05, 30), st.floats(0, 100)), min_size=2, max_size=5),
    st.sampled_from(["methanol", "acetonitrile"]),
)
@settings(max_examples=40, deadline=None)
def test_the_short_way_bounds_what_the_course_makes(
    steps: list[tuple[float, float]], solvent: str
) -> None:
    minutes = [0.0, *accumulate(length for length, _ in steps[1:])]
    points = [
        f"{{minute = {m:.3f}, percent_b = {b:.2f}}}"
        for m, (_, b) in zip(minutes, steps, strict=True)
    ]
    own = conditions(percent_b="", gradient=f"[{', '.join(points)}]", solvent_b=f'"{solvent}"')
    made = profile(PUMP, TUBE, INJECTOR, LONG, CELL, conditions=own)
    found = predict(made)
    low, high = course(made, found.ready).ends
    for one, seen, own_bound in zip(
        (found.lowest_central, found.highest.central),
        (low, high),
        over_course(made, found),
        strict=True,
    ):
        off = log(one / seen) - log(own_bound.factor)
        assert abs(off) <= own_bound.unsure + 0.021  # the course's own error


def test_without_a_gradient_nothing_is_moved() -> None:
    made = profile(PUMP, TUBE, INJECTOR, LONG, CELL)
    assert over_course(made, predict(made)) == ((1.0, 0.0), (1.0, 0.0))
