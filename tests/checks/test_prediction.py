"""expected-against-prediction and gradient-peak-outside-expected."""

from __future__ import annotations

import re
from datetime import date

import pytest

from limitcheck.checks import Skip
from limitcheck.checks.expected_and_predicted import (
    expected_against_prediction,
    gradient_peak_outside_expected,
)
from limitcheck.checks.subject import Subject
from limitcheck.findings import Confidence, Finding, Severity
from limitcheck.physics.predict import predict
from limitcheck.policy import DEFAULT_POLICY
from limitcheck.profile.model import Profile
from limitcheck.units import Pressure, Volume
from tests.physics.profiles import (
    COLUMN,
    CONDITIONS,
    GRADIENT,
    PUMP,
    column,
    conditions,
    profile,
    transferred,
)

CERTIFICATE = (
    '{pressure = "60 bar", flow = "1.0 mL/min", temperature = "35 degC", '
    'solvent_b = "acetonitrile", percent_b = 18}'
)


def subject(made: Profile) -> Subject:
    return Subject(made, DEFAULT_POLICY, date(2026, 11, 25))


def against(*parts: str, expected: str, wanted: str = CONDITIONS) -> list[Finding]:
    made = profile(*(parts or (PUMP, COLUMN)), expected=expected, conditions=wanted)
    return list(expected_against_prediction(subject(made)))


def peak(expected: str, *parts: str) -> list[Finding]:
    made = profile(*(parts or (PUMP, COLUMN)), expected=expected, conditions=GRADIENT)
    return list(gradient_peak_outside_expected(subject(made)))


def test_inside_the_interval_nothing_is_said() -> None:
    assert against(expected="{low = 40, high = 60}") == []
    assert against(expected="{low = 70, high = 120}") == []


def test_above_and_below() -> None:
    (above,) = against(expected="{low = 150, high = 180}")
    assert (above.severity, above.confidence) == (Severity.WARNING, Confidence.LIKELY)
    assert above.path == ("expected", "low")
    assert "150 bar to 180 bar, is above" in above.message
    assert "porosity" in above.message
    (below,) = against(expected="{low = 3, high = 5}")
    assert below.path == ("expected", "high")
    assert "is below" in below.message
    assert below.data["predicted"]["high"].to("bar") > 5


def test_a_certificate_sees_what_the_bed_model_cannot() -> None:
    certified = column(certificate=CERTIFICATE)
    assert against(expected="{low = 30, high = 45}") == []
    assert len(against(PUMP, certified, expected="{low = 30, high = 45}")) == 1


def test_parts_left_out_may_add_pressure() -> None:
    top = 90  # bar: within 10 bar of the interval's end
    assert against(expected=f"{{low = {top - 5}, high = {top}}}") == []
    restrictor = '{part = "restrictor"}'
    assert against(PUMP, COLUMN, restrictor, expected="{low = 150, high = 180}") == []
    strong = '{part = "pump", rating = "1000 bar"}'
    assert against(strong, COLUMN, expected="{low = 130, high = 140}") == []
    assert len(against(strong, COLUMN, expected="{low = 170, high = 180}")) == 1
    (found,) = against(PUMP, COLUMN, '{part = "detector cell"}', expected="{low = 150, high = 180}")
    assert "not counted: detector cell" in found.message


def test_confidence_falls_outside_the_data() -> None:
    hot = conditions(temperature='"75 degC"')
    (found,) = against(expected="{low = 150, high = 180}", wanted=hot)
    assert found.confidence is Confidence.POSSIBLE
    assert found.data["extrapolated"] is True


def test_band_too_narrow_for_the_gradient() -> None:
    (found,) = peak("{low = 50, high = 55}")
    assert found.path == ("expected", "high")
    assert "swings by a factor" in found.message
    assert found.related[0].path == ("conditions", "gradient")
    assert peak("{low = 20, high = 60}") == []


def test_peak_above_the_band_although_it_is_wide_enough() -> None:
    certified = column(certificate=CERTIFICATE)
    (found,) = peak("{low = 15, high = 45}", PUMP, certified)
    assert "predicted to peak" in found.message
    assert peak("{low = 25, high = 70}", PUMP, certified) == []


def test_a_band_under_all_of_the_run_is_not_a_peak_beyond_it() -> None:
    """``expected-against-prediction`` says it."""
    band = "{low = 0.5, high = 5}"
    (found,) = against(expected=band, wanted=GRADIENT)
    assert "is below" in found.message
    assert peak(band) == []


@pytest.mark.parametrize(
    ("expected", "wanted", "reason"),
    [
        ("", CONDITIONS, "no expected pressure"),
        ("{low = 60, high = 50}", CONDITIONS, "minimum is above the maximum"),
        ("{low = 50, high = 60}", conditions(flow=""), "no conditions.flow"),
    ],
)
def test_skipped_with_a_reason(expected: str, wanted: str, reason: str) -> None:
    made = subject(profile(expected=expected, conditions=wanted))
    with pytest.raises(Skip, match=reason):
        list(expected_against_prediction(made))


@pytest.mark.parametrize("wanted", [CONDITIONS, conditions(flow="")])
@pytest.mark.parametrize("band", ["{low = 0, high = 50}", "{low = 0, high = 0}"])
def test_a_band_from_zero_is_none_of_normal_runs(band: str, wanted: str) -> None:
    """With and without a prediction: any flow takes some pressure (Darcy, Hagen-Poiseuille)."""
    (found,) = against(expected=band, wanted=wanted)
    assert found.severity is Severity.ERROR
    assert found.path == ("expected", "low")
    assert "The expected minimum is 0 bar: no run reads that" in found.message


def test_a_gradient_needs_a_band_and_a_composition() -> None:
    without = subject(profile(expected="", conditions=GRADIENT))
    with pytest.raises(Skip, match="no expected pressure"):
        list(gradient_peak_outside_expected(without))
    made = subject(profile(expected="{low = 50, high = 60}", conditions=conditions(percent_b="")))
    with pytest.raises(Skip, match="no composition"):
        list(gradient_peak_outside_expected(made))


def test_an_isocratic_method_has_no_peak() -> None:
    made = subject(profile(expected="{low = 50, high = 60}", conditions=CONDITIONS))
    assert list(gradient_peak_outside_expected(made)) == []


def typed(low: float, high: float) -> Profile:
    """A band that says it is predicted, in shares of what is predicted."""
    bar = predict(profile(PUMP, COLUMN)).central / 1e5
    band = f'{{low = {low * bar:.4f}, high = {high * bar:.4f}, basis = "predicted"}}'
    return profile(PUMP, COLUMN, expected=band)


@pytest.mark.parametrize(
    ("low", "high", "key"),
    [
        (0.8, 0.995, None),
        (1.005, 1.2, None),
        (0.8, 0.98, "high"),
        (0.7, 0.85, "high"),
        (1.02, 1.2, "low"),
        (1.15, 1.3, "low"),
    ],
)
def test_a_band_that_says_it_is_predicted_holds_what_is_predicted(
    low: float, high: float, key: str | None
) -> None:
    """All are inside the interval, so that only their own words are wrong; 1 % is rounding."""
    made = typed(low, high)
    found = list(expected_against_prediction(subject(made)))
    assert [item.path for item in found] == ([] if key is None else [("expected", key)])
    assert all("says that it is predicted" in item.message for item in found)
    # The sender's band times a ratio is not a prediction of this profile.
    assert list(expected_against_prediction(subject(transferred(made)))) == []


def test_a_band_need_not_hold_a_swing_that_the_column_never_sees() -> None:
    """A wash of 0.2 min fills a tenth of the column; one of 20 min fills it."""

    def said(wash: float) -> list[Finding]:
        points = [(0, 5), (5, 5), (5, 46), (5 + wash, 46), (5 + wash, 5), (40, 5)]
        listed = ", ".join(f"{{minute = {minute}, percent_b = {b}}}" for minute, b in points)
        own = conditions(percent_b="", solvent_b='"methanol"', gradient=f"[{listed}]")
        least = predict(profile(PUMP, COLUMN, conditions=own)).lowest_central
        ends = f"low = {0.95 * least / 1e5:.3f}, high = {1.2 * least / 1e5:.3f}"
        band = f'{{{ends}, basis = "measured"}}'
        made = profile(PUMP, COLUMN, conditions=own, expected=band)
        return list(gradient_peak_outside_expected(subject(made)))

    assert said(0.2) == []
    (found,) = said(20)
    assert "swings by a factor" in found.message


STEP = (
    "[{minute = 0, percent_b = 5}, {minute = 3, percent_b = 5}, {minute = 3, percent_b = 80}, "
    "{minute = 8, percent_b = 80}, {minute = 8, percent_b = 5}, {minute = 15, percent_b = 5}]"
)


@pytest.mark.parametrize(
    ("high", "top", "outcome"),
    [
        (166, 134, "not decided"),  # mixing alone may take the peak past the cutoff
        (180, 134, "not decided"),  # 184 bar is the most likely, as mixed as may be
        (188, 134, "not decided"),  # and 192 bar the most that the ratio allows
        (200, 134, "holds"),  # as mixed as may be, a run passes
        (166, 184, "holds"),  # the band holds it, however it is mixed
        (166, 125, "found"),  # less than the least swing
    ],
)
def test_a_measured_band_that_mixing_may_exceed_past_the_cutoff_is_not_decided(
    high: int, top: int, outcome: str
) -> None:
    """A step from 5 to 80 % methanol swings by 1.11, by 1.52 with half the dwell volume stirred."""
    made = profile(
        PUMP,
        '{part = "tubing", length = "900 mm", bore = "0.17 mm"}',
        column(length='"50 mm"', bore='"2.1 mm"', particle_size='"3 um"'),
        conditions=conditions(
            flow='"0.5 mL/min"',
            temperature='"25 degC"',
            ambient='"22 degC"',
            solvent_b='"methanol"',
            percent_b="",
            gradient=STEP,
        ),
        expected=f'{{low = 120, high = {top}, basis = "measured"}}',
    )
    instrument = made.instrument.model_copy(update={"dwell_volume": Volume.of("0.8", "mL")})
    cutoffs = made.cutoffs.model_copy(update={"high": Pressure.of(str(high), "bar")})
    made = made.model_copy(update={"instrument": instrument, "cutoffs": cutoffs})
    if outcome == "not decided":
        told = f"highest of a whole run, one may reach 192 bar, past the high cutoff, {high} bar$"
        with pytest.raises(Skip, match=told):
            list(gradient_peak_outside_expected(subject(made)))
    else:
        found = list(gradient_peak_outside_expected(subject(made)))
        assert bool(found) == (outcome == "found")


@pytest.mark.parametrize(
    ("high", "outcome"), [(346, "not decided"), (396, "not decided"), (480, "holds")]
)
def test_a_peak_that_mixing_decides_may_be_the_most_that_is_predicted_of_it(
    high: int, outcome: str
) -> None:
    """It lies between 361 and 413 bar, most likely, and may be higher: more than the least."""
    certificate = (
        '{pressure = "300 bar", flow = "0.5 mL/min", temperature = "30 degC", '
        'solvent_a = "water", percent_b = 0}'
    )
    made = profile(
        '{part = "pump", rating = "1000 bar"}',
        '{part = "injector", rating = "1000 bar"}',
        '{part = "tubing", length = "300 mm", bore = "0.17 mm", rating = "1000 bar"}',
        column(
            length='"50 mm"', bore='"2.1 mm"', particle_size='"1.7 um"', certificate=certificate
        ),
        conditions=conditions(
            flow='"0.4 mL/min"',
            temperature='"30 degC"',
            ambient='"22 degC"',
            solvent_b='"methanol"',
            percent_b="",
            gradient="[{minute = 0, percent_b = 5}, {minute = 0.3, percent_b = 95}, "
            "{minute = 4, percent_b = 95}]",
        ),
        expected='{low = 170, high = 330, basis = "measured"}',
    )
    instrument = made.instrument.model_copy(update={"dwell_volume": Volume.of("1", "mL")})
    cutoffs = made.cutoffs.model_copy(update={"high": Pressure.of(str(high), "bar")})
    made = made.model_copy(update={"instrument": instrument, "cutoffs": cutoffs})
    if outcome == "holds":
        assert list(gradient_peak_outside_expected(subject(made))) == []
        return
    with pytest.raises(Skip) as told:
        list(gradient_peak_outside_expected(subject(made)))
    least, most, reached = (
        int(found) for found in re.findall(r"(\d+) (?:and|bar(?=,))", str(told.value))[:3]
    )
    assert least < most < reached
