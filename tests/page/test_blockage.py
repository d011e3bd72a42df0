"""Find the blockage: the steps of `limitcheck isolate`, one reading at a time, with cautions."""

from __future__ import annotations

import re
import tomllib
from html import unescape
from pathlib import Path
from urllib.parse import urlencode

import pytest

from limitcheck.cli.app import run
from limitcheck.documents.cautions import CAUTIONS
from tests.profiles_for_tests import WITH_GEOMETRY

from .conftest import EXAMPLES
from .server import Answer, Client, served

TEA = "transfer/kestrel-bay.toml"
TODAY = tomllib.loads((EXAMPLES / "logs/kestrel-bay-today.toml").read_text())


def hidden(answer: Answer) -> dict[str, str]:
    """What the form of the step carries along."""
    found = re.findall(r'<input type="hidden" name="([^"]*)" value="([^"]*)">', answer.text)
    return {unescape(name): unescape(value) for name, value in found}


def asked(answer: Answer) -> str:
    """The step that is asked for; empty where none is left."""
    found = re.findall(r'name="read\.([^"]*)" value="[^"]*" autocomplete', answer.text)
    assert len(found) <= 1
    return found[0] if found else ""


def walk(page: Client, readings: dict[str, str], **start: str) -> tuple[list[str], Answer]:
    """Give the reading of each step that is asked for, else skip it: the steps, the last screen."""
    answer, order = page.get("/blockage", profile=TEA, **start), []
    while (step := asked(answer)) and len(order) < 20:
        order.append(step)
        assert CAUTIONS["zero-pressure"] in answer.words
        assert CAUTIONS["eye-protection"] in answer.words
        assert CAUTIONS["solvents"] in answer.words
        assert CAUTIONS["who-decides"] in answer.words
        first = answer.words.index(CAUTIONS["zero-pressure"])
        assert first < answer.words.index("Pressure read, in bar")
        given = {f"read.{step}": readings[step]} if step in readings else {}
        skipped = {} if given else {f"skip.{step}": "yes", f"read.{step}": ""}
        answer = page.get("/blockage", **{**start, **hidden(answer), **given, **skipped})
    return order, answer


def command(capsys: pytest.CaptureFixture[str], *arguments: str) -> str:
    run(["isolate", str(EXAMPLES / TEA), *arguments])
    captured = capsys.readouterr()
    return " ".join((captured.out + captured.err).split())


def test_step_by_step_to_the_answer_of_the_command(
    page: Client, capsys: pytest.CaptureFixture[str]
) -> None:
    readings = {step: str(value) for step, value in TODAY["readings"].items()}
    normal = {f"normal.{step}": str(value) for step, value in TODAY["normal"].items()}
    order, answer = walk(page, readings, **normal)
    assert order[:3] == ["all", "column-outlet", "column-inlet"]
    assert "the restriction is in the column" in answer.words.lower()
    assert asked(answer) == ""
    answer = page.get(
        "/blockage", profile=TEA, **normal, **{f"read.{s}": readings[s] for s in readings}
    )
    told = command(capsys, "--file", str(EXAMPLES / "logs/kestrel-bay-today.toml"))
    assert "the restriction is in the column (86.8 bar above normal)." in told
    assert "The restriction is in the column (86.8 bar above normal)." in answer.words
    assert "65.9 to 108" in answer.words
    advice = told[told.index("in this order") : told.index("When it is done")]
    steps = re.split(r" \d\. ", advice)[1:]
    assert len(steps) > 2
    assert all(step.strip() in answer.words for step in steps)
    for step, value in readings.items():
        assert f"{step} {value} bar" in answer.words


def test_the_order_is_that_of_the_command_that_asks(
    page: Client, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    given: list[str] = []

    def answers() -> str:
        given.append("")
        return "\n"

    monkeypatch.setattr("limitcheck.cli.streams.ask", answers)
    told = command(capsys, "--ask")
    plan = re.findall(r"(?:^| )([a-z-]+): Flow off, display at zero\.", told)[: len(given)]
    order, answer = walk(page, {})
    assert order == plan
    assert len(order) == len(given) > 4
    assert "No step is left" in answer.words


def test_one_reading_of_many_is_corrected(page: Client) -> None:
    readings = {"read.all": "368", "read.column-outlet": "3", "read.column-inlet": "14"}
    answer = page.get("/blockage", profile=TEA, **readings)
    (link,) = re.findall(r'href="([^"]*)">Correct<span class="unseen"> column-outlet', answer.text)
    again = page.ask(unescape(link))
    assert asked(again) == "column-outlet"
    assert 'value="3" autocomplete' in again.text
    kept = hidden(again)
    assert kept["read.all"] == "368"
    assert kept["read.column-inlet"] == "14"
    assert "read.column-outlet" not in kept
    mended = page.get("/blockage", **{**kept, "read.column-outlet": "366"})
    assert "column-outlet 366 bar" in mended.words


def test_a_step_that_was_skipped_can_be_read_later(page: Client) -> None:
    answer = page.get("/blockage", profile=TEA, **{"skip.all": "yes", "step": "all"})
    assert asked(answer) == "column-outlet"
    (link,) = re.findall(r'href="([^"]*)">all</a>', answer.text)
    back = page.ask(unescape(link))
    assert asked(back) == "all"
    assert "skip.all" not in hidden(back)


@pytest.mark.parametrize(
    ("fields", "message", "step"),
    [
        ({"step": "all", "read.all": "1,500"}, "has a comma", "all"),
        ({"step": "all", "read.all": ""}, "no pressure is typed", "all"),
        (
            {"read.all": "368", "step": "column-inlet", "read.column-inlet": "4000"},
            "above the rating of the pump",
            "column-inlet",
        ),
        ({"read.nowhere": "14"}, '"nowhere" is not a step of this flow path', "all"),
        ({"normal.all": "x"}, "is not a pressure", "all"),
        ({"flow": "fast"}, "flow", "all"),
    ],
)
def test_what_cannot_be_used_is_said_and_asked_again(
    page: Client, fields: dict[str, str], message: str, step: str
) -> None:
    answer = page.get("/blockage", profile=TEA, **fields)
    assert answer.status == 200
    assert message in answer.words
    assert "Not answered yet" in answer.words
    assert asked(answer) == step


def test_no_state_is_kept_beside_the_address(page: Client) -> None:
    page.get("/blockage", profile=TEA, **{"read.all": "368"})
    assert "Nothing yet." in page.get("/blockage", profile=TEA).words
    address = f"/blockage?{urlencode({'profile': TEA, 'read.all': '368'})}"
    assert page.ask(address).text == page.ask(address).text


def test_a_gradient_is_read_at_its_starting_composition() -> None:
    with served(EXAMPLES.parent / "profiles") as other:
        name = "gradient-water-methanol.toml"
        told = other.get("/reading", profile=name, pressure="300")
        assert "read.all" not in told.text
        answer = other.get("/blockage", profile=name)
        assert "read every step at its starting composition" in answer.words
    with served(EXAMPLES) as isocratic:
        assert "starting composition" not in isocratic.get("/blockage", profile=TEA).words


@pytest.mark.parametrize(
    ("read", "told"),
    [
        ("300", "stop the flow: 300 bar is at or above the high cutoff, 280 bar."),
        ("280", "stop the flow: 280 bar is at or above the high cutoff, 280 bar."),
        ("28.5 MPa", "stop the flow: 285 bar is at or above the high cutoff, 280 bar."),
        ("0", "open nothing: with everything connected the display shows zero."),
    ],
)
def test_a_first_reading_over_a_limit_opens_nothing(page: Client, read: str, told: str) -> None:
    """Attack on issue 18, 14: the next step was to open the column, without a word."""
    fields = {"profile": "units/kestrel-bay.toml", "step": "all", "read.all": read}
    for more in ({}, {"ask": "column-outlet"}, {"skip.column-outlet": "yes"}):
        answer = page.get("/blockage", **fields, **more)
        assert told in answer.words
        assert asked(answer) == "all"
        assert "pen the outlet of the column" not in answer.words
        assert answer.words.index(told) < answer.words.index(CAUTIONS["zero-pressure"])
        assert "Skip this step" not in answer.words  # that would forget the reading
        assert "as the method runs" not in answer.words
        assert "<details open>" in answer.text  # with the field of the flow
    lower = page.get("/blockage", **(fields | {"read.all": "100", "flow": "0.4 mL/min"}))
    assert asked(lower) == "column-outlet"


@pytest.mark.parametrize("read", ["-5", "2000"])
def test_a_reading_that_cannot_be_leads_to_no_opening(page: Client, read: str) -> None:
    answer = page.get("/blockage", **{"profile": TEA, "step": "all", "read.all": read})
    assert asked(answer) == "all"
    assert "Not understood" in answer.words


def test_what_comes_first_is_said_at_every_step(page: Client) -> None:
    """Where a reading over the limit is one of several, and where the cell holds too little."""
    fields = {"profile": TEA, "read.all": "330", "read.column-outlet": "450"}
    answer = page.get("/blockage", **fields)
    assert "stop the flow: 450 bar" in answer.words
    assert asked(answer) in ("all", "column-outlet")
    corrected = page.get("/blockage", **fields, ask="column-outlet")
    assert asked(corrected) == "column-outlet"


def test_a_normal_that_cannot_be_is_said_at_its_field_and_the_reading_is_kept(page: Client) -> None:
    given = {"normal.all": "9999", "read.all": "160", "step": "all"}
    answer = page.get("/blockage", profile=TEA, **given)
    assert "all: 9999 bar is above the rating of the pump" in answer.words
    assert "Nothing yet" not in answer.words
    right = page.get("/blockage", profile=TEA, **{**given, "normal.all": "158"})
    assert "above the rating" not in right.words


@pytest.mark.parametrize(
    "band", [("145", "430"), ("2100", "2500"), ("14.5", "17.2")], ids=["wide", "psi", "MPa"]
)
@pytest.mark.parametrize("bar", ["31", "160", "250"])
def test_of_a_band_in_doubt_no_screen_says_where_a_pressure_lies(
    tmp_path: Path, band: tuple[str, str], bar: str
) -> None:
    doubted = WITH_GEOMETRY.replace("low = 145", f"low = {band[0]}")
    doubted = doubted.replace("high = 172", f"high = {band[1]}")
    (tmp_path / "tea.toml").write_text(doubted, "utf-8")
    with served(tmp_path) as page:
        reading = page.get("/reading", profile="tea.toml", pressure=bar)
        blockage = page.get("/blockage", profile="tea.toml", **{"read.all": bar, "step": "all"})
    for answer in (reading, blockage):
        assert "told from normal" in answer.words
        assert "in doubt" in answer.words
        for word in ("is normal", "above normal", "below normal", "leak, air in the pump"):
            assert word not in answer.words
