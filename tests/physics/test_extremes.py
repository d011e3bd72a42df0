"""The highest and lowest pressure of a gradient, against a fine scan of the same model."""

from __future__ import annotations

from collections.abc import Callable
from math import cos, exp, pi

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


# What pressure and heat do to a drop: little, and more of a high one.
ESTIMATES: dict[str, Callable[[float, float], float]] = {
    "exact": lambda _, height: height,
    "less where high": lambda _, height: 3.0 * height**0.7,
    "tilted": lambda b, height: height * exp(0.002 * b),
    "bent": lambda b, height: height * exp(3e-5 * (b - 60.0) ** 2),
}


@pytest.mark.parametrize("where", [0.4, 3.0, 33.0, 50.0, 97.5, 99.7])
@pytest.mark.parametrize("estimate", ESTIMATES)
@pytest.mark.parametrize("sign", [1.0, -1.0])
def test_an_extreme_is_found_by_an_estimate(where: float, estimate: str, sign: float) -> None:
    """A wave of a known top and bottom; an extreme beside an end is no less high than the end."""

    def height(b: float) -> float:
        return 10.0 + sign * cos((b - where) * pi / 120.0)

    def roughly(b: float) -> float:
        return ESTIMATES[estimate](b, height(b))

    found = list(extremes(height, roughly, 0.0, 100.0))
    best = max((0.0, *found, 100.0), key=lambda b: sign * height(b))
    assert height(best) == pytest.approx(10.0 + sign, rel=4e-4)


@pytest.mark.parametrize("ends", [(0.0, 100.0), (20.0, 20.0), (5.0, 5.2)])
@pytest.mark.parametrize("slope", [1.0, -0.01])
def test_a_line_has_none_inside(ends: tuple[float, float], slope: float) -> None:
    def line(b: float) -> float:
        return 3.0 + slope * b

    assert list(extremes(line, line, *ends)) == []
    assert list(extremes(line, lambda b: 5.0 * line(b) ** 0.8, *ends)) == []


@pytest.mark.parametrize("kink", [20.0, 22.5])
def test_a_kink_between_two_humps_hides_neither(kink: float) -> None:
    """The top is a kink, as where turbulence begins in a tube; the path itself is the estimate."""

    def height(b: float) -> float:
        return 10.0 + cos((b - 70.0) * pi / 60.0) + max(0.0, 4.0 - 0.5 * abs(b - kink))

    found = list(extremes(height, None, 0.0, 100.0))
    assert max(map(height, found)) == pytest.approx(height(kink), rel=2e-3)


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


def test_where_a_tube_turns_turbulent_no_peak_is_missed() -> None:
    """By a search for the worst: 3 % were missed where the estimate was that of laminar flow."""
    tube = '{part = "tubing", length = "600 mm", bore = "0.17 mm"}'
    wide = column(length='"50 mm"', bore='"30 mm"', particle_size='"10 um"')
    own = conditions(
        flow='"29.3981 mL/min"', temperature='"10 degC"', solvent_a='"50 mM phosphate, pH 3"',
        solvent_b='"tetrahydrofuran"', percent_b="",
        gradient="[{minute = 0, percent_b = 59.037}, {minute = 10, percent_b = 97.545}]",
    )  # fmt: skip
    found = predict(profile(PUMP, tube, INJECTOR, wide, CELL, conditions=own))
    scan = [pressure(found.ready, 59.037 + 38.508 * i / 400)[1] for i in range(401)]
    assert found.highest.central >= 0.998 * max(scan)
    assert max(scan) > 1.01 * max(scan[0], scan[-1])


@pytest.mark.parametrize("up", [True, False])
def test_two_extremes_of_one_step_stand_in_order(up: bool) -> None:
    """A dip near 5 and a hump near 62 % B: minutes never go back."""
    first, last = (0, 100) if up else (100, 0)
    own = conditions(
        temperature='"60 degC"', solvent_a='"2-propanol"', solvent_b='"ethanol/water 40:60"',
        percent_b="",
        gradient=f"[{{minute = 0, percent_b = {first}}}, {{minute = 10, percent_b = {last}}}]",
    )  # fmt: skip
    found = predict(profile(conditions=own))
    assert len(found.points) == 4
    minutes = [point.minute for point in found.points]
    assert minutes == sorted(minutes)
    assert found.points[1 if up else 2] == found.lowest
    assert found.points[2 if up else 1] == found.highest
