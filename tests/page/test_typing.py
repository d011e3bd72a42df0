"""Answers while somebody types, in headless Chromium: the same as by the button, no focus lost."""

from __future__ import annotations

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


def test_where_nobody_answers_it_is_said(typed: dict[str, Any]) -> None:
    assert "is limitcheck page still running?" in typed["gone"]["main"]
    assert "is limitcheck page still running?" in typed["gone"]["said"]


def test_no_error_and_no_refused_policy(typed: dict[str, Any]) -> None:
    assert [line for line in typed["told"] if "ERR_FAILED" not in line] == []
