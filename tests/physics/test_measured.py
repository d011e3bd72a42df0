"""Measured pairs: what they do to a prediction, and how it is said when they are of no use."""

from __future__ import annotations

from itertools import pairwise

import pytest

from limitcheck.physics.left_out import left_out_allowance
from limitcheck.physics.liquid import CannotPredict
from limitcheck.physics.other_instrument import pressure_ratio
from limitcheck.physics.pairs import Fit
from limitcheck.physics.predict import Prediction, predict, predict_to_judge
from limitcheck.physics.ratio import ratio
from limitcheck.physics.system import Change
from limitcheck.profile.model import Profile
from tests.physics.profiles import (
    CELL,
    COLUMN,
    GRADIENT,
    INJECTOR,
    PARTS,
    PUMP,
    conditions,
    pair,
    profile,
)

ML_MIN = 1e-6 / 60
NAKED = profile(*PARTS)


def measured(*pairs: str, parts: tuple[str, ...] = PARTS, **more: str) -> Profile:
    return profile(*parts, measured=", ".join(pairs), **more)


def fit_of(made: Profile) -> tuple[Prediction, Fit]:
    found = predict(made)
    fit = found.ready.path.fit
    assert fit is not None
    return found, fit


def test_measured_pairs_outrank_the_geometry() -> None:
    """By geometry 52 to 95 bar; read 84 bar at the method's flow."""
    found, fit = fit_of(measured(pair(0.5, 42), pair(1.0, 84)))
    before = predict(NAKED)
    assert not fit.unused
    assert found.central == pytest.approx(84e5, rel=0.03)
    assert found.high / found.low < 1.25 < before.high / before.low
    assert sum(share.central for share in found.budget) == pytest.approx(found.central)
    assert any("2 measured pairs" in reason for reason in found.reasons)
    assert left_out_allowance(NAKED, found) == 0 < left_out_allowance(NAKED, before)


def test_flow_alone_does_not_tell_columns_and_tubes_apart() -> None:
    found, fit = fit_of(measured(pair(0.25, 21), pair(0.5, 42), pair(1.0, 84)))
    assert not fit.separated
    assert any(
        "how it is shared between the parts rests on the geometry" in r for r in found.reasons
    )
    assert any("porosity" in reason for reason in found.reasons)


def test_a_union_in_place_of_the_column_does() -> None:
    """Other parts 29 bar by geometry, 13 read; so the column takes 84 - 13 = 71, not 50 bar."""
    pairs = pair(0.5, 42), pair(1.0, 84), pair(1.0, 13, column="false")
    found, fit = fit_of(measured(*pairs))
    assert fit.separated
    assert fit.estimate is not None
    assert fit.estimate.columns is not None
    assert fit.estimate.others is not None
    assert fit.estimate.columns.central == pytest.approx(71 / 49.7, rel=0.03)
    assert fit.estimate.others.low < 13 / 29 < fit.estimate.others.high
    assert not any("porosity" in reason for reason in found.reasons)
    tubes = sum(share.central for share in found.budget if share.name != "column")
    assert tubes == pytest.approx(13e5, rel=0.05)


def test_a_budget_line_is_no_surer_than_the_pairs_make_it() -> None:
    """The whole is known to 10 %; a part of it only by its geometry."""
    found, _ = fit_of(measured(pair(0.5, 42), pair(1.0, 84)))
    first = found.budget[0]
    assert first.high / first.low > found.high / found.low


def test_a_warm_method_is_predicted_from_pairs_at_another_temperature() -> None:
    made = measured(pair(0.5, 42), pair(1.0, 84))
    warm = predict(made, Change(temperature=323.15))
    assert warm.central < 0.9 * predict(made).central
    assert warm.high / warm.low > predict(made).high / predict(made).low


def test_one_pair_more_never_widens() -> None:
    pairs = [pair(1.0, 66), pair(0.5, 33), pair(0.8, 53), pair(1.0, 16, column="false")]
    widths = [predict(measured(*pairs[:n])) for n in (2, 3, 4)]
    ratios = [found.high / found.low for found in widths]
    assert all(after <= 1.005 * before for before, after in pairwise(ratios))


def test_a_ratio_of_fitted_pressures() -> None:
    made = measured(pair(0.5, 42), pair(1.0, 84))
    assert ratio(made, Change()) == pytest.approx((1, 1, 1))
    doubled = ratio(made, Change(flow=2 * ML_MIN))
    assert doubled.high / doubled.low < 1.02
    cooler = ratio(made, Change(temperature=294.15))
    assert 1.1 < cooler.low < cooler.central < cooler.high < 1.5


def test_pairs_stay_on_their_instrument() -> None:
    with_pairs = measured(pair(0.5, 42), pair(1.0, 84))
    there = NAKED.model_copy(
        update={"instrument": NAKED.instrument.model_copy(update={"id": "HM-LC-07"})}
    )
    assert pressure_ratio(with_pairs, there) == pressure_ratio(NAKED, there)


@pytest.mark.parametrize(
    ("pairs", "why"),
    [
        ([pair(1.0, 66)], "a single pair"),
        ([pair(1.0, 66), pair(1.005, 66)], "all pairs were read at one flow"),
        ([pair(1.0, 66), pair(0.5, 66)], "pair 1 was read at more flow than pair 2, but"),
        ([pair(1.0, 66), pair(0.5, 90)], "pair 1 was read at more flow than pair 2, but"),
        ([pair(1.0, 66), pair(1.0, 90), pair(0.5, 39)], "1 and 2 were read alike, 36 % apart"),
        ([pair(1.0, 96), pair(0.5, 63)], "they agree only with about 30 bar at zero flow"),
        ([pair(1.0, 96), pair(0.5, 63), pair(0.2, 43.2)], "only with about 30 bar at zero flow"),
        ([pair(1.0, 60), pair(0.5, 20)], "they agree only with about minus 20 bar"),
        ([pair(1.0, 66), pair(0.8, 38), pair(0.5, 33)], "no one scale"),
        ([pair(1.0, 1000), pair(0.5, 500)], "more than 5 times off"),
        ([pair(1.0, 6), pair(0.5, 3)], "more than 5 times off"),
        ([pair(1e-6, 6), pair(0.5, 30)], "more than 10000 times off"),
        ([pair(0.01, 0.6), pair(0.5, 30)], "too little pressure"),
        ([pair(1.0, 66), pair(0.5, 33, temperature='"300 degC"')], "no viscosity data at 300"),
        ([pair(1.0, 66), pair(0.5, 33, solvent_a='"mercury"')], "mercury"),
        ([pair(1.0, 66, solvent_b='"methanol"')] * 2, "none of the pairs can be used"),
    ],
)
def test_pairs_that_are_not_used_say_why_and_leave_the_prediction(
    pairs: list[str], why: str
) -> None:
    found, fit = fit_of(measured(*pairs))
    assert why in fit.unused
    assert any(why in reason for reason in found.reasons)
    before = predict(NAKED)
    assert (found.low, found.central, found.high) == (before.low, before.central, before.high)


@pytest.mark.parametrize("flow", [1e-17, 1e-6, 1e6, 1e17])
@pytest.mark.parametrize("bar", [2e-4, 1.0, 1e6])
def test_absurd_pairs_are_no_crash(flow: float, bar: float) -> None:
    text = f'{{flow = "{flow:g} mL/min", pressure = "{bar} bar"}}'
    found = predict(measured(pair(1.0, 66), text))
    assert found.low <= found.central <= found.high


def test_pairs_of_a_gradient_need_their_composition() -> None:
    bare = measured(pair(1.0, 66), pair(0.5, 33), conditions=GRADIENT)
    assert "no percent_b beside the pressure" in fit_of(bare)[1].unused
    told = measured(
        pair(1.0, 66, percent_b="18"), pair(0.5, 33, percent_b="18"), conditions=GRADIENT
    )
    found, fit = fit_of(told)
    assert not fit.unused
    assert found.high / found.low < 1.4


def test_pairs_without_the_column_need_another_part() -> None:
    pairs = pair(0.5, 33), pair(1.0, 66), pair(1.0, 12, column="false")
    _, fit = fit_of(measured(*pairs, parts=(PUMP, COLUMN)))
    assert fit.skipped == ((3, "read without the column, and no other part has a resistance"),)
    assert not fit.unused


def test_pairs_of_another_mobile_phase_count_with_their_doubt() -> None:
    own = fit_of(measured(pair(0.5, 33), pair(1.0, 66)))[0]
    methanol = {"solvent_b": '"methanol"', "percent_b": "50"}
    other = fit_of(measured(pair(0.5, 70, **methanol), pair(1.0, 140, **methanol)))[0]
    assert other.high / other.low > own.high / own.low


def test_turbulent_tubes_tell_themselves_apart_by_flow() -> None:
    """Preparative: laminar at a tenth of the flow, turbulent at all of it."""
    tube = '{part = "tubing", length = "1 m", bore = "0.25 mm"}'
    bed = '{part = "column", length = "250 mm", bore = "50 mm", particle_size = "15 um"}'
    fast = conditions(flow='"60 mL/min"')
    parts = (PUMP, tube, bed)
    bare = profile(*parts, conditions=fast)
    flows = (3, 10, 60)
    pairs = [pair(flow, predict(bare, Change(flow=flow * ML_MIN)).central / 1e5) for flow in flows]
    found, fit = fit_of(measured(*pairs, parts=parts, conditions=fast))
    assert not fit.unused
    assert found.high / found.low < predict(bare).high / predict(bare).low


def test_left_out_parts_are_in_the_pairs() -> None:
    """An injector and a cell without tubing beside them took 8 bar: used, no contradiction."""
    parts = (PUMP, INJECTOR, COLUMN, CELL)
    found, fit = fit_of(measured(pair(0.5, 29), pair(1, 58), parts=parts))
    assert found.left_out == ("injector", "detector cell")
    assert not fit.unused
    assert fit.estimate is not None
    assert not fit.estimate.whole.outside
    assert found.central == pytest.approx(58e5, rel=0.02)


@pytest.mark.parametrize("pressures", [(4, 8), (5, 10), (60, 120)])
def test_readings_that_agree_are_met_however_far_the_geometry_is(
    pressures: tuple[int, int],
) -> None:
    """By geometry 15 and 29 bar without the column: what was read outranks it."""
    half, full = pressures
    _, fit = fit_of(measured(pair(0.5, half, column="false"), pair(1.0, full, column="false")))
    assert not fit.unused
    assert fit.estimate is not None
    assert fit.estimate.others is not None
    assert [seen.fitted / seen.reading.pressure for seen in fit.estimate.pairs] == pytest.approx(
        [1.0, 1.0], abs=0.06
    )
    assert fit.estimate.others.low < full / 29.0 < fit.estimate.others.high


def test_what_no_pair_saw_stays_as_the_geometry_has_it() -> None:
    found, _ = fit_of(measured(pair(0.5, 4, column="false"), pair(1.0, 8, column="false")))
    column, before = (
        next(share for share in seen.budget if share.name == "column")
        for seen in (found, predict(NAKED))
    )
    assert column.high / column.low == pytest.approx(before.high / before.low, rel=0.05)


def test_no_less_without_the_column_is_impossible() -> None:
    found, fit = fit_of(measured(pair(1.0, 80), pair(1.0, 90, column="false")))
    assert fit.oddity == "no column"
    assert "its pressure is not lower" in fit.unused
    assert found.central == predict(NAKED).central


def test_pairs_with_an_unknown_restrictor_are_not_used() -> None:
    """What it takes would be given to the injector and the column."""
    parts = (*PARTS, '{part = "restrictor"}')
    found, fit = fit_of(measured(pair(0.5, 100), pair(1.0, 200), parts=parts))
    assert "how much of the readings the restrictor takes is not known" in fit.unused
    assert found.central == predict(profile(*parts)).central


def test_pairs_that_are_not_used_leave_no_number_in_doubt() -> None:
    far = measured(pair(0.5, 202), pair(1.0, 404))
    assert predict(far).central == predict(NAKED).central
    with pytest.raises(CannotPredict, match="the measured pairs are not used"):
        predict_to_judge(far)


def test_a_pair_outranks_the_model_at_its_own_liquid() -> None:
    """Read at 20 and at 100 % B: what the second says of its liquid holds there, and near it."""
    made = measured(
        pair(1.0, 100, percent_b="20"),
        pair(1.0, 45, percent_b="100"),
        conditions=conditions(solvent_b='"acetonitrile/methanol 50:50"', percent_b="20"),
    )
    bare = predict(made.model_copy(update={"measured": ()}), Change(percent_b=100.0))
    assert bare.central < 30e5  # by the model alone
    at = {b: predict(made, Change(percent_b=b)) for b in (20.0, 60.0, 99.0, 100.0)}
    assert at[100.0].central == pytest.approx(45e5, rel=0.05)
    assert at[100.0].low < 45e5 < at[100.0].high
    assert at[20.0].central == pytest.approx(100e5, rel=0.08)
    assert at[99.0].central == pytest.approx(at[100.0].central, rel=0.05)
    moved = {b: at[b].ready.at(b).liquid.measured for b in at}
    assert moved[20.0] == pytest.approx(0.0, abs=1e-6)
    assert moved[20.0] < moved[60.0] < moved[99.0] <= moved[100.0]
    assert any("pair 2 is" in reason for reason in at[100.0].reasons)


def test_what_readings_differ_by_anyway_moves_little() -> None:
    made = measured(
        pair(1.0, 84, percent_b="18"),
        pair(0.5, 42, percent_b="18"),
        pair(1.0, 68.0, percent_b="50"),
    )
    fit = predict(made).ready.path.fit
    assert fit is not None
    assert fit.estimate is not None
    off = fit.estimate.pairs[2].off
    solvents = fit.estimate.pairs[2].reading.state.liquid.solvents
    assert abs(off) < 0.08
    assert abs(fit.correction(solvents, 308.15)) < 0.6 * abs(off)


def test_two_pairs_at_one_flow_that_lie_apart_contradict_each_other() -> None:
    at = {"percent_b": "18"}
    for bars, apart in (((172, 240), True), ((172, 176), False)):
        pairs = ", ".join(pair(1.0, bar, **at) for bar in bars)
        fit = predict(profile(*PARTS, measured=pairs)).ready.path.fit
        assert fit is not None
        assert fit.unused
        assert (fit.oddity == "apart", bool(fit.between)) == (apart, apart)
