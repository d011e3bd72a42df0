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
    assert "flow doubled (about 200 bar)" in found.message
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


def late_by(share: float) -> list[Finding]:
    """No band; the low cutoff is a share of the pressure at which a leak is seen late."""
    made = profile(STRONG, column())
    asked = Subject(made, DEFAULT_POLICY, date(2026, 11, 25))
    assert asked.prediction is not None
    assert asked.left_out == 50e5  # no tubing listed
    lowest = asked.prediction.lowest.high * (1 - asked.margins.low) / 2
    low = f"cutoffs = {{high = 380, low = {share * lowest / 1e5:.2f}}}"
    made = profile(STRONG, column(rating='"400 bar"'), cutoffs=low)
    return list(fault_unseen(Subject(made, DEFAULT_POLICY, date(2026, 11, 25))))


def test_a_leak_of_a_pressure_that_may_be_higher_is_not_decided() -> None:
    """Parts that the profile does not list may make the normal pressure higher than predicted."""
    for share in (0.98, 1.02):
        with pytest.raises(Skip, match="the lowest pressure is only predicted"):
            late_by(share)
    (found,) = late_by(0.1)
    assert "at the lowest predicted pressure" in found.message
    assert late_by(3.0) == []


FLOWS = '{flow = "1.5 mL/min", rating = "400 bar"}, {flow = "4 mL/min", rating = "150 bar"}'
BY_FLOW = f'{{part = "pump", rating = "400 bar", rating_at_flow = [{FLOWS}]}}'


def test_a_doubled_flow_is_compared_with_what_the_pump_holds_at_that_flow() -> None:
    """1 mL/min: 400 bar. 2 mL/min, between two points: the lower, 150 bar; twice 90 bar is 180."""
    (found,) = unseen(BY_FLOW, "{high = 300, low = 50}")
    assert found.path == ("flow_path", 0, "rating_at_flow")
    assert found.data["faults"] == ["flow-doubled"]
    assert "what the pump holds at the fault's own flow" in found.message
    assert "it holds 150 bar at 2 mL/min" in found.message
    assert unseen(BY_FLOW, "{high = 150, low = 50}") == []
    # 60 bar doubled is 120 bar: less than it holds there
    assert unseen(BY_FLOW, "{high = 300, low = 25}", "{low = 50, high = 70}") == []


def test_beyond_the_last_point_of_a_table_it_says_so() -> None:
    (found,) = unseen(BY_FLOW.replace("4 mL/min", "1.8 mL/min"), "{high = 300, low = 50}")
    assert "150 bar at 2 mL/min, beyond its last stated point" in found.message


HOT = '{temperature = "35 degC", rating = "140 bar"}, {temperature = "60 degC", rating = "60 bar"}'
BY_HEAT = f'{{part = "fitting", rating_at_temperature = [{HOT}]}}'


def by_heat(part: str) -> list[Finding]:
    made = profile(
        STRONG,
        part,
        column(),
        cutoffs="cutoffs = {high = 140, low = 50}",
        expected="{low = 80, high = 100}",
    )
    found = []
    with suppress(Skip):
        for finding in fault_unseen(Subject(made, DEFAULT_POLICY, date(2026, 11, 25))):
            found.append(finding)
    return found


def test_an_oven_that_is_too_hot_weakens_a_fitting_though_the_pressure_falls() -> None:
    (found,) = by_heat(BY_HEAT)
    assert found.path == ("flow_path", 1, "rating_at_temperature")
    assert found.data["faults"] == ["oven-too-hot"]
    assert "it holds 60 bar at 45 degC" in found.message
    assert by_heat(BY_HEAT.replace("60 bar", "140 bar")) == []


def test_a_cold_oven_is_compared_with_what_holds_when_cold() -> None:
    """At 35 degC it holds 110 bar; at 21 degC 140 bar, as much as the cutoff lets by."""
    cold = BY_HEAT.replace(
        '{temperature = "35 degC", rating = "140 bar"}',
        '{temperature = "25 degC", rating = "140 bar"}, '
        '{temperature = "50 degC", rating = "110 bar"}',
    ).replace("60 bar", "110 bar")
    (found,) = by_heat(cold)
    assert found.path == ("cutoffs", "high")
    assert "flow-doubled" in found.data["faults"]
    assert "heater-off" not in found.data["faults"]
    # A plain rating counts too: under the fault it is the lower one.
    (plain, own) = by_heat(cold.replace('"fitting", ', '"fitting", rating = "112 bar", '))
    assert "heater-off" not in plain.data["faults"]
    assert own.data["faults"] == ["heater-off"]
    assert "it holds 112 bar at 21 degC" in own.message
