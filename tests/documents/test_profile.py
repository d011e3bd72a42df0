"""The report on profiles: a run, drawn."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from jsonschema import Draft202012Validator  # type: ignore[import-untyped]

from limitcheck.charts.svg import Drawing
from limitcheck.checking.file import check_file
from limitcheck.cli.app import run as limitcheck
from limitcheck.documents.blocks import Document, FindingBlock, Section, Table, Text, ToType
from limitcheck.documents.findings import finding_blocks, verdict
from limitcheck.documents.profile import Checked, profile_document
from limitcheck.policy import DEFAULT_POLICY, Margins, Policy
from limitcheck.profile.load import load_bytes
from limitcheck.schemas import command_schema

from ..checks.test_repository import write
from ..render.runs import ACCEPTED, DAY, GOOD, GRADIENT, HIGH_PSI, UNREADABLE, run_of


def checked(text: str, policy: Policy = DEFAULT_POLICY) -> Checked:
    file = load_bytes(text.encode(), "tea.toml")
    return Checked(file, check_file(file, policy, DAY), policy)


def headings(document: Document) -> list[str]:
    return [section.heading for chapter in document.chapters for section in chapter.sections]


def section(document: Document, heading: str) -> Section:
    return next(s for c in document.chapters for s in c.sections if s.heading == heading)


def test_it_begins_with_the_verdict_and_what_to_type() -> None:
    document = profile_document([checked(HIGH_PSI)], DAY)
    told, lead, typed, picture = document.summary
    assert told == Text("KB-TEA-014 on KB-LC-03: 3 errors, 2 warnings.", strong=True)
    assert lead == Text("Type:")
    assert typed == ToType("high", "110", "bar", "likely")  # 1600 psi is 110.3 bar
    assert isinstance(picture, Drawing)
    assert (
        "With the cutoffs to type it runs: low cutoff 30 bar, high cutoff 110 bar"
        in picture.description
    )
    assert not section(document, "Findings").in_record
    assert all(s.in_record for s in document.chapters[0].sections[1:])


def test_every_number_that_is_over_something_is_marked_at_its_place() -> None:
    document = profile_document([checked(GOOD.replace("high = 110", "high = 420"))], DAY)
    (table,) = section(document, "Pressures").blocks
    assert isinstance(table, Table)
    assert table.columns[-1] == "What is wrong"
    wrong = {row[0]: row[-1] for row in table.rows if row[-1]}
    assert set(wrong) == {"high cutoff", "detector cell: rating"}
    assert (
        "error: high-cutoff-above-rating, over 345 bar (fitting (column inlet)) and 3 more"
        in (wrong["high cutoff"])
    )
    names = [row[0] for row in table.rows]
    places = {(names.index(name), at) for name in wrong for at in (1, len(table.columns) - 1)}
    assert set(table.marked) == places
    clean = profile_document([checked(GOOD)], DAY)
    (table,) = section(clean, "Pressures").blocks
    assert isinstance(table, Table)
    assert table.marked == ()
    assert "What is wrong" not in table.columns


def test_the_record_holds_what_a_signature_rests_on() -> None:
    document = profile_document([checked(GRADIENT)], DAY)
    assert {"Method and instrument", "Pressures", "Predicted pressure", "Over the run"} <= set(
        headings(document)
    )
    files, settings = section(document, "What this report rests on").blocks
    assert isinstance(files, Table)
    assert files.rows[0][1] == checked(GRADIENT).file.sha256
    assert isinstance(settings, Table)
    assert ("High cutoff above the expected maximum", "25 %", "default") in settings.rows
    assert headings(document)[-1] == "Review"


def test_the_settings_of_a_repository_are_named() -> None:
    policy = Policy(
        margins=Margins()._replace(high_wide=Margins().high_wide / 2),
        severities={"low-cutoff-off": None},
        source="limitcheck.toml",
    )
    document = profile_document([checked(GOOD, policy)], DAY)
    _, settings = section(document, "What this report rests on").blocks
    assert isinstance(settings, Table)
    assert ("High cutoff wide over", "50 %", "limitcheck.toml") in settings.rows
    assert ("Check low-cutoff-off", "off", "limitcheck.toml") in settings.rows


def test_an_unreadable_file_has_a_chapter_that_says_why() -> None:
    (report,) = run_of(UNREADABLE, "bad.toml").reports
    document = profile_document([checked(GOOD), report], DAY)
    (table,) = document.summary
    assert isinstance(table, Table)
    assert [row[-1] for row in table.rows] == ["no findings", "cannot be read, nothing was checked"]
    chapter = document.chapters[1]
    assert chapter.heading == "bad.toml"
    blocks = [block for s in chapter.sections for block in s.blocks]
    (finding,) = [block for block in blocks if isinstance(block, FindingBlock)]
    assert finding.check == "unreadable-profile"
    assert finding.place.startswith("bad.toml:")


def test_verdicts() -> None:
    (report,) = run_of(ACCEPTED).reports
    assert verdict(report).startswith("1 accepted")
    (report,) = run_of(HIGH_PSI).reports
    known = report._replace(findings=tuple(f._replace(known=True) for f in report.findings))
    assert verdict(known) == "5 known"
    bare = GOOD.partition("[expected]")[0] + GOOD[GOOD.index("[[flow_path]]") :]
    (report,) = run_of(bare).reports
    assert verdict(report).startswith("1 error; ")
    assert verdict(report).endswith(" checks not decided")


def test_each_number_is_said_once_and_what_it_removes_is_folded() -> None:
    (report,) = run_of(HIGH_PSI).reports
    blocks = list(finding_blocks(report.findings))
    assert len(blocks) < len(report.findings)
    assert [item.text for block in blocks for item in block.to_type] == ["high = 110 (bar), likely"]
    assert any("Correcting this also removes: " in remark for remark in blocks[0].remarks)


@pytest.fixture
def contradicting(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Two files that give one instrument two units."""
    write(tmp_path, "a.toml")
    write(tmp_path, "b.toml", method="KB-TEA-015", unit="psi")
    monkeypatch.chdir(tmp_path)
    return tmp_path


def test_what_check_finds_over_several_files_stands_in_the_report(
    contradicting: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert limitcheck(["check", "a.toml", "b.toml", "--format", "json"]) == 1
    of_check = json.loads(capsys.readouterr().out)
    found = [f for profile in of_check["profiles"] for f in profile["findings"]]
    _, conflict = [f for f in found if f["check"] == "instrument-unit-conflict"]
    assert limitcheck(["report", "a.toml", "b.toml"]) == 0
    printed = " ".join(capsys.readouterr().out.split())
    assert f"b.toml:{conflict['line']}:{conflict['column']}: error: {conflict['check']}" in printed
    assert conflict["message"] in printed
    assert limitcheck(["report", "a.toml", "b.toml", "--format", "json", "-o", "out.md"]) == 0
    of_report = json.loads(capsys.readouterr().out)
    messages = [f["message"] for p in of_report["profiles"] for f in p["findings"]]
    assert messages == [f["message"] for f in found]
    Draft202012Validator(json.loads(command_schema("report"))).validate(of_report)
    assert "**error: instrument-unit-conflict**" in Path("out.md").read_text("utf-8")


def test_an_unreadable_file_is_in_the_report_and_the_exit_code(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    Path("bad.toml").write_text(UNREADABLE)
    assert limitcheck(["report", "bad.toml", "-o", "bad.html"]) == 2
    assert "bad.toml: cannot be read, nothing was checked." in capsys.readouterr().out
    assert "unreadable-profile" in Path("bad.html").read_text("utf-8")
    (tmp_path / "empty").mkdir()
    assert limitcheck(["report", "empty"]) == 2
    assert "no profile was found" in capsys.readouterr().err
