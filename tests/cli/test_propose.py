"""`limitcheck propose` from the command line: shown, written, refused."""

from __future__ import annotations

import hashlib
import html
import json
from fractions import Fraction
from pathlib import Path

import pytest

from limitcheck.cli.app import run
from limitcheck.units import Pressure
from tests.documents.schemas import violations
from tests.profiles_for_tests import write


def test_a_rating_not_stated_at_the_methods_flow_is_said(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    pump = '"400 bar"\nrating_at_flow = [{flow = "1 mL/min", rating = "380 bar"}]'
    path = write(tmp_path, pump=pump)
    flow = '\n[conditions]\nflow = "2 mL/min"\n'
    path.write_text(path.read_text(encoding="utf-8") + flow, encoding="utf-8")
    assert run(["propose", str(path)]) == 1
    said = " ".join(capsys.readouterr().out.split())
    assert (
        "no high cutoff can be proposed: the pump has no rating at 2 mL/min, only for less" in said
    )
    assert "at most 380 bar. Ask the maker" in said


def test_propose_writes_the_two_numbers_and_nothing_else(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = write(tmp_path, high="300   # as before", low="")
    before = path.read_text(encoding="utf-8")
    assert run(["propose", str(path), "--diff"]) == 0
    assert path.read_text(encoding="utf-8") == before
    diff = capsys.readouterr().out
    assert "-high = 300   # as before\n+high = 250   # as before\n" in diff
    assert run(["propose", str(path), "--write"]) == 0
    after = path.read_text(encoding="utf-8")
    assert after == before.replace("high = 300", "high = 250", 1).replace(
        "# as before\n", "# as before\nlow = 60\n", 1
    )
    assert run(["check", str(path)]) == 0
    capsys.readouterr()
    assert run(["propose", str(path), "--diff"]) == 0
    assert capsys.readouterr().out == ""


def test_propose_says_where_everything_comes_from(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = write(tmp_path, unit='"psi"', expected_high='"320 bar"', expected_low='"120 bar"')
    (tmp_path / "limitcheck.toml").write_text('[margins]\nlow = "40 %"\n', encoding="utf-8")
    run(["propose", str(path), "--verbose"])
    shown = capsys.readouterr().out
    assert all(len(line) <= 80 or str(tmp_path) in line for line in shown.splitlines())
    for words in (
        "high = 5221 (psi)",
        "low = 1045 (psi)",
        " has high 250 psi and low 60 psi.",
        "Bound by the weakest rating, pump 400 bar - 10 %: 5221.36 psi, rounded down to a step",
        "5221 psi is about 359.98 bar",  # and not 360 bar, which it is not
        "High cutoff above the expected maximum Share: 25 % From: default",
        "Low cutoff below the expected minimum Share: 40 % From: /",  # the policy's file
        "not a safety device",
    ):
        assert words in " ".join(shown.split())
    run(["propose", str(path)])
    assert "Share: 40 %" not in " ".join(capsys.readouterr().out.split())


def test_propose_where_there_is_nothing_safe(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = write(tmp_path, high="390", expected_high="380")
    before = path.read_bytes()
    assert run(["propose", str(path), "--write"]) == 1
    assert path.read_bytes() == before
    shown = " ".join(capsys.readouterr().out.split())
    assert "no high cutoff can be proposed: the largest value within the margins, 360 bar" in shown
    assert "every part up to the column rated 465 bar or more" in shown  # 418 / 0.9, up
    assert "another flow, temperature or length helps: no conditions.flow" in shown


def test_propose_is_not_written_where_the_band_may_be_in_another_unit(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = write(tmp_path, high="300", expected_low='"1740 bar"', expected_high='"2900 bar"')
    before = path.read_bytes()
    run(["propose", str(path)])
    shown = capsys.readouterr().out
    assert "high = 250 (bar)" in shown
    assert 'expected.high = "200 bar"' in shown
    assert run(["propose", str(path), "--write"]) == 1
    assert path.read_bytes() == before
    said = " ".join(capsys.readouterr().err.split())
    assert "the cutoffs rest on was mistaken, probably expected.high" in said


def test_proposals_as_data(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = write(tmp_path, unit='"psi"', expected_high='"320 bar"', expected_low='"120 bar"')
    assert run(["propose", str(path), "--format", "json"]) == 0
    (proposal,) = json.loads(capsys.readouterr().out)["proposals"]
    assert proposal["high"]["recommendation"]["enter"] == "5221"
    assert proposal["low"]["recommendation"]["enter"] == "871"
    assert proposal["high"]["binding"] == ["flow_path", 1, "rating"]
    binding = next(b for b in proposal["high"]["bounds"] if b["path"] == ["flow_path", 1, "rating"])
    assert Fraction(binding["pressure"]["value"]) == Pressure.parse("360 bar").to("psi")
    assert binding["pressure"]["pascal"] == "36000000"
    assert proposal["margins"]["headroom"] == {"share": "0.1", "from": "default"}


@pytest.mark.parametrize("arguments", [["--format", "xml"], ["no-such.toml"]])
def test_arguments_that_cannot_be_used(tmp_path: Path, arguments: list[str]) -> None:
    assert run(["propose", *arguments, str(write(tmp_path))]) == 2


def test_propose_over_a_folder(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    write(tmp_path)
    (tmp_path / "other.toml").write_text('[tool]\nname = "x"\n', encoding="utf-8")
    assert run(["propose", str(tmp_path)]) == 0
    shown = capsys.readouterr().out
    assert (
        "KB-TEA-014 on KB-LC-03: proposed cutoffs, as in the file:\n    high = 250 (bar)" in shown
    )
    write(tmp_path, "two.toml", expected_high="380")
    assert run(["propose", str(tmp_path)]) == 1
    assert "Both cutoffs are proposed for 1 of 2 profiles." in capsys.readouterr().out


HEAT = (
    '[{temperature = "25 degC", rating = "400 bar"}, {temperature = "35 degC", rating = "300 bar"}]'
)
FLOWS = '[{flow = "1 mL/min", rating = "400 bar"}, {flow = "2 mL/min", rating = "300 bar"}]'


@pytest.mark.parametrize(
    ("parts", "conditions", "why"),
    [
        ({"pump": "", "column": ""}, "", "the pump has no rating"),
        ({"column": ""}, "", "the column has no rating"),
        (
            {"column": f'"450 bar"\nrating_at_temperature = {HEAT}'},
            'flow = "1 mL/min"',
            "what the column holds depends on the temperature, which is not given",
        ),
        (
            {"column": f'"450 bar"\nrating_at_temperature = {HEAT}'},
            'temperature = "40 degC"',
            "the column has no rating at 40 degC, only for less",
        ),
        (
            {"pump": f'"400 bar"\nrating_at_flow = {FLOWS}'},
            "",
            "what the pump holds depends on the flow, which is not given",
        ),
    ],
)
def test_no_high_cutoff_where_a_rating_is_not_known(
    parts: dict[str, str],
    conditions: str,
    why: str,
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
) -> None:
    """The number that propose would write is the number that entry and check leave open."""
    path = write(tmp_path, high="300", low="40", **parts)
    given = path.read_text(encoding="utf-8") + f"\n[conditions]\n{conditions}\n"
    path.write_text(given, encoding="utf-8")
    assert run(["propose", str(path), "--write"]) == 1
    told = capsys.readouterr()
    said = " ".join(told.out.split())
    assert f"no high cutoff can be proposed: {why}, and a high cutoff protects the weakest" in said
    assert "low = 60 (bar)" in told.out
    assert f"not changed: {why}" in " ".join(told.err.split())
    assert path.read_text(encoding="utf-8") == given
    assert run(["entry", "250 bar", "--profile", str(path)]) == 1
    assert "decided" in capsys.readouterr().out
    assert run(["check", str(path)]) == 1
    assert "not-decided" in capsys.readouterr().out


def test_no_profile_is_no_success(tmp_path: Path) -> None:
    assert run(["propose", str(tmp_path)]) == 2


@pytest.mark.parametrize(("high", "was"), [("25", "25"), ("300", "300"), ("", "")])
def test_write_says_what_was_written_to_which_file(
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
    high: str,
    was: str,
) -> None:
    monkeypatch.chdir(tmp_path)
    path = write(Path(), high=high)
    page = Path("out.html")
    assert run(["propose", str(path), "--write", "-o", str(page)]) == 0
    told = f"{path}: wrote high = 250 ({f'was {was}' if was else 'was missing'})."
    shown = " ".join(capsys.readouterr().out.split())
    for text in (shown, " ".join(html.unescape(page.read_text("utf-8")).split())):
        assert told in text
        assert "correct this first" not in text
        assert f"{path} has high" not in text  # nothing is said of the file as it was
    write(Path(), high=high)
    assert run(["propose", str(path), "--write", "--format", "json"]) == 0
    data = json.loads(capsys.readouterr().out)
    assert violations("propose", data) == []
    (proposal,) = data["proposals"]
    assert proposal["written"]["values"] == [
        {"path": ["cutoffs", "high"], "was": was or None, "now": "250"}
    ]
    assert proposal["written"]["path"] == str(path)
    assert ("unit-confusion" in str(proposal["written"]["mistaken"])) == (high == "25")
    assert proposal["correct_first"] is None
    assert proposal["profile"]["sha256"] == hashlib.sha256(path.read_bytes()).hexdigest()
    assert proposal["high"]["typed"]["value"] == proposal["high"]["recommendation"]["enter"]
    assert proposal["high"]["recommendation"]["why_not_written"] == "it stands in the file"


def test_write_says_why_nothing_was_written(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    path = write(Path(), high="300", expected_low='"1740 bar"', expected_high='"2900 bar"')
    assert run(["propose", str(path), "--write", "--format", "json"]) == 1
    (proposal,) = json.loads(capsys.readouterr().out)["proposals"]
    assert proposal["written"] is None
    assert "the cutoffs rest on was mistaken" in proposal["not_written"]
    run(["propose", str(path), "--write"])
    assert f"{path} is left as it was: a number" in " ".join(capsys.readouterr().out.split())
