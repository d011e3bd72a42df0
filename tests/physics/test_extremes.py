"""The highest and lowest pressure of a gradient, against a fine scan of the same model."""

from __future__ import annotations

from math import cos, pi

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from limitcheck.errors import LimitcheckError
from limitcheck.physics.course import course
from limitcheck.physics.extremes import extremes
from limitcheck.physics.predict import predict, pressure

from .profiles import CELL, INJECTOR, PUMP, column, conditions, profile

SOLVENTS = (
    "water", "acetonitrile", "methanol", "ethanol", "2-propanol", "tetrahydrofuran", "hexane",
    "50 mM phosphate, pH 3", "water/acetonitrile 50:50", "methanol/water 60:40",
    "acetonitrile/methanol 50:50", "ethanol/water 40:60",
)  # fmt: skip
BORES = {"0.05": "1", "0.3": "2.1", "1.5": "4.6", "5": "4.6", "60": "30", "150": "50"}


@settings(max_examples=60)
@given(
    st.sampled_from(SOLVENTS),
    st.sampled_from(SOLVENTS),
    st.integers(0, 450).map(lambda tenth: tenth / 10),
    st.integers(500, 1000).map(lambda tenth: tenth / 10),
    st.sampled_from(sorted(BORES)),
    st.sampled_from(("0.05", "0.17", "0.5")),
    st.sampled_from((10, 35, 60, 90)),
    st.booleans(),
)
def test_no_composition_is_outside_what_a_step_is_said_to_make(
    a: str, b: str, low: float, high: float, flow: str, tube: str, celsius: int, up: bool
) -> None:
    assume(a != b)
    first, last = (low, high) if up else (high, low)
    parts = (
        PUMP,
        f'{{part = "tubing", length = "600 mm", bore = "{tube} mm"}}',
        INJECTOR,
        column(bore=f'"{BORES[flow]} mm"'),
        CELL,
    )
    own = conditions(
        flow=f'"{flow} mL/min"', temperature=f'"{celsius} degC"', solvent_a=f'"{a}"',
        solvent_b=f'"{b}"', percent_b="",
        gradient=f"[{{minute = 0, percent_b = {first}}}, {{minute = 10, percent_b = {last}}}]",
    )  # fmt: skip
    try:
        found = predict(profile(*parts, conditions=own))
    except LimitcheckError:
        assume(False)
    scan = [pressure(found.ready, low + (high - low) * i / 100)[1] for i in range(101)]
    assert found.highest.central >= 0.99 * max(scan)
    assert found.lowest.central <= 1.01 * min(scan)
    minutes = [point.minute for point in found.points]
    assert minutes == sorted(minutes)


@pytest.mark.parametrize("where", [0.4, 3.0, 33.0, 50.0, 97.5, 99.7])
def test_an_extreme_near_an_end_is_found(where: float) -> None:
    """A wave of a known top and bottom."""
    top = list(extremes(lambda b: 10.0 + cos((b - where) * pi / 120.0), 0.0, 100.0))
    assert any(b == pytest.approx(where, abs=0.05) for b in top)
    bottom = list(extremes(lambda b: 10.0 - cos((b - where) * pi / 120.0), 0.0, 100.0))
    assert any(b == pytest.approx(where, abs=0.05) for b in bottom)


@pytest.mark.parametrize("ends", [(0.0, 100.0), (20.0, 20.0), (5.0, 5.2)])
def test_a_line_has_none_inside(ends: tuple[float, float]) -> None:
    assert list(extremes(lambda b: 3.0 + b, *ends)) == []
    assert list(extremes(lambda b: 3.0 - 0.01 * b, *ends)) == []


def test_a_column_far_longer_than_the_programme_is_no_work() -> None:
    """250 x 50 mm at 0.01 mL/min takes 32,000 min: before the start the composition is constant."""
    wide = column(length='"250 mm"', bore='"50 mm"')
    own = conditions(
        flow='"0.01 mL/min"', percent_b="",
        gradient="[{minute = 0, percent_b = 5}, {minute = 1, percent_b = 95}]",
    )  # fmt: skip
    made = profile(PUMP, wide, conditions=own)
    run = course(made, predict(made).ready)
    assert run.transit is not None
    assert run.transit > 10_000
    first = pressure(predict(made).ready, 5.0)[1]
    assert run.points[0].central == pytest.approx(first, rel=1e-3)
    assert run.lowest.central == pytest.approx(first, rel=0.05)
