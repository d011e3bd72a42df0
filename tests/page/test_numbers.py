"""Convert, and a log of past pressures: the same answers as `convert` and `baseline` give."""

from __future__ import annotations

import json
import re
from typing import Any

import pytest

from limitcheck.cli.app import run
from limitcheck.page.guard import LARGEST_BODY, LARGEST_LOG

from .conftest import EXAMPLES
from .server import Client

TEA = "transfer/kestrel-bay.toml"
LOGS = EXAMPLES / "logs"


def document(capsys: pytest.CaptureFixture[str], *arguments: str) -> Any:
    run([*arguments, "--format", "json"])
    return json.loads(capsys.readouterr().out)


@pytest.mark.parametrize("pressure", ["6000 psi", "41.4 MPa", "0.4 N/mm2", "1 atm", "100 kgf/cm2"])
@pytest.mark.parametrize("to", ["", "bar", "MPa", "mmHg"])
def test_convert_says_what_the_command_says(
    page: Client, capsys: pytest.CaptureFixture[str], pressure: str, to: str
) -> None:
    answer = page.get("/convert", pressure=pressure, to=to)
    told = document(capsys, "convert", *pressure.split(), *(["--to", to] if to else []))
    assert told["conversions"]
    for found in told["conversions"]:
        shown = re.sub(r"/.*", "", found["value"])
        assert shown[:6] in answer.words or "/" in found["value"]
        assert found["unit"] in answer.words


def test_against_a_published_factor(page: Client) -> None:
    """1 psi is 6894.757 Pa (NIST Special Publication 811, 2008, appendix B.8)."""
    shown = page.get("/convert", pressure="1 psi", to="Pa").words
    assert re.search(r"1 psi = about 6894\.757\d* Pa", shown)


@pytest.mark.parametrize(("field", "number"), [("high", "413"), ("low", "414")])
def test_a_cutoff_is_rounded_the_safe_way(page: Client, field: str, number: str) -> None:
    answer = page.get("/convert", pressure="6000 psi", to="bar", step="", **{"as": field})
    assert f"6000 psi as a {field} cutoff" in answer.words
    assert f"{field} = {number} (bar)" in answer.words
    fine = page.get("/convert", pressure="6000 psi", to="bar", step="0.5", **{"as": field})
    assert f"{field} = {'413.5' if field == 'high' else '414'} (bar)" in fine.words


@pytest.mark.parametrize(
    ("fields", "field", "message"),
    [
        ({"pressure": ""}, "pressure", "empty"),
        ({"pressure": "6000"}, "pressure", "has no unit"),
        ({"pressure": "400 mPa", "to": "bar"}, "pressure", "mPa"),
        ({"pressure": "6000 psi", "to": "lunch"}, "to", "not a known unit of pressure"),
        ({"pressure": "6000 psi", "step": "5"}, "step", "a step is of one unit"),
        ({"pressure": "6000 psi", "to": "bar", "as": "high", "step": "x"}, "step", "x"),
        ({"pressure": "0 psi", "to": "bar", "as": "high"}, "to", "stops nothing"),
    ],
)
def test_what_cannot_be_converted_is_said_beside_its_field(
    page: Client, fields: dict[str, str], field: str, message: str
) -> None:
    answer = page.get("/convert", **fields)
    assert answer.status == 200
    assert f'id="{field}-wrong"' in answer.text
    assert message in answer.words
    assert "Not answered yet" in answer.words


@pytest.mark.parametrize("name", ["kestrel-bay-tea.csv", "harrow-mill-tea.csv"])
def test_a_log_says_what_the_command_says(
    page: Client, capsys: pytest.CaptureFixture[str], name: str
) -> None:
    answer = page.give((LOGS / name).read_bytes(), name, f"/reading?profile={TEA}")
    run(["baseline", str(LOGS / name), "--profile", str(EXAMPLES / TEA)])
    told = " ".join(capsys.readouterr().out.split())
    verdict = told[: told.index(". ")].replace(str(LOGS / name), name)
    assert "not steady" in verdict
    assert verdict in answer.words
    assert answer.text.count('role="img"') >= 1
    assert 'aria-label="' in answer.text
    assert "(transfer/kestrel-bay.toml)" in answer.words


def test_the_fields_say_how_a_log_is_written(page: Client) -> None:
    log = b"date;time;P\n" + b"".join(
        b"0%d/02/2026;09:00;28%d,5\n" % (day, day % 3) for day in range(1, 10)
    )
    asked = page.give(log, "odd.csv", f"/reading?profile={TEA}")
    assert 'choose one: the field “Which column is what” : pressure="..."' in asked.words
    assert "--" not in asked.words
    assert "<details open>" in asked.text
    fields = {"dates": "day-first", "use": "pressure=P", "decimal": "comma"}
    answer = page.give(log, "odd.csv", f"/reading?profile={TEA}", **fields)
    assert "Not answered yet" not in answer.words
    assert "odd.csv" in answer.words
    assert "9 readings" in answer.words
    for field, value in {"dates": "sideways", "from": "lunch", "unit": "mPa", "use": "x"}.items():
        wrong = page.give(log, "odd.csv", f"/reading?profile={TEA}", **{**fields, field: value})
        assert wrong.status == 200
        assert "Not answered yet" in wrong.words


@pytest.mark.parametrize("content", [b"", b"\x00\xff\xfe", b"a,b\n1,2\n", b"time,pressure\n"])
def test_what_is_no_log_is_said(page: Client, content: bytes) -> None:
    answer = page.give(content, "odd.csv", "/reading")
    assert answer.status == 200
    assert "odd.csv:" in answer.words
    assert "Not answered yet" in answer.words


def test_a_log_may_be_longer_than_a_profile_but_not_of_any_length(page: Client) -> None:
    row = b"2026-01-12 08:40,282\n"
    log = b"time,pressure (bar)\n" + row * (LARGEST_BODY // len(row) + 100)
    assert page.give(log, "long.csv", "/reading").status == 200
    answer = page.give(log + row * (LARGEST_LOG // len(row)), "long.csv", "/reading")
    assert answer.status == 413
    assert "limitcheck baseline in a terminal: it reads any length" in answer.words
