"""Today's pressure: the same answer, in the same words, as the command gives."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from ..profiles_for_tests import text
from .commands import TEA, document
from .conftest import EXAMPLES
from .server import Client, served


@pytest.mark.parametrize("pressure", ["286", "368", "5300 psi", "60", "650"])
def test_reading_says_what_the_command_says(
    page: Client, capsys: pytest.CaptureFixture[str], pressure: str
) -> None:
    answer = page.get("/reading", profile=TEA, pressure=pressure)
    told = document(capsys, "reading", pressure, "--profile", str(EXAMPLES / TEA))
    assert told["position"] in answer.words.lower()
    if told["first_act"]:
        assert answer.words.index(told["first_act"]) < answer.words.index(told["position"])
    for cause in told["causes"]:
        assert cause["description"] in answer.words
        assert cause["test"].partition("limitcheck")[0].strip() in answer.words
        assert cause["source"].partition(";")[0] in answer.words
    for caution in told["cautions"]:
        assert caution in answer.words
    onward = re.findall(r'href="(/blockage[^"]*)"', answer.text)[-1]
    assert "368" not in pressure or "read.all=368" in onward


def test_a_reading_under_other_conditions(page: Client) -> None:
    answer = page.get("/reading", profile=TEA, pressure="150", flow="0.6 mL/min")
    assert "150 bar at flow=0.6 mL/min" in answer.words
    assert "150 bar at flow=0.6 mL/min is normal for" in answer.words
    wrong = page.get(
        "/reading",
        profile=TEA,
        pressure="150",
        flow="1,200 mL/min",
        temperature="x",
        **{"percent-b": "120"},
    )
    assert wrong.text.count('aria-invalid="true"') == 3
    assert "flow: " in wrong.words
    assert "Find the blockage, step by step" not in wrong.words
    assert "<details open>" in wrong.text


def test_what_else_was_seen_moves_the_causes(page: Client) -> None:
    asked = {"came": "at-an-injection", "since": "yesterday", "after": "new samples", "leak": "no"}
    answer = page.get("/reading", profile=TEA, pressure="368", swing="9", period="1.2", **asked)
    assert "comes at an injection" in answer.words
    assert "--" not in answer.words
    assert "It swings by 9 bar" in answer.words
    assert "<option selected>at-an-injection</option>" in answer.text
    wrong = page.get(
        "/reading", profile=TEA, pressure="368", swing="x", period="y", came="fast", since="z",
        after="lunch", leak="perhaps",
    )  # fmt: skip
    assert wrong.text.count('aria-invalid="true"') == 6
    assert "Find the blockage, step by step" not in wrong.words


def test_conditions_that_cannot_be_worked_out_are_said(tmp_path: Path) -> None:
    (tmp_path / "tea.toml").write_text(text())
    with served(tmp_path) as page:
        answer = page.get("/reading", profile="tea.toml", pressure="150", flow="0.6 mL/min")
        assert "Not answered yet" in answer.words
        assert "complete the profile's [conditions]" in answer.words
        told = page.get("/reading", profile="tea.toml", pressure="150")
        assert "Find the blockage, step by step" in told.words
