"""Where to look for the extremes of a run: the laminar estimate, and what runs share of it."""

from __future__ import annotations

import pytest

from limitcheck.physics.extremes import GRID
from limitcheck.physics.predict import RunPoint, _Run, _viscosities, predict, pressure
from limitcheck.physics.system import system
from limitcheck.profile.model import Profile

from .profiles import PUMP, TUBE, column, conditions, pair, profile

NARROW = '{part = "tubing", label = "narrow", length = "600 mm", bore = "0.08 mm"}'
SHORT = column(length='"30 mm"')


def gradient(first: float, last: float, **fields: str) -> str:
    points = f"[{{minute = 0, percent_b = {first}}}, {{minute = 10, percent_b = {last}}}]"
    return conditions(percent_b="", gradient=points, **fields)


def run(ambient: str, measured: str = "") -> Profile:
    """Half of the pressure outside the oven, in a peak that moves with the room."""
    at = gradient(0, 100, ambient=ambient, temperature='"70 degC"', solvent_b='"methanol"')
    return profile(PUMP, NARROW, SHORT, conditions=at, measured=measured)


def alone(made: Profile) -> tuple[RunPoint, ...]:
    _viscosities.cache_clear()
    return predict(made).points


@pytest.mark.parametrize("percent_b", [0.0, 20.0, 77.0])
def test_the_estimate_is_the_pressure_where_nothing_but_laminar_flow_is_left(
    percent_b: float,
) -> None:
    """At a thousandth of the flow: no turbulence, heat, compression or rise with pressure."""
    slow = gradient(0, 100, flow='"0.001 mL/min"', temperature='"80 degC"', ambient='"5 degC"')
    for made in (
        profile(PUMP, NARROW, SHORT, conditions=slow),
        profile(PUMP, TUBE, column(), conditions=slow),
    ):
        ready = system(made)
        estimate = _Run(ready).laminar(percent_b)
        assert estimate == pytest.approx(pressure(ready, percent_b)[1], rel=1e-3)


READ = pair(0.5, 120, percent_b="40"), pair(1.0, 240, percent_b="40"), pair(1.0, 155, percent_b="5")
OTHERS = {"another room": run('"60 degC"'), "measured": run('"5 degC"', measured=", ".join(READ))}


@pytest.mark.parametrize("other", OTHERS)
def test_a_run_does_not_depend_on_what_was_computed_before(other: str) -> None:
    """Two profiles that differ in one thing, each after the other."""
    one, two = run('"5 degC"'), OTHERS[other]
    # What the pairs say of a viscosity, as in none of the other profiles.
    assert (system(two).liquid(0.0).measured != 0.0) == (other == "measured")
    first, second = alone(one), alone(two)
    assert len(first) > 2
    assert first != second
    for before, after, expected in ((one, two, second), (two, one, first)):
        _viscosities.cache_clear()
        _ = predict(before).points
        assert predict(after).points == expected


def test_what_runs_share_does_not_grow_with_their_number() -> None:
    """40 gradients with ends of their own: no more than the 21 compositions of the grid stay."""
    _viscosities.cache_clear()
    for i in range(40):
        predict(profile(conditions=gradient(3 + 0.17 * i, 90 - 0.13 * i)))
    state = system(profile(conditions=gradient(5, 95))).state
    kept = _viscosities("water", "acetonitrile", state.hot, state.cold)
    assert _viscosities.cache_info().currsize == 1
    assert 0 < len(kept) <= 100 / GRID + 1
    assert all(percent_b % GRID == 0.0 for percent_b in kept)
