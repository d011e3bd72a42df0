"""One run, several renderings; none of them changes the exit code."""

from __future__ import annotations

import json
from xml.etree import ElementTree

import pytest

from limitcheck.cli.app import run as limitcheck
from limitcheck.render import FORMATS

from .runs import GOOD, HIGH_PSI, LOW_OFF, UNREADABLE


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
