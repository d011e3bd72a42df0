"""A day typed into the form is written as a date, anything else as the text that it is."""

from __future__ import annotations

from typing import Any

import pytest

from limitcheck.page.draft import DAY, Change, changed
from limitcheck.page.form_fields import field_of, marks_of
from limitcheck.profile.load import load_bytes
from limitcheck.profile.measured import MeasuredPair
from limitcheck.profile.text import UnreadableProfile
from tests.profiles_for_tests import TEXT

PAIR = '[[measured]]\nflow = "1 mL/min"\npressure = "150 bar"\n'
PATH = ("measured", 0, "day")


def with_day(typed: str) -> str:
    return changed(TEXT + PAIR, [Change(PATH, DAY, typed)]).text


def test_a_day_is_written_as_one() -> None:
    text = with_day("2026-11-27")
    assert text == TEXT + PAIR + "day = 2026-11-27\n"
    assert str(load_bytes(text.encode(), "tea.toml").profile.measured[0].day) == "2026-11-27"


@pytest.mark.parametrize("typed", ["27.11.2026", "2026-13-01", "yesterday"])
def test_what_is_no_day_is_refused_with_what_to_write(typed: str) -> None:
    with pytest.raises(UnreadableProfile, match="date"):
        load_bytes(with_day(typed).encode(), "tea.toml")


def test_a_day_that_no_month_has_is_not_written() -> None:
    outcome = changed(TEXT + PAIR, [Change(PATH, DAY, "2026-02-31")])
    assert outcome.text == TEXT + PAIR
    assert outcome.refused[PATH].typed == "2026-02-31"


def test_the_form_asks_for_a_day() -> None:
    marks: Any = marks_of(MeasuredPair.model_fields["day"])
    given = {"required": False, "part": "", "unit": "bar", "held": ""}
    field = field_of(PATH, marks, "", table="MeasuredPair", **given)  # type: ignore[arg-type]
    assert (field.kind, field.label) == (DAY, "Day it was read")
    assert "As in 2026-11-27." in field.help
