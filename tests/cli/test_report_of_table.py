"""`limitcheck report` of a table: each row as it stands, with the cells of its findings."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from limitcheck.cli.app import run

Capture = pytest.CaptureFixture[str]
_TABLE = """Method;Instrument;High cutoff;Low cutoff;Normal (bar);Unit;Pump rating (bar)
KB-1;LC-3;260;30;120-200;bar;400
KB-2;LC-3;410;30;130-210;bar;400
KB-3;LC-3;about 280;30;130-210;bar;400
"""


@pytest.fixture
def table(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> str:
    monkeypatch.chdir(tmp_path)
    Path("register.csv").write_text(_TABLE, "utf-8")
    return "register.csv"


def test_every_row_is_a_chapter_with_its_cells(table: str, capsys: Capture) -> None:
    assert run(["report", table, "-oregister.html"]) == 0
    text = capsys.readouterr().out
    html = Path("register.html").read_text("utf-8")
    for told in (text, html):
        for row in (2, 3, 4):
            assert f"register.csv:{row}" in told
        assert "KB-2 on LC-3 (register.csv, row 3)" in told
        assert "high-cutoff-above-rating" in told
        assert "is not a number" in told
    assert "register.csv:C3" in html or "C3" in html


def test_its_json_is_that_of_a_check(table: str, capsys: Capture) -> None:
    run(["report", table, "--format", "json"])
    report = json.loads(capsys.readouterr().out)
    run(["check", table, "--format", "json"])
    check = json.loads(capsys.readouterr().out)
    assert report["profiles"] == check["profiles"]


def test_a_check_says_what_writes_a_document(table: str, capsys: Capture) -> None:
    assert run(["check", table, "--format", "html"]) == 2
    assert "limitcheck report writes html" in " ".join(capsys.readouterr().err.split())
