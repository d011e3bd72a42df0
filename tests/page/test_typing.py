"""Answers while somebody types, in headless Chromium: the same as by the button, no focus lost."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest

from ..browser.run import run_script
from .server import Client

ANSWERS = {
    "entry: 35": "35 bar as the high cutoff: do not type it.",
    "entry: 400": "400 bar as the high cutoff: may be typed.",
    "entry: 250 bar": "250 bar as the high cutoff: do not type it.",
    "entry: 1,500": "Not answered yet",
    "convert: 6000 psi": "6000 psi is:",
    "convert: 41 MPa": "41 MPa is:",
    "filter: tea-031": "7 shown of 21 profiles",
    "filter: clean": "1 shown of 21 profiles",
    "filter: nothing of this": "0 shown of 21 profiles",
}


@pytest.fixture(scope="module")
def typed(page: Client, tmp_path_factory: pytest.TempPathFactory) -> dict[str, Any]:
    folder: Path = tmp_path_factory.mktemp("typing")
    return run_script("typing.mjs", str(folder), f"http://{page.host}/?key={page.key}")


def test_the_answer_is_shown_and_told(typed: dict[str, Any]) -> None:
    assert list(typed["screens"]) == list(ANSWERS)
    for name, screen in typed["screens"].items():
        assert ANSWERS[name] in screen["main"], name
        assert ANSWERS[name] in screen["said"], name


def test_the_field_keeps_focus_text_and_caret(typed: dict[str, Any]) -> None:
    labels = {"entry": "Number", "convert": "Pressure with its unit", "filter": "Method or file"}
    for name, screen in typed["screens"].items():
        which, text = name.split(": ")
        assert screen["focus"] == labels[which]
        assert screen["typed"] == text
        assert screen["caret"] == len(text)


def test_the_address_is_that_of_the_answer(page: Client, typed: dict[str, Any]) -> None:
    for name, screen in typed["screens"].items():
        assert ANSWERS[name] in page.ask(screen["url"]).words
        assert ("profile=transfer%2Fkestrel-bay.toml" in screen["url"]) == ("entry" in name)


def test_what_is_wrong_stands_at_the_field_and_goes_again(typed: dict[str, Any]) -> None:
    for name, screen in typed["screens"].items():
        refused = name == "entry: 1,500"
        assert screen["invalid"] == ("true" if refused else None)
        assert ("has a comma" in screen["wrong"]) == refused


def test_older_questions_are_given_up(typed: dict[str, Any]) -> None:
    assert typed["asked"][-1] == "400000"
    assert len(typed["asked"]) < 4


def test_an_empty_field_asks_nothing(typed: dict[str, Any]) -> None:
    assert "cutoff:" not in typed["emptied"]["main"]
    assert typed["emptied"]["said"] == ""
    assert typed["emptied"]["focus"] == "Number"


def test_an_emptied_field_leaves_nothing_of_the_old_answer(
    page: Client, typed: dict[str, Any]
) -> None:
    """Attack on issue 18, 21: title and address kept it, and a reload brought it back."""
    emptied = typed["emptied"]
    assert emptied["title"] == "Type a number - limitcheck"
    assert "400000" not in emptied["url"]
    assert "profile=transfer%2Fkestrel-bay.toml" in emptied["url"]
    again = page.ask(emptied["url"])
    assert "cutoff:" not in again.words
    assert "Not answered yet" not in again.words


def test_an_old_answer_never_stands_as_if_it_were_the_new_one(typed: dict[str, Any]) -> None:
    """Attack on issue 18, 9 and 10: the old answer at full strength beside changed fields."""
    waiting = typed["waiting"]
    assert set(waiting) >= {"entry", "convert", "filter", "reading", "transfer"}
    for name, seen in waiting.items():
        if name.endswith((" before", " after")):
            assert seen == {"told": "", "opacity": 1}, name
        else:
            by_button = name in ("reading", "transfer")
            told = "The fields have changed" if by_button else "Checking …"
            assert seen["told"].startswith(told), name
            assert seen["opacity"] < 0.5, name


def test_where_nobody_answers_it_is_said(typed: dict[str, Any]) -> None:
    assert "is limitcheck page still running?" in typed["gone"]["main"]
    assert "is limitcheck page still running?" in typed["gone"]["said"]


def test_no_error_and_no_refused_policy(typed: dict[str, Any]) -> None:
    assert [line for line in typed["told"] if "ERR_FAILED" not in line] == []


def test_grades_can_be_read_on_paper(typed: dict[str, Any]) -> None:
    """Attack on issue 18, 29: pale words for a background that is not printed."""
    assert len(typed["printed"]) == 21
    for style in typed["printed"]:
        red, green, blue = map(int, re.findall(r"[0-9]+", style["color"])[:3])
        assert style["background"] == "rgba(0, 0, 0, 0)"
        assert 0.2126 * red + 0.7152 * green + 0.0722 * blue < 100
