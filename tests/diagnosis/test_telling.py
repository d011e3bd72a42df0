"""What the person at the instrument tells, and how it moves the order of the causes.

How causes come: common practice, no source.
"""

from __future__ import annotations

from datetime import date
from math import inf

import pytest

from limitcheck.diagnosis.reading import Reading, read
from limitcheck.diagnosis.telling import AFTER, CAME, Told, days_since, one_of
from limitcheck.errors import Refused
from limitcheck.units import Pressure
from tests.profiles_for_tests import WITH_GEOMETRY, with_geometry

TODAY = date(2026, 11, 26)


def take(text: str, told: Told | None = None, of: str = WITH_GEOMETRY) -> Reading:
    return read(with_geometry(of).profile, Pressure.parse(text), told=told, in_doubt=False)


def place(reading: Reading, name: str) -> int:
    return [cause.name for cause in reading.causes].index(name)


@pytest.mark.parametrize(
    ("text", "days"),
    [
        ("2 weeks", 14),
        ("2weeks", 14),
        ("1 day", 1),
        ("36 hours", 1.5),
        ("2026-11-12", 14),
        ("2026-11-26", 0),
        ("today", 0),
        ("Yesterday", 1),
        ("always", inf),
    ],
)
def test_since(text: str, days: float) -> None:
    assert days_since(text, TODAY, "--since") == pytest.approx(days)


@pytest.mark.parametrize(
    "text", ["", "2", "weeks", "2026-11-27", "12.11.2026", "-1 day", "1e3 days"]
)
def test_since_that_is_no_time(text: str) -> None:
    with pytest.raises(Refused, match="--since") as refused:
        days_since(text, TODAY, "--since")
    assert refused.value.advice


@pytest.mark.parametrize("choices", [CAME, AFTER])
def test_choices_are_read_with_blanks_or_hyphens(choices: tuple[str, ...]) -> None:
    for choice in choices:
        for typed in (choice, choice.replace(" ", "-"), choice.replace("-", " ").upper()):
            assert one_of(typed, choices, "--came") == choice
    with pytest.raises(Refused, match="--came") as refused:
        one_of("fast", choices, "--came")
    assert choices[0] in refused.value.advice


@pytest.mark.parametrize(
    ("told", "reading", "earlier", "later"),
    [
        (Told(came="at-an-injection"), "286 bar", "needle-seat-blocked", "outlet-blocked"),
        (Told(came="slowly"), "286 bar", "inlet-frit-blocked", "needle-seat-blocked"),
        (Told(after="column change"), "255 bar", "longer-column", "other-flow"),
        (Told(after="new solvent"), "230 bar", "solvent-b-is-methanol", "flow-doubled"),
        (Told(leak_seen=True), "110 bar", "leak", "air-in-pump-head"),
        (Told(leak_seen=False), "110 bar", "air-in-pump-head", "leak"),
        (Told(since=21.0), "110 bar", "leak", "air-in-pump-head"),
        (Told(since=inf), "286 bar", "other-flow", "needle-seat-blocked"),
    ],
)
def test_an_answer_moves_the_order(told: Told, reading: str, earlier: str, later: str) -> None:
    found = take(reading, told)
    assert place(found, earlier) < place(found, later)
    assert any(ranked.spoken != ((), ()) for ranked in found.ranking)


def test_an_answer_rules_nothing_out_and_changes_no_fit() -> None:
    without = {cause.name: cause.fit for cause in take("110 bar").causes}
    told = Told("at-start-up", 21.0, "maintenance", leak_seen=False)
    assert {cause.name: cause.fit for cause in take("110 bar", told).causes} == without


def test_the_reasons_are_in_words() -> None:
    found = take("286 bar", Told(came="slowly", after="nothing"))
    reasons = {r.cause.name: r.reasons for r in found.ranking}
    assert reasons["inlet-frit-blocked"] == ("fits best", "often seen", "comes slowly")
    assert "but seldom comes slowly" in reasons["needle-seat-blocked"]


def test_what_is_answered_is_not_asked() -> None:
    options = {question.option for question in take("110 bar").questions}
    assert options == {"--came", "--after", "--swing", "--leak-seen", "--since"}
    told = Told("slowly", 21.0, "nothing", leak_seen=False)
    assert {question.option for question in take("110 bar", told).questions} == {"--swing"}


def test_only_what_tells_the_causes_apart_is_asked() -> None:
    options = {question.option for question in take("286 bar").questions}
    assert "--leak-seen" not in options
    assert take("900 bar").questions == ()
