"""The tasks: the same answers, in the same words, as the commands give."""

from __future__ import annotations

import base64
import hashlib
import json
import re
import time
import tomllib
from pathlib import Path
from typing import Any
from urllib.parse import quote, urlencode

import pytest

from limitcheck.cli.app import run
from limitcheck.page.guard import FIXED
from limitcheck.units import Pressure, show

from ..profiles_for_tests import text
from .conftest import EXAMPLES
from .server import Client, served
from .test_guard import OURS

TEA = "transfer/kestrel-bay.toml"
COPIED = "transfer/harrow-mill-copied.toml"
TODAY = tomllib.loads((EXAMPLES / "logs/kestrel-bay-today.toml").read_text())


def command(capsys: pytest.CaptureFixture[str], *arguments: str) -> str:
    """What a command prints, without its line breaks."""
    run(arguments)
    captured = capsys.readouterr()
    return " ".join((captured.out + captured.err).split())


def document(capsys: pytest.CaptureFixture[str], *arguments: str) -> Any:
    """What a command prints as JSON."""
    run([*arguments, "--format", "json"])
    return json.loads(capsys.readouterr().out)


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


def test_without_a_profile_one_is_asked_for(page: Client) -> None:
    for path, fields in (
        ("/entry", {"value": "35", "profile": ""}),
        ("/profile", {"profile": ""}),
        ("/transfer", {"profile": TEA, "to": ""}),
        ("/reading", {"pressure": "300"}),
    ):
        answer = page.get(path, **fields)
        assert "no profile is chosen" in answer.words
        assert 'aria-invalid="true"' in answer.text


@pytest.mark.parametrize(
    "name", [TEA, COPIED, "cutoffs/over-rating.toml", "cutoffs/low-cutoff-off.toml"]
)
def test_check_says_what_the_commands_say(
    page: Client, capsys: pytest.CaptureFixture[str], name: str
) -> None:
    answer = page.get("/profile", profile=name)
    every = document(capsys, "check", str(EXAMPLES))["profiles"]
    (checked,) = (one for one in every if one["path"] == str(EXAMPLES / name))
    settled = [
        tuple(other[:1])
        for finding in checked["findings"]
        for other in finding["data"].get("explains", ())
    ]
    for finding in checked["findings"]:
        assert finding["check"] in answer.words
        if (finding["check"],) not in settled:
            assert finding["message"] in answer.words
            assert f"Do: {finding['advice']}" in answer.words
    assert ("No findings." in answer.words) == (not checked["findings"])
    (proposed,) = document(capsys, "propose", str(EXAMPLES / name))["proposals"]
    for side in ("high", "low"):
        recommended = proposed[side]["recommendation"]
        if recommended is None:
            assert proposed[side]["withheld"] in answer.words
        else:
            assert f"{side} = {recommended['enter']} ({recommended['unit']})" in answer.words
        for bound in proposed[side]["bounds"]:
            assert bound["reason"] in answer.words
    assert 'role="img"' in answer.text


def test_a_dropped_file_is_checked_like_one_of_the_folder(page: Client) -> None:
    answer = page.drop(text(high="35").encode(), "tea.toml")
    assert "KB-TEA-014 on KB-LC-03: 3 errors" in answer.words
    assert "tea.toml:" in answer.words
    assert "unit-confusion" in answer.words


def test_a_dropped_file_that_is_no_profile_gets_every_error(page: Client) -> None:
    content = text(high='"6,000 psi"', column='"450"').encode()
    answer = page.drop(content)
    assert answer.words.count("unreadable-profile") == 2
    assert "dropped.toml:" in answer.words
    assert "Download" not in answer.words
    assert page.drop(b"", "").status == 200
    assert "the file is empty" in page.drop(b"", "empty.toml").words


def test_the_report_of_a_profile_is_downloaded(page: Client) -> None:
    answer = page.get("/report", profile=COPIED)
    disposition = answer.headers["content-disposition"]
    assert disposition == 'attachment; filename="transfer-harrow-mill-copied-report.html"'
    digest = hashlib.sha256((EXAMPLES / COPIED).read_bytes()).hexdigest()
    assert digest in answer.text
    assert "Signature" in answer.text


@pytest.mark.parametrize("ends", ["\n", "\r\n"])
def test_the_report_of_a_dropped_file_is_of_the_same_bytes(page: Client, ends: str) -> None:
    content = text().replace("\n", ends).encode() + "# µ\n".encode()
    screen = page.drop(content, '"><b>tea.toml')
    assert "<b>" not in screen.text
    fields = dict(
        re.findall(r'<input type="hidden" name="(name|content)" value="(.*?)">', screen.text)
    )
    body = urlencode({"name": "tea.toml", "content": fields["content"]}).encode()
    report = page.post("/report", body, "application/x-www-form-urlencoded")
    assert report.headers["content-disposition"] == 'attachment; filename="tea-report.html"'
    assert hashlib.sha256(content).hexdigest() in report.text


@pytest.mark.parametrize("name", ["a\r\nX-Evil: 1.toml", '"; filename=x.toml', "..", "ä/ö.toml"])
def test_no_name_can_change_the_headers_of_a_download(page: Client, name: str) -> None:
    body = urlencode({"name": name, "content": "Zm9ybWF0ID0gMQ=="}).encode()
    assert page.post("/report", body, "application/x-www-form-urlencoded").status == 404
    body = urlencode({"name": name, "content": base64.b64encode(text().encode())}).encode()
    answer = page.post("/report", body, "application/x-www-form-urlencoded")
    assert answer.status == 200
    assert re.fullmatch(
        r'attachment; filename="[A-Za-z0-9._-]+\.html"', answer.headers["content-disposition"]
    )
    assert "x-evil" not in answer.headers


def test_transfer_says_what_the_command_says(
    page: Client, capsys: pytest.CaptureFixture[str]
) -> None:
    answer = page.get("/transfer", **{"profile": TEA, "to": COPIED})
    told = command(capsys, "transfer", str(EXAMPLES / TEA), str(EXAMPLES / COPIED))
    verdict, reasons = told.split(": do not accept.")[0], told[told.index("Against it") :]
    assert f"{verdict}: do not accept." in answer.words
    for reason in re.split(r" - ", reasons[: reasons.index("Cautions")])[1:]:
        own = reason.split(" To be looked at")[0].partition("limitcheck")[0]
        assert own.strip() in answer.words
    assert "Never raise a cutoff above a rating" in answer.words
    assert "Signature" not in answer.words
    record = page.get("/record", **{"profile": TEA, "to": COPIED})
    assert (
        'filename="transfer-harrow-mill-copied-transfer.html"'
        in (record.headers["content-disposition"])
    )
    assert "Signature" in record.text
    accepted = page.get("/transfer", **{"profile": TEA, "to": "transfer/harrow-mill-11.toml"})
    assert "to HM-LC-11: accept, on 1 condition." in accepted.words


@pytest.mark.parametrize("other", [COPIED, "transfer/harrow-mill-11.toml"])
def test_the_record_of_the_page_is_that_of_the_command(
    page: Client, capsys: pytest.CaptureFixture[str], other: str
) -> None:
    text = page.get("/record", **{"profile": TEA, "to": other}).text
    (inside,) = re.findall(
        r'<script type="application/json" id="record">(.*?)</script>', text, re.S
    )
    told = document(capsys, "transfer", str(EXAMPLES / TEA), str(EXAMPLES / other))
    assert len(told["rulings"]) > 50
    assert _as_named(json.loads(inside)) == _as_named(told)


def _as_named(record: dict[str, Any]) -> dict[str, Any]:
    """The record without what names the moment and the folder it was made in."""
    del record["record"], record["day"]
    return dict(json.loads(json.dumps(record).replace(f"{EXAMPLES}/", "")))


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


def test_nothing_is_written(tmp_path: Path) -> None:
    (tmp_path / "tea.toml").write_text(text(high="35"))
    before = (tmp_path / "tea.toml").stat()
    with served(tmp_path) as page:
        page.get("/entry", profile="tea.toml", value="35")
        page.get("/profile", profile="tea.toml")
        page.get("/report", profile="tea.toml")
        page.get("/reading", profile="tea.toml", pressure="300")
        page.get("/transfer", **{"profile": "tea.toml", "to": "tea.toml"})
        page.drop(b"#" * 250_000)
    assert [path.name for path in tmp_path.iterdir()] == ["tea.toml"]
    after = (tmp_path / "tea.toml").stat()
    assert (after.st_mtime_ns, after.st_size) == (before.st_mtime_ns, before.st_size)


EVIL = '"><script>alert(1)</script>\\u202e\\u001b[2J&'


def test_names_are_escaped_everywhere(tmp_path: Path) -> None:
    profile = text().replace('id = "KB-TEA-014"', f'id = "{EVIL}"\ntitle = "{EVIL}"')
    profile = profile.replace('part = "pump"', f'part = "pump"\nlabel = "{EVIL}"')
    (tmp_path / "<b>&.toml").write_text(profile)
    with served(tmp_path) as page:
        asked = [page.ask(path) for path in ("/", "/entry", "/profile", "/transfer", "/reading")]
        name = "<b>&.toml"
        asked += [
            page.get("/entry", profile=name, value="900"),
            page.get("/profile", profile=name),
            page.get("/transfer", **{"profile": name, "to": name}),
            page.get("/blockage", profile=name, step=EVIL, **{f"read.{EVIL}": EVIL}),
            page.get("/blockage", profile=name, ask=EVIL, flow=EVIL, **{"read.all": EVIL}),
            page.get("/convert", pressure=EVIL, to=EVIL, step=EVIL, **{"as": EVIL}),
            page.get("/", profile=name, method=EVIL, instrument=EVIL, state=EVIL, **{"for": EVIL}),
            page.give(profile.encode(), EVIL, f"/reading?profile={quote(name)}"),
            page.get("/entry", profile=EVIL, value=EVIL, unit=EVIL, field=EVIL),
            page.get("/reading", profile=name, pressure=EVIL, flow=EVIL),
            page.get("/report", profile=name),
            page.drop(profile.encode(), EVIL),
            page.ask("/%3Cscript%3E"),
            page.get("/report", profile=EVIL),
        ]
    for answer in asked:
        assert "<script" not in answer.text.replace(OURS, "", 1)
        assert "<b>" not in answer.text
        assert "\u202e" not in answer.text or "attachment" in str(answer.headers)
        assert "\x1b" not in answer.text or "attachment" in str(answer.headers)
        assert "limitcheck failed" not in answer.text


def test_a_fault_of_ours_is_a_plain_page(
    page: Client, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def broken(*_: object) -> None:
        raise RuntimeError("<i>broken")

    monkeypatch.setattr("limitcheck.page.numbers.ask", broken)
    answer = page.get("/entry", profile=TEA, value="35")
    assert answer.status == 500
    assert "limitcheck failed: RuntimeError: <i>broken" in answer.words
    assert "<i>" not in answer.text
    assert "Traceback" not in answer.text
    assert answer.headers["content-security-policy"]
    told = ""
    while "RuntimeError" not in told:  # said after the answer is sent
        time.sleep(0.01)
        told += capsys.readouterr().err
    assert "Traceback" not in told


def test_every_screen_weighs_little(page: Client) -> None:
    """The whole page with its style and script, at most 100 kB."""
    steps = {f"read.{step}": str(value) for step, value in TODAY["readings"].items()}
    screens = [
        page.ask("/"),
        page.get("/entry", profile=TEA, value="35"),
        page.get("/profile", profile=COPIED),
        page.drop(text().encode()),
        page.get("/transfer", **{"profile": TEA, "to": COPIED}),
        page.get("/reading", profile=TEA, pressure="368"),
        page.get("/blockage", profile=TEA, **steps),
    ]
    fixed = sum(len(page.ask(path).text) for path in FIXED)
    assert max(len(screen.text) for screen in screens) + fixed <= 100_000
