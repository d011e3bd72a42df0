"""Turning a check off, or absurd numbers, never make the tool recommend more."""

from __future__ import annotations

from datetime import date

import pytest

from limitcheck.checking.file import check_file
from limitcheck.policy import DEFAULT_POLICY, Policy
from tests.profiles_for_tests import profile_file

TODAY = date(2026, 11, 25)
OFF = Policy(severities={"unit-confusion": None, "mistyped-number": None})


@pytest.mark.parametrize(
    "values",
    [
        {"low": "160", "expected_low": "12", "expected_high": "20"},
        {"high": "25", "low": ""},
        {"high": "3620", "low": "870", "expected_low": "1740", "expected_high": "2900"},
    ],
)
def test_what_a_check_doubts_stays_in_doubt_when_it_is_off(values: dict[str, str]) -> None:
    on = check_file(profile_file(**values), DEFAULT_POLICY, TODAY)
    off = check_file(profile_file(**values), OFF, TODAY)
    assert {item.path for item in off.recommendations} <= {item.path for item in on.recommendations}


def test_numbers_beyond_any_range_are_an_answer_not_an_exception() -> None:
    file = profile_file(
        unit='"psi"',
        step="1e-30",
        high="0.0001",
        expected_low='"164 MPa"',
        expected_high='"1e30 kPa"',
    )
    report = check_file(file, DEFAULT_POLICY, TODAY)
    assert report.findings
