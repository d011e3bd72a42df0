"""The cutoffs against a band at its very ends, and against a prediction where no band is given."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import date

import pytest

from limitcheck.checks import Skip
from limitcheck.checks.high_cutoff import high_cutoff_below_expected, high_cutoff_margin_thin
from limitcheck.checks.low_cutoff import low_cutoff_above_expected, low_cutoff_margin_wide
from limitcheck.checks.subject import Subject
from limitcheck.findings import Finding
from limitcheck.policy import DEFAULT_POLICY
from tests.physics.profiles import COLUMN, PUMP, profile

Check = Callable[[Subject], Iterator[Finding]]


def said(check: Check, cutoffs: str, expected: str = "") -> list[Finding]:
    """No tubing listed: 50 bar may be left out of a prediction."""
    made = profile(PUMP, COLUMN, cutoffs=f"cutoffs = {{{cutoffs}}}", expected=expected)
    return list(check(Subject(made, DEFAULT_POLICY, date(2026, 11, 25))))


def ends() -> tuple[float, float]:
    """The predicted pressure [bar]: its low end, and its high end without what is left out."""
    found = Subject(profile(PUMP, COLUMN), DEFAULT_POLICY, date(2026, 11, 25)).prediction
    assert found is not None
    return found.lowest.low / 1e5, found.highest.high / 1e5


def test_a_high_cutoff_that_parts_not_listed_may_reach_is_not_decided() -> None:
    low, high = ends()
    for bar in (0.5 * (low + high), high + 1.0, high + 49.0):
        with pytest.raises(Skip, match="only predicted"):
            said(high_cutoff_below_expected, f"high = {bar:.2f}")
    assert said(high_cutoff_below_expected, f"high = {high + 51.0:.2f}") == []
    assert len(said(high_cutoff_below_expected, f"high = {0.9 * low:.2f}")) == 1


def test_a_low_cutoff_that_parts_not_listed_may_lift_the_run_over_is_not_decided() -> None:
    low, high = ends()
    for bar in (0.5 * (low + high), high + 1.0, high + 49.0):
        with pytest.raises(Skip, match="only predicted"):
            said(low_cutoff_above_expected, f"low = {bar:.2f}")
    assert said(low_cutoff_above_expected, f"low = {0.9 * low:.2f}") == []
    assert len(said(low_cutoff_above_expected, f"low = {high + 51.0:.2f}")) == 1


BAND = "{low = 80, high = 100}"


@pytest.mark.parametrize(
    ("check", "cutoffs", "found"),
    [
        (high_cutoff_margin_thin, "high = 110", False),  # under 10 %
        (high_cutoff_margin_thin, "high = 109.99", True),
        (high_cutoff_margin_thin, "high = 100", False),  # another check says it
        (low_cutoff_margin_wide, "low = 4", False),  # under 5 %
        (low_cutoff_margin_wide, "low = 3.99", True),
    ],
)
def test_at_a_margin_itself_nothing_is_said(check: Check, cutoffs: str, found: bool) -> None:
    assert bool(said(check, cutoffs, BAND)) is found


@pytest.mark.parametrize(("high", "at_once"), [("80", True), ("80.01", False)])
def test_a_cutoff_at_the_lowest_pressure_stops_the_run_at_once(high: str, at_once: bool) -> None:
    (found,) = said(high_cutoff_below_expected, f"high = {high}", BAND)
    assert ("as soon as the pump builds up pressure" in found.message) is at_once
