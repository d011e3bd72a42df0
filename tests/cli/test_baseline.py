"""The commands baseline, reading and isolate: output, exit codes, files, bad input."""

from __future__ import annotations

import io
import json
import sys
from pathlib import Path

import pytest

from limitcheck.cli.app import run
from tests.history.logs import PROFILE, runs

EXAMPLES = Path(__file__).parents[2] / "examples" / "logs"


@pytest.fixture
def tea(tmp_path: Path) -> Path:
    path = tmp_path / "tea.toml"
    path.write_text(PROFILE)
    return path


@pytest.fixture
def log(tmp_path: Path) -> Path:
    path = tmp_path / "runs.csv"
    path.write_text(runs(100))
    return path


def call(*arguments: str | Path) -> int:
    return run([str(argument) for argument in arguments])


def joined(capsys: pytest.CaptureFixture[str]) -> str:
    """What was said on standard error, its lines joined."""
    return " ".join(capsys.readouterr().err.split())


def test_baseline(tea: Path, log: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert call("baseline", log, "--profile", tea) == 0
    out = capsys.readouterr().out
    assert "100 readings, 2026-01-12 to 2026-04-21" in out
    assert "[expected]" in out
    assert "Never raise a cutoff above a rating" in out


def test_baseline_json(tea: Path, log: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert call("baseline", log, "--profile", tea, "--format", "json") == 0
    data = json.loads(capsys.readouterr().out)
    assert data["unit"] == "bar"
    assert data["phases"][0]["interval"]["kind"] == "distribution-free"


def test_baseline_writes_the_band_and_nothing_else(tea: Path, log: Path) -> None:
    assert call("baseline", log, "--profile", tea, "--write") == 0
    text = tea.read_text()
    assert "[expected]   # from the first month\nlow = 15" in text
    assert 'basis = "measured"\n[conditions]' in text
    assert (
        text.replace(
            text[text.index("low = 15") : text.index("[conditions]")], "low = 145\nhigh = 172\n"
        )
        == PROFILE
    )


def test_baseline_writes_a_new_table(tea: Path, log: Path) -> None:
    start, end = PROFILE.index("[expected]"), PROFILE.index("[conditions]")
    tea.write_text(PROFILE[:start] + PROFILE[end:])
    assert call("baseline", log, "--profile", tea, "--write") == 0
    assert "[expected]\nlow = 15" in tea.read_text()


@pytest.mark.parametrize("bad", ["mixed", "few", "other method"])
def test_baseline_writes_nothing_doubtful(
    bad: str, tea: Path, log: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    if bad == "few":
        log.write_text(runs(3))
    elif bad == "other method":
        log.write_text(
            runs(
                30,
                header="time,pressure (bar),method",
                row=lambda t, p, i: f"{t:%Y-%m-%d},{p:.0f},HM-9",
            )
        )
    else:
        log.write_text(
            runs(50, row=lambda t, p, i: f"{t:%Y-%m-%d},{p * (14.5 if i == 9 else 1):.0f}")
        )
    assert call("baseline", log, "--profile", tea, "--write") == 2
    assert "nothing written" in joined(capsys)
    assert tea.read_text() == PROFILE


def test_baseline_exit_code_tells_a_drift(tea: Path, log: Path) -> None:
    log.write_text(runs(60, lambda i: i))
    assert call("baseline", log, "--profile", tea) == 1


def test_baseline_from_standard_input(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(runs(30).encode())))
    assert call("baseline", "-") == 0
    assert capsys.readouterr().out.startswith("standard input: normal pressure, in bar")


def test_baseline_options(tea: Path, log: Path, capsys: pytest.CaptureFixture[str]) -> None:
    log.write_text("when;p\n" + "".join(f"0{d}/04/2026;1{d},123\n" for d in range(1, 10)))
    arguments = [
        "baseline",
        log,
        "--unit",
        "MPa",
        "--delimiter",
        "semicolon",
        "--decimal",
        "comma",
        "--dates",
        "day-first",
        "--use",
        "time=when",
        "--use",
        "pressure=p",
        "--since",
        "2026-04-02",
        "--until",
        "2026-04-08",
        "--interval",
        "normal",
        "--coverage",
        "0.9",
        "--confidence",
        "0.9",
    ]
    assert call(*arguments) == 0
    assert "7 readings, 2026-04-02 to 2026-04-08" in capsys.readouterr().out


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["--write"], "--write without a profile"),
        (["--coverage", "95"], "--coverage 95"),
        (["--confidence", "nan"], "--confidence nan"),
        (["--interval", "wide"], '--interval "wide"'),
        (["--since", "9.3.2026"], "is not a date"),
        (["--unit", "mPa"], "millipascal"),
        (["--delimiter", "x"], '--delimiter "x"'),
        (["--decimal", "x"], '--decimal "x"'),
        (["--dates", "x"], '--dates "x"'),
        (["--use", "pressure"], '--use "pressure"'),
        (["--use", "colour=red"], '--use "colour=red"'),
        (["--format", "html"], 'no format "html"'),
        (["--profile", "nowhere.toml"], "nowhere.toml"),
    ],
)
def test_bad_options(
    arguments: list[str], said: str, log: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert call("baseline", log, *arguments) == 2
    captured = capsys.readouterr()
    assert said in " ".join(captured.err.split())
    assert captured.out == ""


def test_bad_logs(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    bad = tmp_path / "bad.csv"
    bad.write_text("time,pressure (bar)\n2026-01-02,high\n")
    assert call("baseline", bad) == 2
    assert f'{bad}:2:12: "high" is not a pressure' in joined(capsys)
    assert call("baseline", tmp_path / "missing.csv") == 2
    assert "cannot be read" in joined(capsys)
    assert call("baseline", tmp_path) == 2
    assert "not a regular file" in joined(capsys)


def test_example_logs(capsys: pytest.CaptureFixture[str]) -> None:
    assert call("baseline", EXAMPLES / "kestrel-bay-tea.csv") == 1
    out = capsys.readouterr().out
    assert "now rising by" in out
    assert call("baseline", EXAMPLES / "harrow-mill-tea.csv") == 1
    out = " ".join(capsys.readouterr().out.split())
    assert "would be usual if meant in bar" in out
    assert "the column was changed, HM-118 to HM-131" in out


@pytest.mark.parametrize(
    ("typed", "code"), [("160", 0), ("160 bar", 0), ("2320 psi", 0), ("286", 1), ("12 bar", 1)]
)
def test_reading(typed: str, code: int, tea: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert call("reading", typed, "--profile", tea) == code
    out = capsys.readouterr().out
    assert out.startswith("KB-TEA-014 on KB-LC-03: ")
    assert "Cautions:" in out


def test_reading_json_and_other_conditions(tea: Path, capsys: pytest.CaptureFixture[str]) -> None:
    at = "flow=0.5 mL/min"
    assert call("reading", "79", "--profile", tea, "--at", at, "--format", "json") == 0
    data = json.loads(capsys.readouterr().out)
    assert data["changed"] == at
    assert data["position"] == "normal"


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["1,234"], "has a comma"),
        (["nan"], "reading: "),
        (["-3"], "-3"),
        (["286 mPa"], "millipascal"),
        (["286", "--at", "length=250 mm"], "another column belongs in the profile"),
        (["286", "--at", "speed=9"], "is not a condition"),
        (["286", "--format", "xml"], 'no format "xml"'),
    ],
)
def test_bad_reading(
    arguments: list[str], said: str, tea: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert call("reading", "--profile", tea, *arguments) == 2
    captured = capsys.readouterr()
    assert said in " ".join(captured.err.split())
    assert captured.out == ""


def test_isolate_plan_and_verdict(tea: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert call("isolate", tea) == 0
    assert "No reading yet" in capsys.readouterr().out
    readings = [
        "--reading",
        "all=218",
        "--reading",
        "column-outlet=214 bar",
        "--reading",
        "column-inlet=174 psi",
    ]
    assert call("isolate", tea, *readings, "--normal", "all=158") == 0
    assert "The restriction is in the column" in capsys.readouterr().out
    assert call("isolate", tea, *readings, "--format", "json") == 0
    assert json.loads(capsys.readouterr().out)["verdict"] == "found"


def test_isolate_from_a_file(tea: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file = tmp_path / "today.toml"
    file.write_text(
        '[readings]\nall = 218\ncolumn-outlet = "214 bar"\ncolumn-inlet = 12.5\n'
        "[normal]\nall = 158\ncolumn-outlet = 154\ncolumn-inlet = 12\n"
    )
    assert call("isolate", tea, "--file", file) == 0
    assert "The restriction is in the column" in capsys.readouterr().out


def test_isolate_asks(
    tea: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    answers = "218\n1,2\n214\n\n12\nq\n"
    monkeypatch.setattr(sys, "stdin", io.StringIO(answers))
    assert call("isolate", tea, "--ask", "--reading", "column-inlet=12") == 0
    captured = capsys.readouterr()
    assert "has a comma" in " ".join(captured.err.split())
    assert "The restriction is in the column" in captured.out
    assert captured.out.count("read, in bar") == 6
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
        ('[readings]\nall = "1,2"\n', ':2:7: all: "1,2 bar" has a comma'),
    ],
)
def test_bad_files_of_readings(
    text: str, said: str, tea: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "today.toml"
    file.write_text(text)
    assert call("isolate", tea, "--file", file) == 2
    assert said in joined(capsys)


@pytest.mark.parametrize(
    "command",
    [
        ["baseline", "LOG", "--profile", "TEA"],
        ["reading", "286", "--profile", "TEA"],
        ["isolate", "TEA", "--reading", "all=218"],
    ],
)
def test_pages(
    command: list[str], tea: Path, log: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    page = tmp_path / "out.html"
    given = [{"LOG": str(log), "TEA": str(tea)}.get(word, word) for word in command]
    assert call(*given, "--output", f"html={page}") in (0, 1)
    text = page.read_text()
    assert text.startswith("<!DOCTYPE html>")
    assert "Never raise a cutoff above a rating" in text
    assert "Made by limitcheck" in text
    assert call(*given, "--output", f"xml={page}") == 2
    assert call(*given, "--output", f"html={tmp_path / 'no' / 'out.html'}") == 2
    capsys.readouterr()


@pytest.mark.parametrize("command", ["baseline", "reading", "isolate"])
def test_help_has_an_example(command: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert call(command, "--help") == 0
    assert f"Example: limitcheck {command} " in capsys.readouterr().out
