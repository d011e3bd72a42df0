"""Files that are one method, in one revision, on one instrument: told once for all of them."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from limitcheck.cli.app import run
from tests.profiles_for_tests import text

NAMES = ("a.toml", "b.toml", "c.toml", "d.toml", "e.toml")


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    for name in NAMES:
        (tmp_path / name).write_text(text())
    monkeypatch.chdir(tmp_path)
    return tmp_path


def told(capsys: pytest.CaptureFixture[str]) -> str:
    return " ".join(capsys.readouterr().out.split())


@pytest.mark.parametrize("more", [[], ["--verbose"], ["--quiet"]])
def test_the_terminal_says_it_once(
    folder: Path, capsys: pytest.CaptureFixture[str], more: list[str]
) -> None:
    """Once ten times for five files, as pairs."""
    assert run(["check", ".", *more]) == 1
    said = told(capsys)
    assert said.count("Keep one of them") == 1
    assert "is in 5 files: ./a.toml, ./b.toml, ./c.toml, ./d.toml, ./e.toml." in said


def test_every_file_has_one_finding_that_fails_it(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    run(["check", ".", "--format", "json"])
    reports = json.loads(capsys.readouterr().out)["profiles"]
    found = [[f for f in r["findings"] if f["check"].startswith("duplicate-")] for r in reports]
    assert [len(each) for each in found] == [1] * len(NAMES)
    for report, (finding,) in zip(reports, found, strict=True):
        places = [place["file"] for place in finding["related"]]
        assert len(places) == 3
        assert report["path"] not in places


def test_one_of_them_alone_has_no_other(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    run(["check", "b.toml"])
    assert "duplicate-method-revision" not in told(capsys)
    run(["check", "b.toml", "d.toml"])
    assert "is in 2 files: b.toml, d.toml." in told(capsys)


@pytest.mark.parametrize(("more", "told_more"), [(0, ""), (1, " and 1 more"), (2, " and 2 more")])
def test_twenty_copies_are_named(
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
    more: int,
    told_more: str,
) -> None:
    monkeypatch.chdir(tmp_path)
    names = [f"{number:02}.toml" for number in range(20 + more)]
    for name in names:
        Path(name).write_text(text())
    run(["check", *names])
    assert f"is in {20 + more} files: {', '.join(names[:20])}{told_more}." in told(capsys)


def test_a_copy_that_is_accepted_does_not_hush_the_others(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    accept = ["duplicate-method-revision", "--reason", "kept until the move", "--by", "QA"]
    assert run(["accept", "a.toml", *accept, "--until", "2027-06-30", "--beside", "."]) == 0
    told(capsys)
    assert run(["check", ".", "--verbose"]) == 1
    said = told(capsys)
    assert "./a.toml:4:6: accepted: duplicate-method-revision" in said
    assert "./b.toml:4:6: error: duplicate-method-revision" in said
