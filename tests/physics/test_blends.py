"""Mixtures that are not an organic solvent with water: what is assumed is said, and wide enough."""

from __future__ import annotations

from itertools import pairwise
from math import exp, hypot, log

import pytest
from hypothesis import given
from hypothesis import strategies as st

from limitcheck.physics.blend import apart, blend, with_water
from limitcheck.physics.constants import SOLVENTS, THREE_ERROR, UNMEASURED
from limitcheck.physics.liquid import Liquid, viscosity_ratio_error
from limitcheck.physics.mobile_phase import liquid, predicted_as
from limitcheck.physics.predict import predict, pressure
from limitcheck.physics.viscosity import (
    assumed_errors,
    pressure_rise,
    separating,
    solvent_viscosity,
    viscosity,
    viscosity_error,
)
from tests.profiles_for_tests import WITH_GEOMETRY, with_geometry

MIXING = SOLVENTS.keys() - {"hexane", "heptane"}
SHARES = st.lists(st.sampled_from(sorted(MIXING)), min_size=1, max_size=4, unique=True).flatmap(
    lambda names: st.lists(st.floats(0.05, 1.0), min_size=len(names), max_size=len(names)).map(
        lambda parts: [(n, p / sum(parts)) for n, p in zip(names, parts, strict=True)]
    )
)


def interval(text: str, celsius: float = 25.0) -> tuple[float, float]:
    """Lowest and highest viscosity [mPa s] that are stated for a text."""
    found = liquid(text, None, 0.0)
    eta, width = 1e3 * found.viscosity(celsius + 273.15), found.error(celsius + 273.15).half_width
    return eta * exp(-width), eta * exp(width)


@pytest.mark.parametrize(
    ("text", "measured"),
    [  # 25 degC, mPa s, all from memory of published measurements and tables
        ("tetrahydrofuran/water 40:60", 1.7),
        ("tetrahydrofuran/water 80:20", 0.9),
        ("hexane/ethanol 69:31", 0.43),  # equal moles
        ("hexane/2-propanol 63:37", 0.52),  # equal moles
        ("methanol/acetonitrile 43:57", 0.36),  # equal moles
        ("2-propanol/acetonitrile 59:41", 0.60),  # equal moles
    ],
)
def test_values_recalled_lie_in_the_stated_interval(text: str, measured: float) -> None:
    low, high = interval(text)
    assert low < measured < high
    assert high / low > 1.15  # and no more is claimed than that


def test_three_solvents_lie_between_their_pairs() -> None:
    """Half water with either of two organic solvents alone bounds half water with both."""
    both = 1e3 * liquid("water/methanol/acetonitrile 50:25:25", None, 0.0).viscosity(298.15)
    one, other = (
        1e3 * liquid(f"water/{name} 50:50", None, 0.0).viscosity(298.15)
        for name in ("acetonitrile", "methanol")
    )
    assert one < both < other
    assert predicted_as("water/MeOH/ACN 50:25:25") == (
        "acetonitrile 25 %, methanol 25 %, water 50 %"
    )


def test_a_ternary_method_is_predicted_and_says_so() -> None:
    text = WITH_GEOMETRY.replace('"acetonitrile"', '"methanol/acetonitrile 50:50"')
    found = predict(with_geometry(text).profile)
    reasons = " | ".join(found.reasons)
    assert "predicted as acetonitrile 50 %, methanol 50 %" in reasons
    half = text.replace("percent_b = 18", "percent_b = 66")
    reasons = " | ".join(predict(with_geometry(half).profile).reasons)
    assert "3 solvents together are worked out from every two of them" in reasons
    assert "how viscous acetonitrile and methanol are together is assumed" in reasons
    assert found.high / found.low > predict(with_geometry().profile).high / (
        predict(with_geometry().profile).low
    )


@given(SHARES, st.floats(283.15, 333.15))
def test_a_mixture_of_any_solvents_is_continuous(
    parts: list[tuple[str, float]], kelvin: float
) -> None:
    """Order does not matter, a trace changes little, and the error is never that of nothing."""
    solvents = blend(parts)
    eta, error = viscosity(solvents, kelvin), viscosity_error(solvents, kelvin).half_width
    assert viscosity(blend(reversed(parts)), kelvin) == pytest.approx(eta)
    assert error >= min(SOLVENTS[name].error for name, _ in solvents)
    for trace in MIXING:
        near = blend([*((name, share * (1 - 1e-7)) for name, share in parts), (trace, 1e-7)])
        assert viscosity(near, kelvin) == pytest.approx(eta, rel=1e-5)
        assert viscosity_error(near, kelvin).half_width == pytest.approx(error, abs=1e-4)


@pytest.mark.parametrize("celsius", [25, 60, 90, 105])
@pytest.mark.parametrize("tube", ["0.17 mm", "0.06 mm"])
@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("water", "ethanol"),
        ("water", "2-propanol"),
        ("0.5 M phosphate, pH 3", "acetonitrile"),
        ("water/acetonitrile 50:50", "methanol"),
        ("hexane", "2-propanol"),
    ],
)
def test_no_composition_of_a_step_makes_more_than_its_peak(
    one: str, other: str, tube: str, celsius: int
) -> None:
    """Water and ethanol have two maxima when hot; tubing outside the oven has one of its own."""
    plain = 'solvent_a = "water"\nsolvent_b = "acetonitrile"\npercent_b = 18\n'
    steps = "{minute = 0, percent_b = 0}, {minute = 20, percent_b = 100}"
    text = WITH_GEOMETRY.replace(
        plain, f'solvent_a = "{one}"\nsolvent_b = "{other}"\ngradient = [{steps}]\n'
    )
    text = text.replace('"35 degC"', f'"{celsius} degC"').replace('"0.17 mm"', f'"{tube}"')
    assert f'"{celsius} degC"' in text
    found = predict(with_geometry(text).profile)
    dense = max(pressure(found.ready, percent / 2)[1] for percent in range(201))
    assert found.highest.central >= dense * (1 - 1e-3)


@pytest.mark.parametrize(
    ("main", "trace"), [("methanol", "water"), ("methanol", "2-propanol"), ("water", "hexane")]
)
def test_a_trace_changes_no_width(main: str, trace: str) -> None:
    pure, near = blend([(main, 1.0)]), blend([(main, 1 - 1e-6), (trace, 1e-6)])
    assert separating(near) is None
    for kelvin in (288.15, 298.15, 333.15):
        one, other = pressure_rise(pure, kelvin), pressure_rise(near, kelvin)
        assert other.uncertainty == pytest.approx(one.uncertainty, abs=1e-3)


@pytest.mark.parametrize("organic", ["methanol", "acetonitrile", "2-propanol"])
def test_the_width_has_no_cliff_in_temperature(organic: str) -> None:
    half = with_water(organic, 0.5)
    widths = [viscosity_error(half, 273.15 + i / 10).half_width for i in range(100, 601)]
    assert max(abs(one - other) for one, other in pairwise(widths)) < 0.003
    assert min(widths) == viscosity_error(half, 298.15).half_width


def test_what_is_assumed_widens() -> None:
    """Each assumed width is in the error where it says it is."""
    third = blend([("methanol", 1 / 3), ("acetonitrile", 1 / 3), ("water", 1 / 3)])
    shares = [share for _, share in third]
    stated = viscosity_error(third, 298.15).half_width
    assumed = UNMEASURED.a_error * shares[0] * shares[1]
    assert stated**2 > assumed**2 + THREE_ERROR**2
    half = with_water("methanol", 0.5)
    assert pressure_rise(half, 298.15).uncertainty == pytest.approx(hypot(0.1, 0.5))
    hot, hotter = (viscosity_error(half, kelvin).half_width for kelvin in (323.15, 333.15))
    assert hotter - hot > 0.03
    acetonitrile = with_water("acetonitrile", 0.5)
    assert viscosity_error(acetonitrile, 333.15).half_width > (
        viscosity_error(half, 333.15).half_width
    )


def test_heptane_rises_with_pressure_as_coolprop_says() -> None:
    """CoolProp 8.0.0, n-heptane at 25 degC: 0.3897 mPa s saturated, 0.5664 at 40 MPa."""
    found = pressure_rise(blend([("heptane", 1.0)]), 298.15)
    assert exp(found.exponent(40e6)) == pytest.approx(0.5664 / 0.3897, rel=0.01)


def test_agents_for_the_ph_do_not_cancel() -> None:
    acid, base = (
        liquid(f"50 mM phosphate, pH 7 with {agent}", None, 0.0) for agent in ("acetic acid", "koh")
    )
    assert viscosity_ratio_error(acid, 298.15, acid, 298.15) == 0.0
    assert viscosity_ratio_error(acid, 298.15, base, 298.15) > 0.05
    amine = liquid("50 mM phosphate, pH 7 with triethylamine", None, 0.0)
    assert amine.dissolved > acid.dissolved


def test_order_of_solvents_does_not_matter() -> None:
    backwards = (("water", 0.5), ("methanol", 0.5))
    assert viscosity(backwards, 298.15) == pytest.approx(viscosity(blend(backwards), 298.15))
    with pytest.raises(KeyError):
        viscosity(blend([("hexane", 0.5), ("methanol", 0.5)]), 298.15)


@pytest.mark.parametrize(
    ("text", "same"),
    [
        ("100% ACN", "acetonitrile"), ("Methanol 100 %", "methanol"), ("iPrOH", "2-propanol"),
        ("deionised water", "water"), ("0.1% FA in water", "0.1 % formic acid in water"),
        ("20 mM KH2PO4", "20 mM potassium dihydrogen phosphate"),
        ("20 mM K2HPO4", "20 mM dipotassium hydrogen phosphate"),
    ],
)  # fmt: skip
def test_names_as_people_write_them(text: str, same: str) -> None:
    assert liquid(text, None, 0.0) == liquid(same, None, 0.0)


def test_pairs_that_do_not_mix() -> None:
    for alkane in ("hexane", "heptane"):
        for other in ("water", "methanol", "acetonitrile"):
            assert separating(blend([(alkane, 0.5), (other, 0.5)]))
        for other in ("ethanol", "2-propanol", "tetrahydrofuran"):
            assert separating(blend([(alkane, 0.5), (other, 0.5)])) is None


def test_other_solvents_do_not_cancel_in_a_ratio() -> None:
    """The more of the volume is another solvent, the less cancels."""
    base = Liquid(with_water("methanol", 0.5))
    errors = []
    for share in (0.0, 0.02, 0.05, 0.1):
        other = Liquid(blend([("methanol", 0.5 - share), ("acetonitrile", share), ("water", 0.5)]))
        assert apart(base.solvents, other.solvents) == pytest.approx(share)
        errors.append(viscosity_ratio_error(base, 298.15, other, 298.15))
    assert errors[0] == 0.0
    assert all(one < other for one, other in pairwise(errors))
    whole = Liquid(with_water("acetonitrile", 0.5))  # both measured: no third solvent is assumed
    assert 0.03 < viscosity_ratio_error(base, 298.15, whole, 298.15) < errors[-1]


@pytest.mark.parametrize("b", [1.0, 10.0, 25.0, 50.0, 90.0])
def test_what_is_assumed_of_a_mixture_cancels_at_another_temperature(b: float) -> None:
    """A0 is the same at every temperature: what is left is as of measured solvents, below 10 %."""
    mixed = liquid("methanol", "acetonitrile", b)
    assert viscosity_ratio_error(mixed, 308.15, mixed, 318.15) < 0.10
    assert sum(assumed_errors(mixed.solvents).values()) == pytest.approx(1.3 * b * (100 - b) * 1e-4)


def test_equal_parts_of_one_solvent_are_that_solvent() -> None:
    assert liquid("hexane", "n-hexane", 30.0) == liquid("hexane", None, 0.0)
    assert log(liquid("hexane", None, 0.0).viscosity(298.15)) == pytest.approx(
        log(solvent_viscosity("hexane", 298.15))
    )
