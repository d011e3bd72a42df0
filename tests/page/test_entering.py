"""May a number be typed: the same answer, in the same words, as the command gives."""

from __future__ import annotations

import re

import pytest

from limitcheck.units import Pressure, show

from .commands import TEA, command, document
from .conftest import EXAMPLES
from .server import Client


@pytest.mark.parametrize(
    ("value", "field"),
    [
        ("35", "high"),
        ("400", "high"),
        ("900", "high"),
        ("125", "low"),
        ("300", "low"),
        ("0", "low"),
    ],
)
def test_entry_says_what_the_command_says(
    page: Client, capsys: pytest.CaptureFixture[str], value: str, field: str
) -> None:
    answer = page.get("/entry", profile=TEA, value=value, field=field)
    options = ["--profile", str(EXAMPLES / TEA), *(["--low"] if field == "low" else [])]
    told = document(capsys, "entry", value, *options)
    verdict = "may be typed" if told["may_be_typed"] else "do not type it"
    assert f"{value} bar as the {field} cutoff: {verdict}." in answer.words
    for finding in told["findings"]:
        assert finding["message"] in answer.words
    if not told["may_be_typed"]:
        assert f"{field} = {told['recommendation']['enter']}" in answer.words
    assert show(Pressure.of(value, "bar"), "psi") in answer.words
    assert 'role="img"' in answer.text
    assert (f"{field} cutoff {value} bar" in answer.text) == (value != "0")


@pytest.mark.parametrize(
    ("value", "unit"),
    [
        ("1,500", ""),
        ("6,000", "psi"),
        ("35", "psi"),
        ("400 mPa", ""),
        ("35 bar", "psi"),
        ("", ""),
        ("nan", ""),
        ("-5", ""),
        ("3e99999999", ""),
        ("9" * 5000, ""),
        ("<b>35</b>", ""),
        ("35", "mpa"),
    ],
)
def test_what_is_ambiguous_is_refused_beside_the_field(page: Client, value: str, unit: str) -> None:
    answer = page.get("/entry", profile=TEA, value=value, unit=unit)
    assert answer.status == 200
    assert "Not answered yet" in answer.words
    assert "may be typed." not in answer.words
    field = re.search(r'<input id="value"[^>]*>', answer.text)
    assert field is not None
    assert 'aria-invalid="true"' in field[0]
    assert "value-wrong" in field[0]
    assert 'id="value-wrong"' in answer.text
    assert "<b>" not in answer.text


def test_refusals_have_the_words_of_the_command(
    page: Client, capsys: pytest.CaptureFixture[str]
) -> None:
    for value in ("1,500", "280-300", "400 mPa", "abc"):
        told = command(capsys, "entry", value, "--profile", str(EXAMPLES / TEA))
        message, advice = told.split(" Do: ")
        answer = page.get("/entry", profile=TEA, value=value)
        assert message in answer.words
        assert advice in answer.words


def test_the_unit_on_the_display_is_compared_with_the_profile(page: Client) -> None:
    answer = page.get("/entry", profile=TEA, value="400", unit="bar")
    assert "400 bar as the high cutoff: may be typed." in answer.words
    same = page.get("/entry", profile=TEA, value="400 bar", unit="bar")
    assert "400 bar as the high cutoff: may be typed." in same.words
    other = page.get("/entry", profile=TEA, value="400", unit="psi")
    assert "the display shows psi, and the profile says bar" in other.words
    assert "may be typed" not in other.words


def test_a_number_with_another_unit_is_converted(page: Client) -> None:
    answer = page.get("/entry", profile=TEA, value="5700 psi", unit="bar")
    assert "5700 psi as the high cutoff: type 393 bar." in answer.words
    assert "high = 393 (bar)" in answer.words
