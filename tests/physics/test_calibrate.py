"""A reading backs out the column, and predicting with the result gives the reading back."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from limitcheck.checking.typed import parse_change
from limitcheck.documents.prediction import certificate
from limitcheck.physics.calibrate import Calibration, calibrate
from limitcheck.physics.course import course
from limitcheck.physics.liquid import CannotPredict
from limitcheck.physics.predict import predict
from limitcheck.physics.system import Change, system
from tests.physics.profiles import (
    COLUMN,
    GRADIENT,
    PARTS,
    PUMP,
    TUBE,
    TUBE_2,
    column,
    conditions,
    pair,
    profile,
)


def _back(bar: float, at: str | None = None, **wanted: str) -> float:
    """The central prediction [bar] with the printed line pasted in."""
    made = profile(**wanted)
    change, typed = parse_change([at] if at else [])
    found = calibrate(made, 1e5 * bar, change)
    line = certificate(made, found, "bar", typed, system(made, change))
    pasted = column(certificate=line.removeprefix("certificate = "))
    parts = [pasted if part == COLUMN else part for part in PARTS]
    return 1e-5 * predict(profile(*parts, **wanted), change).central


@settings(max_examples=25)
@given(st.floats(40, 1500))
def test_gives_the_reading_back(bar: float) -> None:
    assert _back(bar) == pytest.approx(bar, rel=2e-4)


def test_gives_the_reading_back_under_another_condition() -> None:
    at = "flow=2 mL/min, temperature=45 degC, percent-b=60"
    assert _back(152, at) == pytest.approx(152, rel=2e-5)


def test_measured_pairs_say_what_the_other_parts_take_and_not_what_was_assumed() -> None:
    """Others 12 bar by a pair without the column; the column against its geometry, 50 bar."""
    pairs = [pair(0.5, 33), pair(1.0, 66), pair(1.0, 12, column="false")]
    found = calibrate(profile(measured=", ".join(pairs)), 100e5)
    assert found.others == pytest.approx(12e5, rel=0.05)
    assert found.factor == pytest.approx((100e5 - found.others) / 49.7e5, rel=0.02)
    plain = calibrate(profile(), 100e5)
    assert (found.below, found.above) == (plain.below, plain.above)


def test_one_solvent() -> None:
    alone = conditions(solvent_b="", percent_b="")
    assert _back(152, conditions=alone) == pytest.approx(152, rel=2e-5)


def test_the_interval_narrows_around_it() -> None:
    found = calibrate(profile(), 80e5)
    assert found.others + found.pressure == pytest.approx(80e5, rel=0.01)
    assert found.factor == pytest.approx(1.02, abs=0.05)


def test_reading_below_the_rest_of_the_flow_path() -> None:
    with pytest.raises(CannotPredict, match="besides the column alone"):
        calibrate(profile(), 5e5)


def test_two_columns_cannot_be_told_apart() -> None:
    with pytest.raises(CannotPredict, match="several columns"):
        calibrate(profile(PUMP, COLUMN, COLUMN), 100e5)


@pytest.mark.parametrize(
    "programme",
    [
        [(0, 5), (12, 95)],
        [(0, 5), (6, 95), (9, 95)],
        [(0, 45), (3, 45), (3.01, 90), (5, 90), (5.01, 10), (9, 10)],  # steps down from the highest
    ],
)
def test_the_peak_of_a_run_gives_itself_back(programme: list[tuple[float, float]]) -> None:
    """The reading is that of the run as the column sees it, not of one composition throughout."""
    points = ", ".join(f"{{minute = {m}, percent_b = {b}}}" for m, b in programme)
    own = conditions(solvent_b='"methanol"', percent_b="", gradient=f"[{points}]")
    made = profile(PUMP, TUBE, COLUMN, TUBE_2, conditions=own)
    peak = course(made, predict(made).ready).highest.central
    assert calibrate(made, peak).factor == pytest.approx(1.0, rel=1e-6)
    found = calibrate(made, 1.3 * peak)
    certificate = (
        f'{{pressure = "{found.pressure / 1e5:.6f} bar", flow = "1.0 mL/min", temperature = "35 '
        f'degC", solvent_a = "water", solvent_b = "methanol", percent_b = {found.percent_b}}}'
    )
    certified = profile(PUMP, TUBE, column(certificate=certificate), TUBE_2, conditions=own)
    again = course(certified, predict(certified).ready).highest.central
    assert again == pytest.approx(1.3 * peak, rel=1e-3)


def test_the_certificate_of_a_gradient_names_its_composition_to_a_hundredth() -> None:
    own = GRADIENT.replace("percent_b = 5}", "percent_b = 30.37}")
    made = profile(PUMP, TUBE, COLUMN, TUBE_2, conditions=own)
    found = calibrate(made, course(made, predict(made).ready).highest.central)
    assert found.percent_b == 30.37


def test_what_the_other_parts_leave_unknown_is_said() -> None:
    """A short wide column behind narrow tubing: 8 bar read, of which the tubing may be most."""
    narrow = TUBE.replace("0.17 mm", "0.1 mm")
    made = profile(PUMP, narrow, column(length='"10 mm"', bore='"4.6 mm"'))
    first = predict(made)
    found = calibrate(made, first.central)
    assert found.others_low < found.others < found.others_high
    rest = [share for share in first.budget if share.name != first.budget[-1].name]
    assert found.others == pytest.approx(sum(share.central for share in rest), rel=1e-3)
    assert found.others_high - found.others > 0.1 * found.pressure


STEP = (
    "[{minute = 0, percent_b = 5}, {minute = 3, percent_b = 5}, {minute = 3, percent_b = 95},"
    " {minute = 4, percent_b = 95}, {minute = 4, percent_b = 5}, {minute = 6, percent_b = 5}]"
)
SLOW = "[{minute = 0, percent_b = 5}, {minute = 40, percent_b = 95}]"


def calibrated(gradient: str) -> tuple[Calibration, float]:
    small = column(length='"50 mm"', bore='"2.1 mm"', particle_size='"1.9 um"')
    own = conditions(solvent_b='"methanol"', percent_b="", gradient=gradient, flow='"0.4 mL/min"')
    made = profile(PUMP, TUBE, small, TUBE_2, conditions=own)
    found = predict(made)
    return calibrate(made, course(made, found.ready).ends[1]), found.highest.central


def test_of_a_gradient_the_pressure_throughout_is_another() -> None:
    """The reading is of the run, the certificate of one composition that it need not hold."""
    found, throughout = calibrated(SLOW)
    assert found.throughout == pytest.approx(throughout, rel=1e-3)


def test_a_peak_that_mixing_may_have_raised_calibrates_nothing() -> None:
    """A certificate of it would be off by what mixing does, and count as good to 10 %."""
    with pytest.raises(CannotPredict, match=r"known to a factor of 1\.\d\d only") as error:
        calibrated(STEP)
    assert "--at percent-b" in error.value.advice


def test_a_reading_that_no_column_makes_is_refused() -> None:
    """With heat of friction kept, the drop over a bed grows ever slower with what it resists."""
    own = conditions(flow='"2000 mL/min"', percent_b="0")
    small = column(length='"100 mm"', particle_size='"2.7 um"')
    made = profile(PUMP, TUBE, small, conditions=own)
    made = made.model_copy(
        update={"instrument": made.instrument.model_copy(update={"oven": "water jacket"})}
    )
    with pytest.raises(CannotPredict, match="resists 1000000 times as much"):
        calibrate(made, 1e4 * predict(made).highest.central)


def test_what_the_other_parts_take_is_as_unsure_in_a_gradient() -> None:
    """The peak of a short gradient is not in all of them at once: their interval moves with it."""
    short = GRADIENT.replace("{minute = 12, percent_b = 95}", "{minute = 0.8, percent_b = 95}")
    run = calibrate(profile(conditions=short), 100e5)
    one = calibrate(profile(conditions=short), 100e5, Change(percent_b=run.percent_b))
    assert run.others != pytest.approx(one.others, rel=0.01)
    assert run.others_low / run.others == pytest.approx(one.others_low / one.others)
    assert run.others_high / run.others == pytest.approx(one.others_high / one.others)


def test_a_reading_that_leaves_nothing_for_the_column_is_refused() -> None:
    others = calibrate(profile(), 100e5).others
    with pytest.raises(CannotPredict, match="not less than the reading"):
        calibrate(profile(), others)
