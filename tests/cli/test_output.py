"""One run, several renderings; none of them changes the exit code."""

from __future__ import annotations

import json
from xml.etree import ElementTree

import pytest

from limitcheck.cli.app import run as limitcheck
from limitcheck.render import FORMATS

from ..render.runs import GOOD, HIGH_PSI, LOW_OFF, UNREADABLE


@pytest.fixture
def folder(tmp_path, monkeypatch):
    (tmp_path / "tea.toml").write_text(HIGH_PSI)
    monkeypatch.chdir(tmp_path)
    return tmp_path


def test_console_and_files_come_from_one_run(folder, capsys):
    files = {name: folder / f"out.{name}" for name in ("json", "sarif", "junit", "text")}
    options = [f"--output={name}={path}" for name, path in files.items()]
    assert limitcheck(["check", "tea.toml", *options]) == 1
    shown = capsys.readouterr().out
    assert shown == files["text"].read_text()
    (profile,) = json.loads(files["json"].read_text())["profiles"]
    (log,) = json.loads(files["sarif"].read_text())["runs"]
    cases = ElementTree.fromstring(files["junit"].read_text()).findall(".//testcase")
    assert len(profile["findings"]) == len(log["results"]) == len(cases) > 3


@pytest.mark.parametrize("text", [GOOD, LOW_OFF, HIGH_PSI, UNREADABLE])
def test_the_format_never_changes_the_exit_code(folder, text, capsys):
    (folder / "tea.toml").write_text(text)
    codes = {limitcheck(["check", "tea.toml", "--format", name]) for name in FORMATS}
    assert len(codes) == 1


def test_an_output_that_cannot_be_written_is_refused_and_the_old_one_stays(folder, capsys):
    (folder / "out.json").mkdir()
    (folder / "out.sarif").write_text("old")
    assert limitcheck(["check", "tea.toml", "--output", "json=out.json"]) == 2
    assert limitcheck(["check", "tea.toml", "--output", "sarif=no/out.sarif"]) == 2
    assert limitcheck(["check", "tea.toml", "--output", "sarf=out.sarif"]) == 2
    assert (folder / "out.sarif").read_text() == "old"
    assert sorted(path.name for path in folder.iterdir()) == ["out.json", "out.sarif", "tea.toml"]


def test_one_way_to_name_a_file(folder, capsys):
    names = ["a.html", "b.pdf", "c.md", "d.json", "e.txt", "markdown=f"]
    assert limitcheck(["report", "tea.toml", *(f"-o{name}" for name in names)]) == 0
    printed = capsys.readouterr().out
    assert (folder / "a.html").read_text().startswith("<!DOCTYPE html>")
    assert (folder / "b.pdf").read_bytes().startswith(b"%PDF")
    assert (folder / "f").read_text() == (folder / "c.md").read_text()
    assert json.loads((folder / "d.json").read_text())["summary"]["errors"] == 3
    assert (folder / "e.txt").read_text().startswith("Pressure limits: KB-TEA-014 on KB-LC-03\n===")
    assert printed.startswith("KB-TEA-014 on KB-LC-03: 3 errors")
    assert "Signature" not in printed
    assert limitcheck(["report", "tea.toml", "--verbose"]) == 0
    assert capsys.readouterr().out == (folder / "e.txt").read_text()
    assert limitcheck(["report", "tea.toml", "--format", "markdown"]) == 0
    assert capsys.readouterr().out == (folder / "c.md").read_text()


@pytest.mark.parametrize("output", ["tea.sarif", "tea", "csv=x", "html=", "no/folder.html"])
def test_a_file_that_cannot_be_is_refused(folder, output, capsys):
    assert limitcheck(["report", "tea.toml", "-o", output]) == 2
    told = capsys.readouterr().err
    assert output in told
    assert "Do: " in told


def test_a_format_that_is_not_there_is_refused(folder, capsys):
    assert limitcheck(["report", "tea.toml", "--format", "html"]) == 2
    assert "Do: write text, json or markdown" in capsys.readouterr().err


def test_the_terminal_may_be_narrow(folder, capsys, monkeypatch):
    monkeypatch.setenv("COLUMNS", "60")
    assert limitcheck(["report", "tea.toml"]) == 0
    assert max(map(len, capsys.readouterr().out.splitlines())) <= 60


def test_text_that_the_terminal_cannot_show_is_escaped(folder, monkeypatch):
    import io
    import sys

    text = HIGH_PSI.replace("KB-TEA-014", "KB-\u6d41")
    (folder / "tea.toml").write_text(text, "utf-8")
    shown = io.TextIOWrapper(io.BytesIO(), "ascii")
    monkeypatch.setattr(sys, "stdout", shown)
    assert limitcheck(["report", "tea.toml"]) == 0
    printed = shown.buffer.getvalue()
    assert b"KB-\\u6d41" in printed
