"""The command isolate: plan, readings from options, files and questions, bad input."""

from __future__ import annotations

import io
import json
import sys
from pathlib import Path

import pytest

from limitcheck.cli.app import run


def call(*arguments: str | Path) -> int:
    return run([str(argument) for argument in arguments])


def joined(capsys: pytest.CaptureFixture[str]) -> str:
    """What was said on standard error, its lines joined."""
    return " ".join(capsys.readouterr().err.split())


def test_isolate_plan_and_verdict(tea: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert call("isolate", tea) == 0
    assert "no reading yet" in capsys.readouterr().out
    readings = [
        "--reading",
        "all=218",
        "--reading",
        "column-outlet=214 bar",
        "--reading",
        "column-inlet=174 psi",
    ]
    assert call("isolate", tea, *readings, "--normal", "all=158") == 0
    told = " ".join(capsys.readouterr().out.split())
    assert "Read it again, and give it as column-outlet-again" in told
    assert told.startswith("First: lower the flow to 9")
    readings += ["--reading", "column-inlet-again=12", "--reading", "column-outlet-again=213"]
    readings += ["--normal", "all=158", "--normal", "column-inlet=12"]
    assert call("isolate", tea, *readings) == 0
    told = " ".join(capsys.readouterr().out.split())
    assert "the restriction is in the column" in told
    assert "Cured when all of these are normal" in told
    assert call("isolate", tea, *readings, "--format", "json") == 0
    assert json.loads(capsys.readouterr().out)["verdict"] == "found"


def test_isolate_from_a_file(tea: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file = tmp_path / "today.toml"
    file.write_text(
        '[readings]\nall = 218\ncolumn-outlet = "214 bar"\ncolumn-inlet = 12.5\n'
        "column-outlet-again = 213\ncolumn-inlet-again = 12\nall-again = 217\n"
        "[normal]\nall = 158\ncolumn-outlet = 154\ncolumn-inlet = 12\n"
    )
    assert call("isolate", tea, "--file", file) == 0
    assert "the restriction is in the column" in capsys.readouterr().out


@pytest.mark.parametrize(
    ("read", "told"), [("278", "First: stop the flow: 278 bar"), ("0", "First: open nothing")]
)
def test_a_first_reading_over_a_limit_ends_the_questions(
    tea: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
    read: str,
    told: str,
) -> None:
    monkeypatch.setattr(sys, "stdin", io.StringIO(f"{read}\n270\n"))
    assert call("isolate", tea, "--ask") == 0
    said = " ".join(capsys.readouterr().out.split())
    asked, _, answer = said.partition(told)
    assert answer
    assert "pen the outlet" not in asked
    assert call("isolate", tea, "--reading", f"all={read}") == 0
    assert told in " ".join(capsys.readouterr().out.split())


def test_isolate_asks(
    tea: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    tea.write_text(tea.read_text().replace("high = 260", "high = 300"))
    answers = "278\n1,200\n274\n\n6\n0\n274\n12\n278\n"
    monkeypatch.setattr(sys, "stdin", io.StringIO(answers))
    assert call("isolate", tea, "--ask", "--reading", "column-inlet=12") == 0
    captured = capsys.readouterr()
    assert "has a comma" in " ".join(captured.err.split())
    told = " ".join(captured.out.split())
    assert told.count("-again: Flow off, display at zero. Again: ") == 2
    assert "the restriction is in the column" in told
    monkeypatch.setattr(sys, "stdin", io.StringIO(""))
    assert call("isolate", tea, "--ask") == 0


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["--reading", "all"], "has no step or no value"),
        (["--reading", "all=1", "--reading", "all=2"], "given twice"),
        (["--reading", "all=x"], "--reading all"),
        (["--reading", "colum-inlet=2"], "is not a step of this flow path"),
        (["--reading", "all=9000"], "above the rating of the pump"),
        (["--normal", "all=1 furlong"], "furlong"),
        (["--file", "nowhere.toml"], "nowhere.toml"),
        (["--format", "xml"], 'no format "xml"'),
    ],
)
def test_bad_isolate(
    arguments: list[str], said: str, tea: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert call("isolate", tea, *arguments) == 2
    captured = capsys.readouterr()
    assert said in " ".join(captured.err.split())
    assert captured.out == ""


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("all = 218\n", ":1:7: all is not a table of readings"),
        ("", "empty"),
        ("readings = 3\n", ":1:12: readings is not a table"),
        ("[normal]\n", "no readings in it"),
        ("[readings]\nall = [1]\n", ":2:7: readings.all is not a pressure"),
        ("[readings]\nall = \n", ":2:7"),
        ("[readings]\nall = true\n", "not a pressure"),
        ('[readings]\nall = "1,200"\n', ':2:7: all: "1,200" has a comma'),
    ],
)
def test_bad_files_of_readings(
    text: str, said: str, tea: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "today.toml"
    file.write_text(text)
    assert call("isolate", tea, "--file", file) == 2
    assert said in joined(capsys)
