"""A steep step on a small column: how far it is mixed on the way decides how high its peak is."""

from __future__ import annotations

from datetime import date

import pytest

from limitcheck.checks.engine import check_profile
from limitcheck.documents.prediction import band_text
from limitcheck.physics.course import course
from limitcheck.physics.faults import Faults
from limitcheck.physics.predict import predict
from limitcheck.policy import DEFAULT_POLICY
from limitcheck.profile.model import Profile

from .profiles import CELL, INJECTOR, PUMP, TUBE_2, column, conditions, profile

DAY = date(2026, 11, 27)
CHECK = "gradient-peak-outside-expected"
STEP = (
    "[{minute = 0, percent_b = 5}, {minute = 3, percent_b = 5}, {minute = 3.01, percent_b = 95},"
    " {minute = 4, percent_b = 95}, {minute = 4.01, percent_b = 5}, {minute = 7, percent_b = 5}]"
)
SMALL = column(length='"50 mm"', bore='"2.1 mm"', particle_size='"1.9 um"')


def step(expected: str = "", high: int | None = None) -> Profile:
    own = conditions(flow='"0.4 mL/min"', solvent_b='"methanol"', percent_b="", gradient=STEP)
    pump = PUMP.replace("400", "1000")
    cutoffs = "" if high is None else f"cutoffs = {{high = {high}, low = 20}}"
    parts = pump, TUBE_2, INJECTOR, SMALL, CELL
    return profile(*parts, conditions=own, expected=expected, cutoffs=cutoffs)


def around(low: float, high: float, basis: str) -> str:
    return f'{{low = {low:.0f}, high = {high:.0f}, basis = "{basis}"}}'


@pytest.mark.parametrize(
    ("basis", "high", "decided"),
    [("declared", 900, False), ("measured", 900, True), ("measured", 250, False)],
)
def test_a_band_of_the_plateaus_is_not_decided_unless_measured(
    basis: str, high: int, decided: bool
) -> None:
    """Nor measured, where the mixture may reach the cutoff: it may not be of a whole run."""
    run = course(step(), predict(step()).ready)
    bar = [1e-5 * point.central for point in (run.lowest, run.highest)]
    made = step(around(bar[0], bar[1], basis), high)
    report = check_profile(made, DEFAULT_POLICY, DAY)
    assert not [found for found in report.findings if found.check == CHECK]
    skipped = [item for item in report.undecided if item.check == CHECK]
    assert bool(skipped) is not decided


def test_a_band_that_holds_the_mixture_too_is_well() -> None:
    most = 1e-5 * predict(step()).highest.central
    made = step(around(100, 1.1 * most, "declared"))
    report = check_profile(made, DEFAULT_POLICY, DAY)
    assert CHECK not in [item.check for item in (*report.findings, *report.undecided)]


def test_the_prediction_says_what_mixing_and_a_hold_may_make() -> None:
    told = band_text(step(), predict(step()))
    assert "Mixing on the way to the column may make the highest 239 to 340 bar" in told
    assert "and the lowest 173 to 232 bar" in told
    ends = "[{minute = 0, percent_b = 95}, {minute = 2, percent_b = 45}]"
    own = conditions(solvent_b='"methanol"', percent_b="", gradient=ends)
    made = profile(PUMP, TUBE_2, column(length='"250 mm"'), conditions=own)
    assert "It still rises at the end of the programme" in band_text(made, predict(made))
    slow = ends.replace("minute = 2", "minute = 400")
    made = profile(PUMP, TUBE_2, SMALL, conditions=own.replace(ends, slow))
    assert "Mixing" not in band_text(made, predict(made))


def test_the_oven_too_hot_is_not_predicted_beyond_all_data() -> None:
    made = profile(conditions=conditions(temperature='"105 degC"'))
    missing = dict(Faults(made).not_computed)
    assert "115 degC" in missing["oven-too-hot"]
