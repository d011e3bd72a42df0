"""The prediction: interval, budget, gradient peaks, other conditions."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from limitcheck.physics.liquid import CannotPredict
from limitcheck.physics.predict import predict, pressure
from limitcheck.physics.ratio import ratio
from limitcheck.physics.system import Change, system
from tests.physics.profiles import COLUMN, GRADIENT, PUMP, TUBE, TUBE_2, column, conditions, profile

ML_MIN = 1e-6 / 60


def test_the_usual_method() -> None:
    found = predict(profile())
    assert found.low < found.central < found.high
    assert sum(share.central for share in found.budget) == pytest.approx(found.central)
    assert found.points == (found.highest,) == (found.lowest,)
    assert found.highest.minute == 0
    assert not found.extrapolated
    assert found.left_out == ()


def test_water_column_against_the_tabulated_pressure() -> None:
    """fluids 1.3.1 Carman: 54.24 bar for water at 25 degC, 150 x 4.6 mm, 5 um, e 0.40."""
    water = conditions(solvent_b="", percent_b="", temperature='"25 degC"')
    found = predict(profile(PUMP, COLUMN, conditions=water))
    assert found.central == pytest.approx(54.2368e5, rel=8e-3)  # frits 0.1 %, heat -0.6 %


def test_interval_is_wider_where_less_is_known() -> None:
    def width(**fields: str) -> float:
        found = predict(profile(PUMP, COLUMN, conditions=conditions(**fields)))
        return found.high / found.low

    assert width(temperature='"70 degC"') > width() > width(temperature='"25 degC"')
    known, assumed = (
        predict(
            profile(PUMP, TUBE, TUBE_2, column(bore='"50 mm"'), conditions=conditions(**fields))
        )
        for fields in ({"ambient": '"23 degC"'}, {"ambient": ""})
    )
    assert assumed.central == pytest.approx(known.central)
    assert assumed.high > known.high
    two_propanol = width(solvent_b='"2-propanol"', percent_b="50", temperature='"45 degC"')
    methanol = width(solvent_b='"methanol"', percent_b="50", temperature='"45 degC"')
    assert two_propanol > methanol


def test_reasons_name_what_the_interval_rests_on() -> None:
    def reasons(**fields: str) -> str:
        return "; ".join(predict(profile(conditions=conditions(**fields))).reasons)

    assert "porosity" in reasons()
    for small in ("rises with pressure", "temperature acts on", "no ambient temperature"):
        assert small not in reasons(ambient="")  # beside the packing they do not tell
    assert "viscosity at 70 degC is extrapolated" in reasons(temperature='"70 degC"')
    assert predict(profile(conditions=conditions(temperature='"70 degC"'))).extrapolated


def test_a_certificate_brings_out_what_the_packing_hid() -> None:
    def reasons(organic: str, flow: str = "1.0 mL/min", **fields: str) -> str:
        own = conditions(flow=f'"{flow}"', solvent_b=f'"{organic}"', percent_b="30", **fields)
        certificate = (
            '{pressure = "60 bar", flow = "1 mL/min", temperature = "25 degC", '
            f'solvent_a = "water", solvent_b = "{organic}", percent_b = 30}}'
        )
        found = predict(profile(PUMP, TUBE, column(certificate=certificate), conditions=own))
        return "; ".join(found.reasons)

    hot = {"temperature": '"60 degC"'}
    assert "temperature acts on 2-propanol" in reasons("2-propanol", **hot)
    assert "temperature acts on methanol" not in reasons("methanol", **hot)
    assert "porosity" not in reasons("methanol", **hot)
    fast = reasons("acetonitrile", "5 mL/min")
    assert "acetonitrile rises with pressure is estimated, not measured" in fast
    wide = reasons("methanol", ambient="")
    assert "no ambient temperature" in wide


@pytest.mark.parametrize("solvent", ["acetonitrile", "methanol", "ethanol", "2-propanol"])
@pytest.mark.parametrize(("first", "last"), [(0, 100), (100, 0), (5, 60), (60, 95)])
@pytest.mark.parametrize("swapped", [False, True])
def test_peak_inside_a_step_is_the_true_one(
    solvent: str, first: int, last: int, swapped: bool
) -> None:
    a, b = (f'"{solvent}"', '"water"') if swapped else ('"water"', f'"{solvent}"')
    steps = f"[{{minute = 2, percent_b = {first}}}, {{minute = 12, percent_b = {last}}}]"
    programme = conditions(solvent_a=a, solvent_b=b, percent_b="", gradient=steps)
    made = profile(conditions=programme)
    found, ready = predict(made), system(made)
    dense = [pressure(ready, first + (last - first) * i / 500)[1] for i in range(501)]
    assert found.central == pytest.approx(max(dense), rel=1e-4)
    assert found.central >= max(dense) * (1 - 1e-4)
    assert found.lowest.central == pytest.approx(min(dense), rel=5e-3)
    at = ready.composition(found.highest.minute)
    assert at == pytest.approx(found.highest.percent_b, abs=1e-6)


def test_gradient_points_and_the_course_between_them() -> None:
    found = predict(profile(conditions=GRADIENT))
    assert [point.minute for point in found.points if point.percent_b in (5, 95)] == [0, 12, 15]
    assert len(found.points) == 4
    assert 0 < found.highest.minute < 12
    ready = system(profile(conditions=GRADIENT))
    assert ready.composition(0) == 5
    assert ready.composition(6) == pytest.approx(50)
    assert ready.composition(14) == ready.composition(99) == 95


def test_other_conditions() -> None:
    made = profile(conditions=GRADIENT)
    isocratic = predict(made, Change(percent_b=18.0))
    assert isocratic.central == predict(profile()).central
    assert len(isocratic.points) == 1
    warm = predict(profile(), Change(temperature=318.15)).central
    assert warm < predict(profile()).central
    long = predict(profile(PUMP, COLUMN), Change(column_length=0.250)).central
    assert long / predict(profile(PUMP, COLUMN)).central == pytest.approx(5 / 3, rel=0.01)
    fine = predict(profile(PUMP, COLUMN), Change(particle_size=2.5e-6)).central
    assert fine / predict(profile(PUMP, COLUMN)).central == pytest.approx(4, rel=0.06)


@settings(max_examples=30)
@given(st.floats(0.1, 1.0), st.floats(1.05, 3.0), st.floats(0, 100))
def test_more_flow_is_more_pressure_in_proportion(
    flow: float, factor: float, percent: float
) -> None:
    made = profile()
    first = predict(made, Change(flow=flow * ML_MIN, percent_b=percent))
    second = predict(made, Change(flow=flow * factor * ML_MIN, percent_b=percent))
    assert second.central / first.central == pytest.approx(factor, rel=0.05)
    assert second.central / first.central >= factor * (1 - 0.02)  # heat of friction


def test_ratio_is_surer_than_either_pressure() -> None:
    made = profile()
    doubled = ratio(made, Change(flow=2 * ML_MIN))
    assert doubled.low <= doubled.central <= doubled.high
    assert doubled.high / doubled.low < 1.02
    assert doubled.central == pytest.approx(2, rel=0.01)
    cooler = ratio(made, Change(temperature=294.15))
    found = predict(made)
    assert cooler.high / cooler.low < 1.2 < found.high / found.low
    same = ratio(made, Change())
    assert same == (1, 1, 1)


def test_ratio_of_water_over_temperature_is_that_of_iapws() -> None:
    """IAPWS R12-08 by the iapws package: eta(21 degC) / eta(35 degC)."""
    from iapws import IAPWS95

    water = profile(PUMP, COLUMN, conditions=conditions(solvent_b="", percent_b=""))
    found = ratio(water, Change(temperature=294.15))
    theirs = IAPWS95(T=294.15, P=0.1).mu / IAPWS95(T=308.15, P=0.1).mu
    assert found.central == pytest.approx(theirs, rel=5e-3)
    assert found.low < theirs < found.high


def test_two_columns_add_up() -> None:
    one, two = predict(profile(PUMP, COLUMN)), predict(profile(PUMP, COLUMN, COLUMN))
    assert two.central == pytest.approx(2 * one.central, rel=0.02)
    assert two.high / two.central == pytest.approx(one.high / one.central, rel=0.02)


@pytest.mark.parametrize("pieces", [2, 3, 10])
def test_a_column_cut_into_pieces_is_no_better_known(pieces: int) -> None:
    """How their particles pack is one assumption, not one for each piece."""
    whole = predict(profile(PUMP, column(length='"300 mm"')))
    cut = predict(profile(PUMP, *[column(length=f'"{300 // pieces} mm"')] * pieces))
    assert cut.high / cut.central == pytest.approx(whole.high / whole.central, rel=0.03)
    assert cut.low / cut.central == pytest.approx(whole.low / whole.central, rel=0.03)
    slower = Change(flow=0.5e-6 / 60)
    same = ratio(profile(PUMP, column(length='"300 mm"')), slower)
    found = ratio(profile(PUMP, *[column(length=f'"{300 // pieces} mm"')] * pieces), slower)
    assert found.low == pytest.approx(same.low, rel=0.02)
    assert found.high == pytest.approx(same.high, rel=0.02)


def test_method_at_ambient_has_no_oven() -> None:
    without = predict(profile(conditions=conditions(temperature="")))
    assert without.central > predict(profile()).central


def test_exact_text_reaches_the_physics() -> None:
    made = profile(PUMP, column(length='"5.905511811023622 in"'), conditions=conditions())
    assert float(made.flow_path[1].length) == pytest.approx(0.15)  # type: ignore[union-attr]
    assert isinstance(made.flow_path[1].length.value, Fraction)  # type: ignore[union-attr]
    assert predict(made).central == pytest.approx(predict(profile(PUMP, COLUMN)).central)


def test_a_gradient_between_two_organics_says_what_is_assumed() -> None:
    steps = "[{minute = 0, percent_b = 0}, {minute = 10, percent_b = 100}]"
    fields = {"solvent_a": '"methanol"', "solvent_b": '"acetonitrile"', "percent_b": ""}
    found = predict(profile(conditions=conditions(**fields, gradient=steps)))
    half = predict(profile(conditions=conditions(**{**fields, "percent_b": "50"})))
    assert found.highest.percent_b == 0.0  # thinner all the way
    assert half.high / half.central > 1.2
    assert any("is assumed, not measured: 38 % either way" in text for text in half.reasons)


def test_a_gradient_through_two_layers_is_refused() -> None:
    """What does not mix in between is refused, where both ends alone are known."""
    steps = "[{minute = 0, percent_b = 0}, {minute = 10, percent_b = 100}]"
    fields = {"solvent_a": '"methanol"', "solvent_b": '"hexane"', "percent_b": ""}
    with pytest.raises(CannotPredict, match="hexane and methanol do not mix"):
        predict(profile(conditions=conditions(**fields, gradient=steps)))
