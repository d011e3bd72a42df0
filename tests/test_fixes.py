"""Corrections of typed numbers."""

from __future__ import annotations

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from limitcheck.checking.corrections import Fix, NotFixed, fix
from limitcheck.checking.file import check_file
from limitcheck.findings import Confidence, Recommendation, Severity
from limitcheck.policy import DEFAULT_POLICY
from limitcheck.profile.load import ProfileFile, load_bytes
from tests.profiles_for_tests import CERTAIN, profile_file, text

TODAY = date(2026, 11, 25)


def fixed(file: ProfileFile, *, likely: bool = False) -> Fix | None:
    report = check_file(file, DEFAULT_POLICY, TODAY)
    return fix(file, report, DEFAULT_POLICY, TODAY, likely=likely)


def test_a_certain_slip_is_corrected_and_nothing_else_changes() -> None:
    written = text(**CERTAIN | {"expected_high": "2900 # from the wall chart"})
    written = written.replace("\n", "\r\n")
    found = fixed(load_bytes(("\ufeff" + written).encode(), "a.toml"))
    assert found is not None
    assert found.changes == (
        (("expected", "high"), "2900", "200"),
        (("expected", "low"), "1740", "120"),
    )
    now = written.replace("high = 2900 #", "high = 200 #").replace("low = 1740", "low = 120")
    assert found.after == "\ufeff" + now
    assert found.report.status == "ok"


def test_both_ends_of_the_expected_band_are_corrected() -> None:
    found = fixed(profile_file(**CERTAIN | {"expected_high": '"2900 bar"'}))
    assert found is not None
    assert {path: new for path, _, new in found.changes} == {
        ("expected", "high"): '"200 bar"',
        ("expected", "low"): "120",
    }


def test_a_likely_slip_is_corrected_only_when_asked_for() -> None:
    file = profile_file(high="25")
    assert fixed(file) is None
    found = fixed(file, likely=True)
    assert found is not None
    assert found.changes == ((("cutoffs", "high"), "25", "250"),)


def test_what_is_only_possible_is_never_written() -> None:
    """The whole instrument in psi, or in kPa; a plate of 400 psi where 400 bar was meant."""
    whole = profile_file(high="3620", low="870", expected_low="1740", expected_high="2900")
    assert fixed(whole, likely=True) is None
    assert fixed(profile_file(pump='"400 psi"'), likely=True) is None


def test_margins_are_not_corrected_here() -> None:
    assert fixed(profile_file(high="390", expected_high="150"), likely=True) is None
    assert fixed(profile_file(low="")) is None


def test_a_clean_file_has_nothing_to_correct() -> None:
    assert fixed(profile_file()) is None


def planted(file: ProfileFile, enter: str) -> Fix | None:
    """A report that recommends a number which the checks would never give."""
    report = check_file(file, DEFAULT_POLICY, TODAY)
    wrong = Recommendation(("cutoffs", "high"), enter, "bar", "slip", Confidence.CERTAIN)
    report = report._replace(recommendations=(wrong,))
    return fix(file, report, DEFAULT_POLICY, TODAY)


def test_a_cutoff_is_never_raised_above_a_rating() -> None:
    with pytest.raises(NotFixed, match="bring another finding: The high cutoff 401 bar"):
        planted(profile_file(), "401")


def test_a_correction_that_brings_new_errors_is_dropped() -> None:
    with pytest.raises(NotFixed, match="bring another finding: The high cutoff 150 bar"):
        planted(profile_file(), "150")


@given(st.integers(1, 9999), st.integers(0, 9999), st.sampled_from(["bar", "psi", "MPa", "kPa"]))
def test_a_correction_never_passes_a_rating_nor_brings_errors(
    high: int, low: int, unit: str
) -> None:
    file = profile_file(high=str(high), low=str(low), unit=f'"{unit}"')
    before = check_file(file, DEFAULT_POLICY, TODAY)
    try:
        found = fixed(file, likely=True)
    except NotFixed:
        return
    if found is None:
        return
    profile = load_bytes(found.after.encode(), "a.toml").profile
    cutoff = profile.cutoffs.high
    assert cutoff is not None
    if cutoff != file.profile.cutoffs.high:
        assert cutoff.to("bar") <= 450
    errors = [f for f in found.report.findings if f.severity is Severity.ERROR]
    assert len(errors) <= len([f for f in before.findings if f.severity is Severity.ERROR])
