"""The units that would make a far too wide margin usual: said as a possibility only."""

from __future__ import annotations

from datetime import date

import pytest

from limitcheck.checks import Subject
from limitcheck.checks.usual_units import usual_high, usual_low
from limitcheck.findings import Confidence
from limitcheck.meant import Evidence, Predicted
from limitcheck.policy import DEFAULT_POLICY
from tests.profiles_for_tests import profile_file

WIDE = {"expected_low": "15", "expected_high": "19", "low": "5"}


def subject(predicted: Predicted | None = None, **values: str) -> Subject:
    made = Subject(profile_file(**values).profile, DEFAULT_POLICY, date(2026, 11, 25))
    if predicted is not None:
        made.__dict__["evidence"] = Evidence(made.profile, predicted)
    return made


@pytest.mark.parametrize(
    ("high", "text"),
    [
        ("340", "the high cutoff in psi"),  # 23.4 bar
        ("270", "the expected band in MPa"),  # 150 to 190 bar
        ("290", "the high cutoff in psi or the expected band in MPa"),  # 20 bar, or the band
    ],
)
def test_units_in_which_cutoff_and_band_go_together(high: str, text: str) -> None:
    hint = usual_high(subject(high=high, **WIDE))
    assert hint.text == f" With {text} it would be usual: that unit may have been meant."
    assert hint.confidence is Confidence.POSSIBLE
    assert hint.suggestions[0].meant_unit in ("psi", "MPa")
    assert len(hint.data.get("rivals", ())) == text.count(" or ")


@pytest.mark.parametrize(
    "values",
    [
        {"high": "110", **WIDE},  # under six times
        {"high": "180", **WIDE},  # no unit makes it usual
        {"high": "400", **WIDE},  # an untouched default, and no unit of the band fits
    ],
)
def test_no_hint(values: dict[str, str]) -> None:
    hint = usual_high(subject(**values))
    assert (hint.text, hint.suggestions, hint.confidence) == ("", (), Confidence.CERTAIN)


def test_a_band_that_is_as_predicted_is_not_doubted() -> None:
    assert usual_high(subject(high="270", **WIDE)).text
    assert not usual_high(subject(Predicted(14, 18, 24), high="270", **WIDE)).text


def test_a_low_cutoff_that_would_follow_the_method_or_be_weak() -> None:
    follows = usual_low(subject(low="0.5", expected_low="12"))
    assert "the low cutoff in MPa" in follows.text
    assert usual_low(subject(low="2")).text == (
        " With the low cutoff in MPa it would be usual: that unit may have been meant."
    )
    assert not usual_low(subject(low="3000", high="0")).text


def test_nothing_is_added_where_the_search_has_an_answer() -> None:
    slipped = {"expected_low": "1740", "expected_high": "2900"}
    assert not usual_low(subject(**slipped)).text
