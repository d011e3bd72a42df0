"""Corrections of typed numbers."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from limitcheck.checking.corrections import Fix, NotFixed, fix
from limitcheck.checking.file import check_file
from limitcheck.findings import Confidence, Recommendation, Severity
from limitcheck.policy import DEFAULT_POLICY
from limitcheck.profile.load import ProfileFile, load_bytes
from tests.profiles_for_tests import profile_file, text

TODAY = date(2026, 11, 25)


def fixed(file: ProfileFile, *, likely: bool = False) -> Fix | None:
    report = check_file(file, DEFAULT_POLICY, TODAY)
    return fix(file, report, DEFAULT_POLICY, TODAY, likely=likely)


BAND = {"expected_low": "1740", "expected_high": "2900", "column": '"6500 psi"'}
"""Certainly in psi: it stands on the column's label, and nothing else gives such a band."""


def test_a_certain_slip_is_corrected_and_nothing_else_changes() -> None:
    values = BAND | {"expected_high": "2900 # from the wall chart"}
    written = text(**values).replace("\n", "\r\n")
    found = fixed(load_bytes(("\ufeff" + written).encode(), "a.toml"))
    assert found is not None
    assert set(found.changes) == {
        (("expected", "high"), "2900", "200"),
        (("expected", "low"), "1740", "120"),
    }
    assert found.after == "\ufeff" + written.replace("2900 #", "200 #").replace("1740", "120")
    assert found.report.status == "ok"


def test_text_stays_text() -> None:
    found = fixed(profile_file(**BAND | {"expected_high": '"2900 bar"'}))
    assert found is not None
    assert {path: new for path, _, new in found.changes} == {
        ("expected", "high"): '"200 bar"',
        ("expected", "low"): "120",
    }


def test_a_digit_lost_would_give_the_same_number_so_it_is_not_certain() -> None:
    assert fixed(profile_file(high="25")) is None
    found = fixed(profile_file(high="25"), likely=True)
    assert found is not None
    assert found.changes == ((("cutoffs", "high"), "25", "250"),)


def test_a_rating_is_corrected_only_when_likely_is_asked_for() -> None:
    """A plate must be looked at, however clear the numbers are."""
    file = profile_file(pump='"40 bar"', column='"45 MPa"')
    assert fixed(file) is None
    found = fixed(file, likely=True)
    assert found is not None
    assert found.changes == ((("flow_path", 0, "rating"), '"40 bar"', '"40 MPa"'),)


def test_the_instruments_unit() -> None:
    values = {"high": "3620", "low": "870", "expected_low": "1740", "expected_high": "2900"}
    file = profile_file(**values, column='"6500 psi"')
    assert fixed(file) is None
    found = fixed(file, likely=True)
    assert found is not None
    assert found.changes == ((("instrument", "pressure_unit"), '"bar"', '"psi"'),)
    assert 'pressure_unit = "psi"' in found.after


def test_margins_are_not_corrected_here() -> None:
    assert fixed(profile_file(high="390", expected_high="150"), likely=True) is None
    assert fixed(profile_file(low="")) is None


def test_a_clean_file_has_nothing_to_correct() -> None:
    assert fixed(profile_file()) is None


def planted(file: ProfileFile, enter: str) -> Fix | None:
    """A report that recommends a number which the checks would never give."""
    report = check_file(file, DEFAULT_POLICY, TODAY)
    wrong = Recommendation(("cutoffs", "high"), enter, "bar", "slip", Confidence.CERTAIN)
    report = replace(report, recommendations=(wrong,))
    return fix(file, report, DEFAULT_POLICY, TODAY)


def test_a_cutoff_is_never_raised_above_a_rating() -> None:
    with pytest.raises(NotFixed, match="bring: high-cutoff-above-rating, high-cutoff-margin-wide"):
        planted(profile_file(), "401")


def test_a_correction_that_brings_new_errors_is_dropped() -> None:
    with pytest.raises(NotFixed, match="bring: high-cutoff-below-expected"):
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
