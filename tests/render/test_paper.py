"""The paper of a PDF, by every command that writes one."""

from __future__ import annotations

import re
import subprocess
from importlib import import_module
from inspect import signature
from pathlib import Path

import pytest

from limitcheck.cli.app import COMMANDS
from limitcheck.cli.app import run as limitcheck

from ..needs import need_program
from .runs import GOOD


def told_of(path):
    """What pdfinfo says of a PDF."""
    command = [need_program("pdfinfo"), str(path)]
    return subprocess.run(command, capture_output=True, check=True, text=True).stdout


def size_of(path):
    """Width and height of the first page in points."""
    return [float(n) for n in re.search(r"Page size: +(\S+) x (\S+) pts", told_of(path)).groups()]


# ISO 216: 210 mm by 297 mm; ANSI/ASME Y14.1: 8.5 in by 11 in. A point is 1/72 in.
@pytest.mark.parametrize(
    ("options", "size"),
    [([], (595.28, 841.89)), (["--paper=A4"], (595.28, 841.89)), (["--paper=Letter"], (612, 792))],
)
def test_the_paper_is_chosen(options, size, tmp_path, capsys):
    (tmp_path / "tea.toml").write_text(GOOD)
    output = tmp_path / "tea.pdf"
    assert limitcheck(["report", str(tmp_path / "tea.toml"), "-o", str(output), *options]) == 0
    assert size_of(output) == pytest.approx(size, abs=0.01)


WRITING = {
    "predict": ["tea.toml"],
    "faults": ["tea.toml"],
    "propose": ["tea.toml"],
    "entry": ["250 bar", "--profile", "tea.toml"],
    "convert": ["250 bar"],
    "reading": ["160", "--profile", "tea.toml"],
    "isolate": ["tea.toml"],
    "baseline": ["log.csv"],
    "transfer": ["tea.toml", "tea.toml"],
    "fleet": ["tea.toml"],
    "export": ["tea.toml"],
    "import": ["methods.csv"],
    "fit": ["tea.toml", "--on", "tea.toml"],
    "report": ["tea.toml"],
    "explain": ["low-cutoff-off"],
    "qualify": [],
}
"""Every command that writes a PDF, with what it takes."""


def test_every_command_that_writes_a_pdf_takes_the_paper():
    taking = {}
    for entry in COMMANDS:
        command = import_module(f"limitcheck.cli.{entry.module or entry.name}").command
        taking[entry.name] = {p.annotation for p in signature(command).parameters.values()}
    assert {name for name, types in taking.items() if "Output" in types} == set(WRITING)
    assert {name for name, types in taking.items() if "Paper" in types} == set(WRITING)


@pytest.mark.parametrize("name", WRITING)
def test_each_command_writes_on_the_paper(name, tmp_path, monkeypatch, capsys):
    monkeypatch.chdir(tmp_path)
    Path("tea.toml").write_text(GOOD)
    rows = "".join(f"2026-10-{day:02} 08:00,{160 + day % 3}\n" for day in range(1, 31))
    Path("log.csv").write_text("time,pressure (bar)\n" + rows)
    Path("methods.csv").write_text("Method;Instrument;Unit;High cutoff\nA-1;B-1;bar;280\n")
    assert limitcheck([name, *WRITING[name], "-o", "made.pdf", "--paper", "letter"]) in (0, 1)
    assert size_of("made.pdf") == [612, 792]


@pytest.mark.parametrize(
    ("options", "told"),
    [
        (["-o", "tea.pdf", "--paper", "a5"], 'there is no paper "a5" here Do: write a4 or letter'),
        (["-o", "tea.html", "--paper", "Letter"], "no PDF is asked for Do: write it with -o FILE"),
    ],
)
def test_a_paper_that_cannot_be_is_refused(options, told, tmp_path, monkeypatch, capsys):
    monkeypatch.chdir(tmp_path)
    Path("tea.toml").write_text(GOOD)
    assert limitcheck(["report", "tea.toml", *options]) == 2
    assert told in " ".join(capsys.readouterr().err.split())
    assert [path.name for path in tmp_path.iterdir()] == ["tea.toml"]


def test_the_failure_of_a_run_is_on_the_same_paper(tmp_path, monkeypatch, capsys):
    monkeypatch.chdir(tmp_path)
    Path("tea.pdf").write_bytes(b"of an earlier run")
    assert limitcheck(["report", "no.toml", "-o", "tea.pdf", "--paper", "letter"]) == 2
    assert size_of("tea.pdf") == [612, 792]
