"""A drop over one part meets its own equation, however steep the rise with pressure."""

from __future__ import annotations

from math import exp, sinh

import pytest

from limitcheck.physics.drops import drops
from limitcheck.physics.flow_path import Segment
from limitcheck.physics.predict import predict

from .profiles import COLUMN, PUMP, conditions, profile

MOST = 100e6  # Pa; from there on the rise stays


@pytest.mark.parametrize("liquid", ["water", "methanol", "2-propanol", "hexane"])
@pytest.mark.parametrize("celsius", [20, 50, 75])
def test_a_drop_is_solved_to_a_ten_millionth(liquid: str, celsius: int) -> None:
    """dP = P0 exp(r) x / sinh(x), r at the mean pressure, x half of what its slope makes of dP."""
    own = conditions(
        temperature=f'"{celsius} degC"', ambient=f'"{celsius} degC"',
        solvent_a=f'"{liquid}"', solvent_b="", percent_b="",
    )  # fmt: skip
    state = predict(profile(PUMP, COLUMN, conditions=own)).ready.state
    linear, square, _ = state.liquid.rise(state.cold)
    flowing = state.flow * state.liquid.viscosity(state.cold)
    for step in range(300):
        without = 1e6 * 1.02**step  # Pa, to 3800 bar
        part = Segment(1, "part", without / flowing, False, 0.1, 0.1)
        ((pressure, exponent, *_),) = drops([part], state)
        mean, slope = 0.5 * pressure, linear + square * pressure
        if mean > MOST:
            mean, slope = MOST, 0.0
        x = 0.5 * slope * pressure
        assert exponent == pytest.approx(mean * (linear + square * mean), rel=3e-6)
        whole = without * exp(mean * (linear + square * mean)) * (x / sinh(x) if x else 1.0)
        assert pressure == pytest.approx(whole, rel=1.5e-7)


@pytest.mark.parametrize("liquid", ["water", "hexane"])
def test_a_resistance_without_bounds_is_solved_too(liquid: str) -> None:
    """As where a plug leaves nothing of a bore; at low temperatures water rises the other way."""
    own = conditions(
        temperature='"6 degC"', ambient='"6 degC"',
        solvent_a=f'"{liquid}"', solvent_b="", percent_b="",
    )  # fmt: skip
    state = predict(profile(PUMP, COLUMN, conditions=own)).ready.state
    last = 0.0
    for power in range(0, 30):
        ((pressure, *_),) = drops([Segment(1, "part", 10.0**power, False, 0.1, 0.1)], state)
        assert pressure > last
        last = pressure


@pytest.mark.parametrize("liquid", ["methanol", "hexane"])
def test_a_drop_across_the_end_of_the_rise_is_solved(liquid: str) -> None:
    """Another part stands behind it: the mean pressure is near that from which the rise stays."""
    own = conditions(solvent_a=f'"{liquid}"', solvent_b="", percent_b="")
    state = predict(profile(PUMP, COLUMN, conditions=own)).ready.state
    linear, square, _ = state.liquid.rise(state.cold)
    flowing = state.flow * state.liquid.viscosity(state.cold)
    seen = set()
    for step in range(500):
        parts = [
            Segment(1, "first", 2.6e6 / flowing, False, 0.1, 0.1),
            Segment(2, "last", (50e6 + 0.1e6 * step) / flowing, False, 0.1, 0.1),
        ]
        (pressure, *_), (behind, *_) = drops(parts, state)
        mean = behind + 0.5 * pressure
        seen.add(mean > MOST)
        mean, slope = (MOST, 0.0) if mean > MOST else (mean, linear + 2.0 * square * mean)
        x = 0.5 * slope * pressure
        whole = 2.6e6 * exp(mean * (linear + square * mean)) * (x / sinh(x) if x else 1.0)
        assert pressure == pytest.approx(whole, rel=3e-7)
    assert seen == {True, False}
