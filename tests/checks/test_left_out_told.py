"""An interval wider than the prediction's own says what makes it wider, wherever it is written."""

from __future__ import annotations

import re
from datetime import date

import pytest

from limitcheck.checks import CHECKS, Skip, Subject
from limitcheck.physics.predict import predict
from limitcheck.policy import DEFAULT_POLICY
from tests.physics.profiles import column, pair, profile

INTERVAL = re.compile(r" \S+ to (\d+) bar(?: \((\d+) bar of it for parts without a known)?")
RATING = '"100 bar"'
PUMP = f'{{part = "pump", rating = {RATING}}}'
TUBING = '{part = "tubing", length = "600 mm", bore = "0.17 mm"}'


def subject(high: int, low: int, *parts: str, measured: str = "") -> Subject:
    cutoffs = f"cutoffs = {{high = {high}, low = {low}}}"
    made = profile(PUMP, *parts, column(rating=RATING), cutoffs=cutoffs, measured=measured)
    return Subject(made, DEFAULT_POLICY, date(2026, 11, 28))


def told(judged: Subject) -> list[str]:
    """What its checks say of an interval, decided or not, and why nothing is proposed."""
    texts = [judged.proposal.no_high or ""]
    for check in CHECKS:
        try:
            texts += [finding.message for finding in check(judged)]
        except Skip as skipped:
            texts.append(str(skipped))
    return [text for text in texts if "predicted" in text]


@pytest.mark.parametrize(
    ("high", "low", "parts", "more"),
    [
        (20, 5, (TUBING,), 10),  # broken; a leak seen late
        (70, 12, (TUBING,), 10),  # not decided
        (95, 110, (TUBING,), 10),  # the low cutoff broken
        (20, 5, (), 50),  # no tubing: more may be missing
    ],
)
def test_what_is_allowed_for_other_parts_is_told(
    high: int, low: int, parts: tuple[str, ...], more: int
) -> None:
    judged = subject(high, low, *parts)
    found = predict(judged.profile)
    ends = {f"{point.high / 1e5:.0f}" for point in (found.lowest, found.highest)}
    said = told(judged)
    assert len(said) == 3, said  # both cutoffs, and why no high cutoff is proposed
    for text in said:
        match = INTERVAL.search(text)
        assert match, text
        assert match[2] == str(more), text
        assert {str(int(match[1]) - more + off) for off in (-1, 0, 1)} & ends, text


def test_nothing_is_told_where_measured_pairs_hold_all_parts() -> None:
    pairs = ", ".join((pair(0.5, 50), pair(1.0, 100), pair(1.0, 5, column="false")))
    said = told(subject(20, 5, TUBING, measured=pairs))
    assert said
    assert not any(" of it for " in text for text in said)


def test_of_a_restrictor_any_pressure_is_told() -> None:
    said = told(subject(20, 5, TUBING, '{part = "restrictor"}'))
    assert len(said) == 3, said
    assert all("bar or more (a restrictor without resistance_at may take any)" in t for t in said)
