"""Both ends of a gradient's band at one composition: of the lowest and of the highest run."""

from __future__ import annotations

import pytest

from limitcheck.diagnosis.conditions import HIGH_END, LOW_END, RUNS_APART, MovedBand, moved_band
from limitcheck.diagnosis.one_pressure import Statement, varied
from limitcheck.physics.system import Change
from tests.profiles_for_tests import with_geometry


def _ends_at_20_percent(low: int) -> MovedBand:
    """A band of a gradient up to 110 bar, moved to 20 % B: ends of 2.6 and 1.0 times its own."""
    text = """format = 1
method = {id = "g"}
cutoffs = {high = 400, low = 5}
instrument = {id = "i", pressure_unit = "bar", dwell_volume = "1 mL"}
expected = {low = <low>, high = 110, basis = "measured"}
conditions = {flow = "1 mL/min", temperature = "30 degC", ambient = "22 degC", \
solvent_a = "water", \
solvent_b = "acetonitrile", gradient = [{minute = 0, percent_b = 5}, \
{minute = 20, percent_b = 95}, {minute = 30, percent_b = 95}]}
flow_path = [{part = "pump", rating = "400 bar"}, \
{part = "tubing", length = "300 mm", bore = "0.17 mm"}, \
{part = "column", length = "150 mm", bore = "4.6 mm", particle_size = "5 um"}]
"""
    text = text.replace("\\\n", "").replace("<low>", str(low))
    found = moved_band(with_geometry(text).profile, Change(percent_b=20.0))
    assert found is not None
    return found


def test_ends_of_the_lowest_and_the_highest_run_may_lie_as_far_apart_as_runs_do() -> None:
    """At one moment one run may make 15 % more than another: what is between them is normal."""
    near = _ends_at_20_percent(36)
    low, high = (varied(Statement("", *end.pascal)) for end in (near.lowest, near.highest))
    assert low.high < high.low < RUNS_APART * low.high
    assert near.apart == ()
    assert near.low is not None
    assert near.high is not None
    assert float(near.low) == pytest.approx(low.high, rel=1e-2)
    assert float(near.high) == pytest.approx(high.low, rel=1e-2)
    assert float(near.least) == pytest.approx(high.low / RUNS_APART, rel=1e-2)
    assert float(near.most) == pytest.approx(low.high * RUNS_APART, rel=1e-2)


def test_ends_farther_apart_than_runs_contradict_each_other() -> None:
    far = _ends_at_20_percent(31)
    low, high = (varied(Statement("", *end.pascal)) for end in (far.lowest, far.highest))
    assert RUNS_APART * low.high < high.low < RUNS_APART**2 * low.high
    assert [one.name for one in far.apart] == [LOW_END, HIGH_END]
    assert (far.low, far.high) == (None, None)
