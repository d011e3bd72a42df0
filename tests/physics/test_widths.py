"""Half-widths, each against its formula by hand: shared errors add up, others do not."""

from __future__ import annotations

from math import hypot, log

import pytest

from limitcheck.physics.blend import with_water
from limitcheck.physics.drops import drops
from limitcheck.physics.flow_path import FLOW_ERROR, OVEN_ERROR
from limitcheck.physics.heat import THERMAL
from limitcheck.physics.liquid import Liquid, viscosity_ratio_error
from limitcheck.physics.predict import Prediction, predict
from limitcheck.physics.ratio import ratio
from limitcheck.physics.salts import moved
from limitcheck.physics.system import Change
from limitcheck.physics.tube import OpenTube, tube_flow
from limitcheck.physics.viscosity import pressure_rise, separating, viscosity_error

from .profiles import COLUMN, PUMP, TUBE, column, conditions, profile

WATER = '{pressure = "40 bar", flow = "1.0 mL/min", temperature = "25 degC", solvent_a = "water"}'
BLEND = conditions(
    solvent_a='"methanol/acetonitrile 50:50"', solvent_b="", percent_b="",
    temperature='"25 degC"', flow='"0.1 mL/min"',
)  # fmt: skip
SLOW = '{pressure = "20 bar", flow = "0.05 mL/min", temperature = "25 degC", solvent_a = "hexane"}'
HEXANE = conditions(
    solvent_a='"hexane"', solvent_b="", percent_b="", temperature='"25 degC"',
    flow='"1.5 mL/min"',
)  # fmt: skip
THIN = {"bore": '"2.1 mm"', "length": '"100 mm"'}


def widths(found: Prediction) -> tuple[float, float]:
    """In ln, below and above the central pressure."""
    return log(found.central / found.low), log(found.high / found.central)


def test_what_is_stated_of_a_viscosity_is_in_the_pressure_on_both_sides() -> None:
    """0.335 of the blend, in ln: 1.3 times a quarter, and the stated error of both."""
    stated = viscosity_error((("acetonitrile", 0.5), ("methanol", 0.5)), 298.15).half_width
    assert stated == pytest.approx(0.335, abs=0.005)
    certified = widths(predict(profile(PUMP, column(certificate=WATER), conditions=BLEND)))
    for width in certified:  # 10 % of the certificate besides
        assert width == pytest.approx(hypot(stated, 0.10), rel=0.03)


def test_a_viscosity_is_shared_by_two_columns_and_their_own_errors_are_not() -> None:
    one = widths(predict(profile(PUMP, column(certificate=WATER), conditions=BLEND)))
    columns = column(certificate=WATER), column(certificate=WATER)
    both = widths(predict(profile(PUMP, *columns, conditions=BLEND)))
    stated = viscosity_error((("acetonitrile", 0.5), ("methanol", 0.5)), 298.15).half_width
    for alone, together in zip(one, both, strict=True):
        assert together < alone
        assert together == pytest.approx(hypot(stated, 0.10 / 2**0.5), rel=0.03)


def test_heat_and_compression_are_shared_by_two_columns() -> None:
    half = column(certificate=SLOW.replace("20 bar", "10 bar"), **{**THIN, "length": '"50 mm"'})
    both = predict(profile(PUMP, half, half, conditions=HEXANE))
    ready = both.ready
    found = drops(ready.path.segments, ready.state)
    shared = sum(drop.pressure * drop.bed for drop in found) / both.central
    assert shared > 0.08
    apart = hypot(*(drop.pressure * hypot(0.10, drop.below) for drop in found)) / both.central
    others = hypot(apart, OVEN_ERROR * ready.state.liquid.thinning(298.15), FLOW_ERROR)
    rise = ready.state.liquid.rise(298.15).uncertainty * max(drop.exponent for drop in found)
    for width in widths(both):
        assert hypot(shared, others) * 0.97 < width < hypot(shared, others, rise) * 1.03


def test_the_error_of_a_ratio_grows_with_the_difference() -> None:
    """Pure acetonitrile, 3 % each, half correlated: s x 0.03, s = 0.5 for 5 K and 1 from 10 K."""
    pure = Liquid((("acetonitrile", 1.0),))
    for kelvin, share in ((0.0, 0.0), (5.0, 0.5), (10.0, 1.0), (20.0, 1.0)):
        found = viscosity_ratio_error(pure, 298.15, pure, 298.15 + kelvin)
        assert found == pytest.approx(share * 0.03)


def test_an_unknown_room_is_in_a_ratio_where_the_shares_move() -> None:
    narrow = TUBE.replace("0.17", "0.05")
    hot = Change(temperature=333.15)
    known, unknown = (
        ratio(profile(PUMP, narrow, COLUMN, conditions=conditions(ambient=ambient)), hot)
        for ambient in ('"23 degC"', "")
    )
    assert unknown.central == pytest.approx(known.central, rel=0.01)
    assert unknown.high / unknown.low > 1.0003 * known.high / known.low


def test_heat_and_compression_are_in_a_ratio_of_flows() -> None:
    fast = ratio(
        profile(PUMP, column(certificate=SLOW, **THIN), conditions=HEXANE), Change(flow=0.5e-6 / 60)
    )
    assert log(fast.high / fast.central) > 0.05
    assert log(fast.central / fast.low) > 0.05


@pytest.mark.parametrize(
    ("solvent", "found"), [("acetonitrile", 2286), ("2-propanol", 3067), ("hexane", 2424)]
)
def test_heat_capacities_rise_as_in_published_fits(solvent: str, found: float) -> None:
    """J/(kg K) at 60 degC: Zabransky et al., by chemicals 1.5.2."""
    data = THERMAL[solvent]
    assert data.capacity + 35 * data.slope == pytest.approx(found, rel=0.01)


def test_what_is_from_memory_is_wide() -> None:
    assert viscosity_error(with_water("tetrahydrofuran", 0.5), 298.15).half_width > 0.22
    shift = moved("ammonium formate", 0.1, molar=True)
    assert shift is not None
    assert shift[1] == pytest.approx(0.01)


@pytest.mark.parametrize(("share", "own"), [(0.05, 0.5), (0.10, 1.0), (1.0, 1.0)])
def test_the_rise_of_a_little_of_a_solvent_is_as_unsure_as_its_share(
    share: float, own: float
) -> None:
    """0.35 of acetonitrile from 10 % on; half of a mixture's effect from a product of 0.09 on."""
    found = pressure_rise(with_water("acetonitrile", share), 298.15).uncertainty
    mixed = 0.5 * min(1.0, share * (1 - share) / 0.09)
    water = 0.1 if share < 1.0 else 0.0
    assert found == pytest.approx(hypot(max(0.35 * own, water), mixed), rel=1e-6)


def test_a_trace_may_dissolve_and_more_may_not() -> None:
    assert separating((("hexane", 0.995), ("methanol", 0.005))) is None
    assert separating((("hexane", 0.98), ("methanol", 0.02))) == ("hexane", "methanol")


def test_turbulent_tubing_is_as_unsure_as_friction_bore_and_density() -> None:
    """5 % of friction, 0.75 of a bore of 5 % as a bound, 0.75 of a density of 4 %."""
    found = tube_flow(9000.0, OpenTube(0.5e-3, 1.0, 1e6))
    assert found.below == pytest.approx(hypot(0.05, 0.75 * 0.05 * 2 / 3**0.5, 0.75 * 0.04), rel=0.1)
