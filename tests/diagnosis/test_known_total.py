"""What a known total says of each part: what is badly known gives way, tubing hardly."""

from __future__ import annotations

from math import fsum

import pytest
from hypothesis import given
from hypothesis import strategies as st

from limitcheck.diagnosis.drops import NormalDrops
from limitcheck.diagnosis.isolation import Isolation, isolate
from limitcheck.physics.predict import predict
from limitcheck.units import Pressure
from tests.profiles_for_tests import with_geometry

LONG_TUBING = """format = 1
[method]
id = "M"
[instrument]
id = "I"
pressure_unit = "bar"
display_step = 1
[cutoffs]
high = 390
low = 40
[expected]
low = {low}
high = {high}
basis = "{basis}"
[conditions]
flow = "1 mL/min"
temperature = "30 degC"
ambient = "21 degC"
solvent_a = "water"
solvent_b = "acetonitrile"
percent_b = 30
[[flow_path]]
part = "pump"
rating = "600 bar"
[[flow_path]]
part = "tubing"
label = "pump to injector"
length = "1500 mm"
bore = "0.12 mm"
[[flow_path]]
part = "injector"
resistance_at = {{pressure = "3 bar", flow = "1 mL/min", temperature = "25 degC", solvent_a = "water", solvent_b = "acetonitrile", percent_b = 0}}
[[flow_path]]
part = "tubing"
label = "injector to column"
length = "300 mm"
bore = "0.12 mm"
[[flow_path]]
part = "column"
length = "150 mm"
bore = "4.6 mm"
particle_size = "3 um"
[[flow_path]]
part = "tubing"
length = "300 mm"
bore = "0.17 mm"
[[flow_path]]
part = "detector cell"
"""  # noqa: E501
BANDS = [(310, 320), (245, 255), (172, 178)]


def found(low: int, high: int, readings: dict[str, float]) -> Isolation:
    text = LONG_TUBING.format(low=low, high=high, basis="measured")
    given = {name: Pressure.parse(f"{value} bar") for name, value in readings.items()}
    return isolate(with_geometry(text).profile, given, in_doubt=False)


@pytest.mark.parametrize(("low", "high"), BANDS)
def test_another_column_leaves_the_tubing_as_it_is(low: int, high: int) -> None:
    """66 bar before the column are predicted whatever the column makes."""
    text = LONG_TUBING.format(low=low, high=high, basis="measured")
    budget = predict(with_geometry(text).profile).budget
    before = fsum(share.central for share in budget[:3])
    plan = {step.name: step for step in found(low, high, {}).plan}
    inlet, valve = plan["column-inlet"], plan["valve-inlet"]
    assert inlet.low is not None
    assert inlet.high is not None
    assert 50e5 < inlet.low < 0.95 * before < 1.05 * before < inlet.high < 90e5
    assert valve.low is not None
    assert valve.high is not None
    assert valve.low < budget[0].central < valve.high < 1.1 * budget[0].high


def test_tubing_as_predicted_is_no_suspect() -> None:
    readings = {"all": 187.0, "column-outlet": 184.0, "column-inlet": 66.0, "valve-load": 63.0}
    readings |= {"valve-inlet": 52.0, "pump-outlet": 0.0}
    again = {f"{name}-again": value for name, value in readings.items()}
    told = found(172, 178, readings | again)
    assert "the readings point to tubing" not in told.message
    usual = {"all": 178.0, "column-outlet": 175.0, "column-inlet": 66.0, "valve-inlet": 52.0}
    normal = found(172, 178, usual)
    assert normal.verdict == "normal"
    assert normal.message.endswith("no restriction to look for.")


@given(
    st.lists(st.tuples(st.floats(0.1, 1e3), st.floats(0.01, 1.0)), min_size=1, max_size=8),
    st.floats(0.05, 20.0),
)
def test_the_parts_add_up_and_none_is_below_zero(
    parts: list[tuple[float, float]], times: float
) -> None:
    central = {i: mean for i, (mean, _) in enumerate(parts)}
    half = {i: 2 * mean * share for i, (mean, share) in enumerate(parts)}
    total = times * fsum(central.values())
    drops = NormalDrops(central, half, (0.98 * total, 1.02 * total))
    each = [drops.over({i})[0] for i in central]
    assert min(each) > 0.0
    assert fsum(each) == pytest.approx(total, rel=1e-6)
    surest = min(central, key=lambda i: half[i] ** 2 / central[i])
    changes = [abs(each[i] / central[i] - 1.0) for i in central]
    assert changes[surest] <= min(changes) + 1e-6


def test_what_is_known_exactly_shares_the_rest_alike() -> None:
    drops = NormalDrops({0: 1.0, 1: 3.0}, {0: 0.0, 1: 0.0}, (8.0, 8.0))
    assert drops.over({0})[0] == pytest.approx(2.0)
