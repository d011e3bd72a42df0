"""Mixtures that are not an organic solvent with water: what is assumed is said, and wide enough."""

from __future__ import annotations

from itertools import pairwise
from math import exp, log

import pytest
from hypothesis import given
from hypothesis import strategies as st

from limitcheck.physics.blend import apart, blend, with_water
from limitcheck.physics.constants import SOLVENTS
from limitcheck.physics.liquid import Liquid, viscosity_ratio_error
from limitcheck.physics.mobile_phase import liquid, predicted_as
from limitcheck.physics.predict import predict
from limitcheck.physics.viscosity import (
    peak_share,
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


@given(SHARES, st.floats(283.15, 333.15))
def test_the_thickest_mixture_is_thickest(parts: list[tuple[str, float]], kelvin: float) -> None:
    one, other = blend(parts), with_water("methanol", 1.0)
    share = peak_share(one, other, kelvin)

    def eta(at: float) -> float:
        return viscosity(blend([*((n, (1 - at) * s) for n, s in one), ("methanol", at)]), kelvin)

    dense = max(eta(i / 200) for i in range(201))
    reached = max(eta(0.0), eta(1.0)) if share is None else eta(share)
    assert reached >= dense * (1 - 1e-4)


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
    for share in (0.0, 0.02, 0.05, 0.5):
        other = Liquid(blend([("methanol", 0.5 - share), ("acetonitrile", share), ("water", 0.5)]))
        assert apart(base.solvents, other.solvents) == pytest.approx(share)
        errors.append(viscosity_ratio_error(base, 298.15, other, 298.15))
    assert errors[0] == 0.0
    assert all(one < other for one, other in pairwise(errors))


def test_equal_parts_of_one_solvent_are_that_solvent() -> None:
    assert liquid("hexane", "n-hexane", 30.0) == liquid("hexane", None, 0.0)
    assert log(liquid("hexane", None, 0.0).viscosity(298.15)) == pytest.approx(
        log(solvent_viscosity("hexane", 298.15))
    )
