"""The temperature of the columns is not given: nothing is said that depends on it."""

from __future__ import annotations

from datetime import date

import pytest

from limitcheck.diagnosis.isolation import isolate
from limitcheck.diagnosis.reading import read
from limitcheck.physics.calibrate import calibrate
from limitcheck.physics.faults import Faults
from limitcheck.physics.liquid import CannotPredict
from limitcheck.physics.other_instrument import pressure_ratio
from limitcheck.physics.system import Change
from limitcheck.profile.model import Profile
from limitcheck.transfer.reach import normal_runs
from limitcheck.units import Pressure
from tests.physics.profiles import column, conditions, profile

TODAY = date(2026, 11, 28)
PUMP, TUBE = (
    '{part = "pump", rating = "400 bar"}',
    '{part = "tubing", length = "600 mm", bore = "0.17 mm", rating = "400 bar"}',
)
COLUMN = column(particle_size='"3 um"', particle='"fully porous"', rating='"400 bar"')
SIXTY = Change(temperature=333.15)
NOT_TOLD = "temperature of the columns is not given"


def made(temperature: str = "", band: bool = True) -> Profile:
    """A profile of 95 to 105 bar, in an oven of that temperature or in none that is named."""
    own = conditions(
        temperature=temperature, ambient='"20 degC"', solvent_b='"methanol"', percent_b="40"
    )
    expected = '{low = 95, high = 105, basis = "measured"}' if band else ""
    cutoffs = "cutoffs = {high = 200, low = 40}"
    return profile(
        PUMP,
        TUBE,
        '{part = "injector"}',
        COLUMN,
        conditions=own,
        expected=expected,
        cutoffs=cutoffs,
    )


@pytest.mark.parametrize(
    "change", [SIXTY, Change(ambient=303.15), Change(percent_b=5.0), Change(percent_b=95.0)]
)
@pytest.mark.parametrize("pressure", ["42 bar", "100 bar"])
def test_a_change_that_depends_on_it_moves_no_band(change: Change, pressure: str) -> None:
    with pytest.raises(CannotPredict, match=NOT_TOLD) as refused:
        read(made(), Pressure.parse(pressure), change, in_doubt=False)
    assert "temperature in [conditions]" in refused.value.advice
    found = isolate(made(), {"all": Pressure.parse(pressure)}, at=change, in_doubt=False)
    assert found.verdict == "plan"
    assert NOT_TOLD in (found.no_normal or "")
    assert (
        read(made('"60 degC"'), Pressure.parse(pressure), change, in_doubt=False).bounds is not None
    )


def test_a_change_of_flow_is_the_same_in_any_oven() -> None:
    """At twice the flow about twice the pressure, whatever the columns' temperature."""
    twice = Change(flow=2e-6 / 60)
    found = read(made(), Pressure.parse("199 bar"), twice, in_doubt=False)
    assert found.position == "normal"
    assert found.moved is not None
    unsure = found.moved.lowest.ratio
    for temperature in ('"10 degC"', '"30 degC"', '"60 degC"'):
        known = read(made(temperature), Pressure.parse("199 bar"), twice, in_doubt=False).moved
        assert known is not None
        assert unsure.low < known.lowest.ratio.central < unsure.high


def test_a_reading_at_the_methods_own_conditions_needs_none() -> None:
    assert read(made(), Pressure.parse("100 bar"), in_doubt=False).position == "normal"
    assert read(made(), Pressure.parse("150 bar"), in_doubt=False).position == "above normal"


@pytest.mark.parametrize("pressure", ["5 bar", "100 bar", "199 bar"])
def test_what_is_only_predicted_is_no_normal_pressure(pressure: str) -> None:
    found = read(made(band=False), Pressure.parse(pressure), in_doubt=False)
    assert found.position == "unknown"
    assert NOT_TOLD in (found.no_normal or "")
    taken = isolate(made(band=False), {"all": Pressure.parse(pressure)}, in_doubt=False)
    assert taken.verdict == "plan"
    with pytest.raises(CannotPredict, match=NOT_TOLD):
        _ = Faults(made(band=False)).normal
    assert (
        read(made('"60 degC"', band=False), Pressure.parse("5 bar"), in_doubt=False).position
        == "below normal"
    )


@pytest.mark.parametrize("moved", [False, True])
def test_a_band_that_was_only_predicted_is_no_surer(moved: bool) -> None:
    """Nobody says at which temperature it was predicted."""
    one = made()
    assert one.expected is not None
    band = one.expected.model_copy(update={"basis": "predicted"})
    one = one.model_copy(update={"expected": band.moved({}) if moved else band})
    with pytest.raises(CannotPredict, match=NOT_TOLD):
        _ = Faults(one).normal
    found = read(one, Pressure.parse("100 bar"), in_doubt=False)
    assert found.position == "unknown"
    assert NOT_TOLD in (found.no_normal or "")


def test_faults_of_the_oven_and_of_the_liquid_are_not_worked_out() -> None:
    found = Faults(made())
    missing = {item.name for item in found.not_computed}
    assert {"heater-off", "oven-too-hot", "only-a", "only-b", "no-column"} <= missing
    assert {"flow-doubled", "flow-halved", "leak"} <= {item.name for item in found.effects}
    assert "oven-too-hot" in {item.name for item in Faults(made('"40 degC"')).effects}


def test_no_temperature_is_made_up_for_a_certificate() -> None:
    with pytest.raises(CannotPredict, match=NOT_TOLD):
        calibrate(made(), 100e5)
    assert calibrate(made(), 100e5, SIXTY).pressure > 0


def test_no_ratio_to_another_instrument() -> None:
    """Another oven, or the same: nobody says at which temperature the sender ran."""
    there = made('"60 degC"', band=False)
    for pair in ((made(), there), (there, made()), (made(), made(band=False))):
        other = pair[1].model_copy(
            update={"instrument": pair[1].instrument.model_copy(update={"id": "HM-LC-02"})}
        )
        with pytest.raises(CannotPredict, match=NOT_TOLD):
            pressure_ratio(pair[0], other)
    found = normal_runs(made(), there)
    assert NOT_TOLD in (found.no_ratio or "")
    assert {reach.outcome for reach in found.reaches} == {"not decided"}
