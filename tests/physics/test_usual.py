"""Usual resistances: what a device or a frit takes that nobody measured."""

from __future__ import annotations

from math import exp, pi

import pytest

from limitcheck.physics.left_out import FEW, MANY, complete, left_out_allowance
from limitcheck.physics.predict import predict
from limitcheck.physics.tube import OpenTube
from limitcheck.physics.usual import as_tube, bores, frit_resistance, with_frits
from tests.physics.coverage_study import PHASES, SCALES, covered

from .profiles import CELL, COLUMN, INJECTOR, PUMP, TUBE, TUBE_2, column, conditions, profile

NO_BORE = '{part = "tubing", length = "300 mm"}'
RESTRICTOR = '{part = "restrictor"}'
STRONG = '{part = "pump", rating = "1000 bar"}'


def test_a_device_is_taken_for_the_nearest_tubing() -> None:
    parts = profile(PUMP, TUBE, INJECTOR, TUBE_2, COLUMN, CELL).flow_path
    found = [as_tube(index, parts[index].part, bores(parts)) for index in (2, 5)]
    assert found == [OpenTube(0.17e-3, 0.3), OpenTube(0.12e-3, 0.3)]
    assert as_tube(0, "pump", bores(parts)) is None
    bare = profile(PUMP, NO_BORE, INJECTOR, COLUMN).flow_path
    assert as_tube(2, "injector", bores(bare)) is None


def test_what_has_no_tubing_beside_it_is_left_out_and_named() -> None:
    assert predict(profile(PUMP, INJECTOR, COLUMN)).left_out == ("injector",)
    assert predict(profile(PUMP, TUBE, INJECTOR, RESTRICTOR, COLUMN)).left_out == ("restrictor",)


def test_the_budget_adds_up_with_every_device() -> None:
    kinds = ("mixer", "filter", "injector", "fitting", "detector cell")
    devices = [f'{{part = "{kind}"}}' for kind in kinds]
    found = predict(profile(PUMP, TUBE, *devices[:4], COLUMN, TUBE_2, devices[4]))
    assert [share.name for share in found.budget if share.name in kinds] == list(kinds)
    assert sum(share.central for share in found.budget) == pytest.approx(found.central)
    by_kind = {share.name: share for share in found.budget}
    for kind, factor in (("injector", 3), ("filter", 8)):
        share = by_kind[kind]
        assert share.high == pytest.approx(factor * share.central, rel=0.02)
    told = "; ".join(found.reasons)
    assert "injector as 0.3 m of 0.17 mm tubing" in told
    assert "a filter from an eighth to eight times" in told


def test_a_measured_device_is_not_the_usual_one() -> None:
    measured = (
        '{part = "injector", resistance_at = {pressure = "12 bar", flow = "1.0 mL/min", '
        'temperature = "21 degC", solvent_a = "water", percent_b = 0}}'
    )
    water = conditions(solvent_b="", percent_b="")
    found = predict(profile(PUMP, TUBE, measured, COLUMN, conditions=water))
    share = next(share for share in found.budget if share.name == "injector")
    assert share.central == pytest.approx(12e5, rel=0.01)
    assert "injector as" not in "; ".join(found.reasons)


def test_a_preparative_device_is_as_wide_as_its_tubing() -> None:
    """0.3 m of 1 mm tubing at 100 mL/min is a few bar, not what 0.17 mm would make of it."""
    fast = conditions(flow='"100 mL/min"')
    wide = TUBE.replace("0.17 mm", "1.0 mm")
    found = predict(profile(PUMP, wide, INJECTOR, column(bore='"50 mm"'), conditions=fast))
    assert next(s.central for s in found.budget if s.name == "injector") < 5e5


@pytest.mark.parametrize("narrow", [TUBE, TUBE_2])
def test_frits_by_darcys_law(narrow: str) -> None:
    """Darcy's law with a frit of 1.5 mm: 0.5 um, permeability 1e-13 m2 x 0.5^1.5."""
    small = column(bore='"2.1 mm"', inlet_frit='"0.5 um"', outlet_frit='"0.5 um"')
    fine, coarse = (
        predict(profile(PUMP, narrow, text)).budget[-1]
        for text in (small, small.replace("0.5 um", "10 um"))
    )
    by_hand = 1.5e-3 / (1e-13 * 0.5**1.5 * pi / 4 * 2.1e-3**2)
    assert frit_resistance(0.5e-6, 2.1e-3) == pytest.approx(by_hand)
    assert fine.central > coarse.central


def test_the_wide_error_of_frits_is_in_that_of_the_column() -> None:
    total, (below, above) = with_frits(100.0, (0.0, 0.0), 10.0)
    assert total == 110.0
    assert total * exp(-below) == pytest.approx(102.0)
    assert total * exp(above) == pytest.approx(150.0)


def test_a_whole_flow_path_leaves_less_to_be_allowed_for() -> None:
    whole = profile(STRONG, TUBE, INJECTOR, COLUMN, CELL)
    part = profile(STRONG, TUBE, COLUMN)
    assert complete(whole, predict(whole).ready.path.segments)
    assert left_out_allowance(whole, predict(whole)) == FEW
    assert left_out_allowance(part, predict(part)) == MANY


@pytest.mark.parametrize("scale", SCALES)
def test_the_interval_holds_what_a_second_model_draws(scale: str) -> None:
    """93 to 99 % over many draws (`coverage_study`); here a few, so three of a hundred more."""
    phase = list(PHASES)[list(SCALES).index(scale) % len(PHASES)]
    within, _, _ = covered(scale, phase, 200)
    assert 0.90 <= within <= 0.995
