"""Which cutoff was mistaken is told with the worst of what was found of it."""

from __future__ import annotations

import pytest

from limitcheck.checking.proposed import mistaken_cutoffs
from limitcheck.documents.parts import wrong_at
from limitcheck.findings import Confidence, Finding, Recommendation, Severity

HIGH = ("cutoffs", "high")


@pytest.mark.parametrize("turned", [False, True])
def test_the_worst_finding_is_told(turned: bool) -> None:
    found = [
        Finding(Severity.WARNING, "finer", "round it", check="entry-not-storable", path=HIGH),
        Finding(Severity.ERROR, "above", "lower it", check="high-cutoff-above-rating", path=HIGH),
        Finding(Severity.NOTE, "wide", "look", check="high-cutoff-margin-wide", path=HIGH),
    ]
    meant = Recommendation(HIGH, "280", "bar", "slip", Confidence.CERTAIN)
    (told,) = mistaken_cutoffs(reversed(found) if turned else found, [meant])
    assert told == "its own high cutoff (error: high-cutoff-above-rating); 280 bar was meant"


def test_beside_a_number_the_worst_is_told_first() -> None:
    found = [
        Finding(Severity.NOTE, "wide", "look", check="high-cutoff-margin-wide", path=HIGH),
        Finding(Severity.ERROR, "above", "lower it", check="high-cutoff-above-rating", path=HIGH),
        Finding(Severity.WARNING, "finer", "round it", check="entry-not-storable", path=HIGH),
    ]
    told = "error: high-cutoff-above-rating; warning: entry-not-storable; "
    assert wrong_at(found) == {HIGH: f"{told}note: high-cutoff-margin-wide"}
