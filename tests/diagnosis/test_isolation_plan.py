"""The plan's steps and their normal pressures."""

from __future__ import annotations

import re

import pytest

from limitcheck.diagnosis.isolation import isolate
from limitcheck.physics.left_out import left_out_allowance
from limitcheck.physics.predict import predict
from tests.diagnosis.test_clear_excess import TWO_COLUMNS, VALVE, run
from tests.physics.profiles import CELL, INJECTOR, PUMP, TUBE, TUBE_2, column, pair, profile
from tests.profiles_for_tests import with_geometry


@pytest.mark.parametrize("text", [TWO_COLUMNS, VALVE])
def test_with_a_prediction_alone_the_normal_is_that_of_predict(text: str) -> None:
    profile = with_geometry(re.sub(r"\[expected\][^\[]*", "", text)).profile
    assert profile.expected is None
    found, all_of_it = isolate(profile, {}, in_doubt=False), predict(profile)
    assert found.plan[0].low == pytest.approx(all_of_it.low)
    assert found.plan[0].high == pytest.approx(
        all_of_it.high + left_out_allowance(profile, all_of_it)
    )
    before = next(step for step in found.plan if step.name == "pump-outlet")
    assert (before.low, before.high) == (0, 0)


def test_columns_in_series_have_a_step_between_them() -> None:
    steps = [
        step.name for step in isolate(with_geometry(TWO_COLUMNS).profile, {}, in_doubt=False).plan
    ]
    assert steps == ["all", "column-outlet", "part-5", "column-inlet", "pump-outlet"]
    readings = {"all": 120.0, "column-outlet": 118.0, "part-5": 66.0, "column-inlet": 3.0}
    found = run(TWO_COLUMNS, readings)
    assert found.verdict == "found"
    assert found.named[0].parts == ("column (first)", "tubing (between)")


def test_a_band_beside_measured_pairs_widens_no_step() -> None:
    """The pairs are of all parts: what those without a resistance take is in the others."""
    pairs = (pair(1.0, 100), pair(0.5, 49), pair(1.0, 8, column="false"))
    parts = (PUMP, TUBE, INJECTOR, column(), TUBE_2, CELL)
    band = '{low = 95, high = 105, basis = "measured"}'
    alone, with_band = (
        {step.name: step for step in isolate(made, {}, in_doubt=False).plan}
        for made in (
            profile(*parts, measured=", ".join(pairs)),
            profile(*parts, measured=", ".join(pairs), expected=band),
        )
    )
    for name in ("column-inlet", "valve-inlet"):
        if name in alone:
            wide = [float(step.high) - float(step.low) for step in (alone[name], with_band[name])]
            assert wide[1] < 1.1 * wide[0], name
    assert float(with_band["column-inlet"].high) < 10e5
