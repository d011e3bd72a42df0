"""fault-unseen: overloads no cutoff stops, and leaks a low cutoff sees late."""

from __future__ import annotations

from contextlib import suppress
from datetime import date

import pytest

from limitcheck.checks import Skip
from limitcheck.checks.subject import Subject
from limitcheck.checks.unseen_faults import fault_unseen
from limitcheck.findings import Finding, Severity
from limitcheck.policy import DEFAULT_POLICY
from tests.physics.profiles import column, profile

WEAK = '{part = "pump", rating = "150 bar"}'
STRONG = '{part = "pump", rating = "400 bar"}'


def unseen(pump: str, cutoffs: str, expected: str = "{low = 80, high = 100}") -> list[Finding]:
    made = profile(pump, column(), cutoffs=f"cutoffs = {cutoffs}", expected=expected)
    found = []
    with suppress(Skip):  # the column has no rating
        for finding in fault_unseen(Subject(made, DEFAULT_POLICY, date(2026, 11, 25))):
            found.append(finding)
    return found


def test_overload_without_a_high_cutoff() -> None:
    (found,) = unseen(WEAK, "{low = 50}")
    assert found.severity is Severity.WARNING
    assert "flow-doubled" in found.data["faults"]
    assert "flow doubled (18" in found.message
    assert "high cutoff off" in found.message


def test_overload_under_a_cutoff_above_the_rating() -> None:
    (found,) = unseen(WEAK, "{high = 200, low = 50}")
    assert "at 200 bar" in found.message
    assert "flow-doubled" in found.data["faults"]
    assert unseen(WEAK, "{high = 149, low = 50}") == []


def test_only_faults_that_pass_the_rating_are_named() -> None:
    assert unseen(STRONG, "{high = 450, low = 50}") == []


def test_leak_seen_late_is_a_note() -> None:
    (found,) = unseen(STRONG, "{high = 150, low = 10}")
    assert found.severity is Severity.NOTE
    assert "88 % of the flow" in found.message
    assert unseen(STRONG, "{high = 150, low = 40}") == []
    assert unseen(STRONG, "{high = 150, low = 2}") == []  # low-cutoff-margin-wide says it
    assert unseen(STRONG, "{high = 150}") == []  # low-cutoff-off says it


def test_skipped_where_no_normal_pressure_is_known() -> None:
    made = profile(WEAK, column(length=""), cutoffs="cutoffs = {low = 10}")
    with pytest.raises(Skip, match="no column geometry"):
        list(fault_unseen(Subject(made, DEFAULT_POLICY, date(2026, 11, 25))))
