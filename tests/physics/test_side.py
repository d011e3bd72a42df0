"""One side of a comparison, by hand: shares, errors, heat, and which end of the run it is."""

from __future__ import annotations

from math import hypot

import pytest

from limitcheck.physics.blend import with_water
from limitcheck.physics.drops import Drop
from limitcheck.physics.flow_path import Segment, State
from limitcheck.physics.liquid import CannotPredict, Liquid
from limitcheck.physics.predict import predict
from limitcheck.physics.side import Side, side

from .profiles import COLUMN, GRADIENT, PUMP, TUBE, profile

MIXED = Liquid(with_water("methanol", 0.5))
STATE = State(1.7e-8, MIXED, 313.15, 293.15, cold_known=True)
OUTSIDE = Segment(1, "tubing", 1.0, False, 0.10, 0.20)
INSIDE = Segment(2, "column", 1.0, True, 0.30, 0.50)
DROPS = (Drop(10e5, 0.02, 0.03, 0.04), Drop(30e5, 0.10, 0.01, 0.02, 0.05, 0.07))


def one(inside: Segment = INSIDE) -> Side:
    return Side(profile(PUMP, TUBE, COLUMN), (OUTSIDE, inside), STATE, DROPS, 40e5)


def test_shares_parts_and_temperatures() -> None:
    run = one()
    assert [run.share(index) for index in (0, 1)] == [0.25, 0.75]
    assert run.heated == 0.75
    assert [run.part(index).part for index in (0, 1)] == ["tubing", "column"]
    assert [run.temperature(index) for index in (0, 1)] == [293.15, 313.15]


def test_errors_of_a_tube_have_the_flow_in_them_those_of_a_bed_have_not() -> None:
    assert one().error(0) == pytest.approx((hypot(0.10, 0.03), hypot(0.20, 0.04)))
    assert one().error(1) == (0.30, 0.50)


def test_heat_counts_by_the_share_of_the_beds() -> None:
    """0.75 x 0.01, 0.75 x 0.02, 0.75 x (0.05 + 0.07)."""
    assert one().heat == pytest.approx((0.0075, 0.015, 0.09))


def test_what_is_measured_is_not_computed() -> None:
    assert one().computed == (0.25, 0.75)
    assert one(INSIDE._replace(measured=(MIXED, 298.15))).computed == (0.25, 0.0)


def test_the_rise_counts_by_share_exponent_and_temperature() -> None:
    cold, hot = (MIXED.rise(kelvin).uncertainty for kelvin in (293.15, 313.15))
    assert one().rise == pytest.approx(0.25 * 0.02 * cold + 0.75 * 0.10 * hot)


def test_each_end_of_a_gradient_is_its_own() -> None:
    made = profile(PUMP, TUBE, COLUMN, conditions=GRADIENT)
    found = predict(made)
    assert found.lowest.central < 0.7 * found.highest.central
    for end, point in (("lowest", found.lowest), ("highest", found.highest)):
        run = side(made, end)
        assert run.pressure == pytest.approx(point.central)
        assert sum(drop.pressure for drop in run.drops) == run.pressure
        organic = dict(run.state.liquid.solvents)["acetonitrile"]
        assert organic == pytest.approx(point.percent_b / 100.0)
        assert sum(run.share(index) for index in range(len(run.segments))) == pytest.approx(1.0)


def test_without_a_resistance_there_is_nothing_to_compare(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(
        "limitcheck.physics.side.drops", lambda segments, _: (Drop(0.0, 0.0),) * len(segments)
    )
    with pytest.raises(CannotPredict, match="no part with a known resistance is left"):
        side(profile(PUMP, TUBE, COLUMN), "highest")
