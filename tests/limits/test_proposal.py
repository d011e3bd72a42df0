"""Proposed limits: bounds, rounding, and that they pass their own checks."""

from __future__ import annotations

from datetime import date
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from limitcheck.checks.engine import check_profile
from limitcheck.limits import propose
from limitcheck.limits.proposal import Reached
from limitcheck.policy import DEFAULT_POLICY, Margins, margins_for
from limitcheck.profile.model import validate_profile
from limitcheck.units import TRADE_UNITS, USUAL_STEP, Pressure
from tests.profiles_for_tests import profile_file

TODAY = date(2026, 11, 25)


def test_the_arithmetic_of_the_two_limits() -> None:
    proposal = propose(profile_file().profile, Margins())
    assert proposal.high is not None
    assert proposal.low is not None
    # 200 bar + 25 % = 250 bar; 400 bar - 10 % = 360 bar; 120 bar - 50 % = 60 bar.
    assert [str(b.pressure) for b in proposal.high.bounds] == ["250 bar", "360 bar"]
    assert proposal.high.binding.path == ("expected", "high")
    assert (proposal.high.enter, proposal.low.enter) == ("250", "60")


def test_the_weakest_rating_binds_and_rounds_down_in_psi() -> None:
    file = profile_file(unit='"psi"', expected_high='"320 bar"', expected_low='"120 bar"')
    proposal = propose(file.profile, Margins())
    assert proposal.high is not None
    assert proposal.low is not None
    # 360 bar = 5221.36 psi, down; 60 bar = 870.23 psi, up (NIST SP 811: 1 bar = 14.50377 psi).
    assert (proposal.high.enter, proposal.low.enter) == ("5221", "871")
    assert proposal.high.binding.path == ("flow_path", 0, "rating")
    # Against pint, the second source of the factors.
    import pint

    ureg = pint.UnitRegistry(non_int_type=Fraction)
    exact = ureg.Quantity(Fraction(360), "bar").to("psi").magnitude
    assert proposal.high.binding.pressure.to("psi") == exact


def test_a_margin_that_would_be_wide_is_cut() -> None:
    margins = Margins(high=Fraction(3, 2), low=Fraction(99, 100))
    proposal = propose(profile_file(expected_high="150").profile, margins)
    assert proposal.high is not None
    assert proposal.low is not None
    assert (proposal.high.enter, proposal.low.enter) == ("300", "6")
    assert proposal.high.binding.reason == "expected high 150 bar + 100 %, more would be wide"
    assert proposal.low.binding.reason == "expected low 120 bar - 95 %, more would be wide"


def test_what_the_field_takes_is_a_bound() -> None:
    file = profile_file(step="1\nentry_max = 240")
    proposal = propose(file.profile, Margins())
    assert proposal.high is not None
    assert proposal.high.enter == "240"
    assert proposal.high.binding.path == ("instrument", "entry_max")


@pytest.mark.parametrize(
    ("values", "reason"),
    [
        (
            {"expected_high": "380"},
            "the largest value within the margins, 360 bar, is not 10 % above",
        ),
        ({"step": "500"}, "no storable number is left"),
        ({"step": "70\nentry_max = 69"}, "no storable number is left"),
    ],
)
def test_no_safe_high_cutoff(values: dict[str, str], reason: str) -> None:
    proposal = propose(profile_file(**values).profile, Margins())
    assert proposal.high is None
    assert reason in (proposal.no_high or "")


def test_what_the_field_takes_is_no_reason_for_a_high_cutoff_by_itself() -> None:
    made = profile_file(step="1\nentry_max = 240", pump="", column="").profile
    proposal = propose(made.model_copy(update={"expected": None}), Margins())
    assert proposal.high is None
    assert proposal.high_bounds == ()
    assert proposal.no_high == "neither an expected pressure nor a rating is given"


def test_a_high_cutoff_may_be_the_share_that_is_not_yet_thin() -> None:
    """440 bar - 10 % is 396 bar: 10 % above 360 bar, less than that above 361 bar."""
    for expected, enter in (("360", "396"), ("361", None)):
        values = {"pump": '"440 bar"', "expected_high": expected}
        found = propose(profile_file(**values).profile, Margins()).high
        assert (found and found.enter) == enter


@pytest.mark.parametrize(
    ("values", "reason"),
    [
        ({"step": "110"}, "the display step 110 bar is too coarse"),
        ({"expected_low": "0"}, "the expected minimum is 0 bar, which no run reads"),
        ({"step": "1\nentry_max = 50"}, "the field takes no more than 50 bar"),
    ],
)
def test_no_useful_low_cutoff(values: dict[str, str], reason: str) -> None:
    proposal = propose(profile_file(**values).profile, Margins())
    assert proposal.low is None
    assert reason in (proposal.no_low or "")


def test_nothing_is_proposed_from_an_inverted_band() -> None:
    file = profile_file(expected_low="200", expected_high="120")
    proposal = propose(file.profile, Margins())
    reason = "the expected minimum 200 bar is above the expected maximum 120 bar"
    assert (proposal.no_high, proposal.no_low) == (reason, reason)
    assert [bound.path for bound in proposal.high_bounds] == [("flow_path", 0, "rating")]


def test_parts_without_a_rating_are_named() -> None:
    assert propose(profile_file(pump="").profile, Margins()).unrated == ("pump",)


def test_a_low_cutoff_may_be_the_share_that_is_not_yet_thin() -> None:
    """85 % of 120 bar: a step of 102 bar just reaches it, one of 103 bar is over it."""
    for step, enter in (("102", "102"), ("103", None)):
        found = propose(profile_file(step=step).profile, Margins()).low
        assert (found and found.enter) == enter


@pytest.mark.parametrize("least", [59, 60, 61])
def test_no_low_cutoff_that_the_lowest_pressure_may_reach(least: int) -> None:
    """60 bar, of runs that are predicted to make at the lowest somewhere from least to 90 bar."""
    lowest = Reached(least * 1e5, 90e5, f"{least} to 90 bar")
    found = propose(profile_file().profile, Margins(), lowest=lowest)
    assert (found.low is None) == (least <= 60)
    assert found.low is not None or "60 bar may stop them" in (found.no_low or "")


@pytest.mark.parametrize("most", [249, 250, 251])
@pytest.mark.parametrize("least", [150, 250])
def test_no_high_cutoff_that_the_highest_pressure_may_reach(least: int, most: int) -> None:
    """250 bar, of runs that are predicted to reach somewhere from least to most."""
    reached = Reached(min(least, most) * 1e5, most * 1e5, f"{least} to {most} bar")
    found = propose(profile_file().profile, Margins(), reached)
    assert (found.high is None) == (most >= 250)
    if found.high is None:
        told = "would stop them all" if least == 250 else "may stop them"
        assert told in (found.no_high or "")


STEPS = {unit: (step, step / 10, step * 5) for unit, step in USUAL_STEP.items()}


IN_BAR = {unit: float(Pressure.of(1, "bar").to(unit)) for unit in TRADE_UNITS}


def shares(least: int, most: int) -> st.SearchStrategy[str]:
    return st.integers(least, most).map(lambda n: f"{n} %")


MARGINS = st.fixed_dictionaries(
    {}, optional={"high": shares(8, 150), "low": shares(10, 99), "headroom": shares(0, 60)}
)


@st.composite
def profiles(draw: st.DrawFn) -> dict[str, object]:
    """Profiles of any unit, step, margins, band and ratings, deratings among them."""

    def text(bar: int) -> str:
        unit = draw(st.sampled_from(TRADE_UNITS))
        return f"{bar * IN_BAR[unit]:.2f} {unit}"

    def rating() -> str:
        return text(draw(st.integers(200, 1500)))

    unit = draw(st.sampled_from(TRADE_UNITS))
    low = draw(st.integers(5, 300))
    instrument: dict[str, object] = {"id": "KB-LC-03", "pressure_unit": unit}
    if draw(st.booleans()):
        instrument["display_step"] = float(draw(st.sampled_from(STEPS[unit])))
    if draw(st.booleans()):
        instrument["entry_max"] = int(draw(st.integers(100, 1500)) * IN_BAR[unit])
    pump: dict[str, object] = {"part": "pump", "rating": rating()}
    if draw(st.booleans()):
        pump["rating_at_flow"] = [
            {"flow": flow, "rating": rating()} for flow in ("1 mL/min", "3 mL/min")
        ]
    return {
        "format": 1,
        "method": {"id": "KB-TEA-014"},
        "instrument": instrument,
        "expected": {"low": text(low), "high": text(draw(st.integers(low, 400)) + 1)},
        "conditions": {"flow": "2 mL/min"},
        "flow_path": [pump, {"part": "column", "rating": rating()}],
        "margins": draw(MARGINS),
    }


MARGINS_AND_RATINGS = {
    "entry-not-storable",
    "entry-beyond-field",
    "high-cutoff-missing",
    "high-cutoff-above-rating",
    "high-cutoff-below-expected",
    "high-cutoff-margin-thin",
    "high-cutoff-margin-wide",
    "low-cutoff-off",
    "low-cutoff-above-expected",
    "low-cutoff-margin-thin",
    "low-cutoff-margin-wide",
    "low-cutoff-not-below-high",
    "rating-derated",
    "rounded-over-rating",
}


@given(profiles())
def test_what_is_proposed_passes_the_checks_on_margins_and_ratings(data: dict[str, object]) -> None:
    profile = validate_profile(data)
    proposal = propose(profile, margins := margins_for(profile, DEFAULT_POLICY))
    if proposal.high is None or proposal.low is None:
        # Nothing storable lies between the bounds, or the reason would be wrong.
        assert proposal.no_high or proposal.no_low
        return
    entered = validate_profile(
        {**data, "cutoffs": {"high": float(proposal.high.enter), "low": float(proposal.low.enter)}}
    )
    findings = check_profile(entered, DEFAULT_POLICY, TODAY).findings
    assert [f.check for f in findings if f.check in MARGINS_AND_RATINGS] == []
    # The largest, and the smallest: one step further breaks a bound.
    step, unit = profile.instrument.step, profile.instrument.pressure_unit
    assert proposal.high.pressure.to(unit) + step > min(
        bound.pressure.to(unit) for bound in proposal.high.bounds
    )
    assert proposal.low.pressure.to(unit) - step < proposal.low.binding.pressure.to(unit)
    assert margins.headroom < 1


def test_small_numbers_in_a_large_unit() -> None:
    proposal = propose(
        profile_file(unit='"MPa"', step="0.1", expected_low="0.4", expected_high="0.6").profile,
        Margins(),
    )
    assert proposal.high is not None
    assert proposal.low is not None
    assert (proposal.high.enter, proposal.low.enter) == ("0.7", "0.2")  # 0.75 down, 0.2
    assert proposal.low.binding.path == ("expected", "low")


def test_the_largest_entry_is_still_an_entry() -> None:
    whole = propose(profile_file(step="1\nentry_max = 60").profile, Margins())
    assert whole.low is not None
    assert whole.low.enter == "60"
    short = propose(profile_file(step="1\nentry_max = 59").profile, Margins())
    assert short.no_low == "the field takes no more than 59 bar"


def test_the_field_binds_in_words() -> None:
    proposal = propose(profile_file(step="1\nentry_max = 230").profile, Margins())
    assert proposal.high is not None
    assert proposal.high.binding.reason == "largest value that the field takes, 230 bar"
    assert proposal.high.binding.path == ("instrument", "entry_max")
