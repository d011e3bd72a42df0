"""The command baseline: output, exit codes, files, bad input."""

from __future__ import annotations

import io
import json
import math
import random
import re
import sys
from datetime import datetime, timedelta
from pathlib import Path

import pytest

from limitcheck.cli.app import run
from tests.history.logs import runs
from tests.profiles_for_tests import WITH_GEOMETRY as PROFILE

EXAMPLES = Path(__file__).parents[2] / "examples" / "logs"


def call(*arguments: str | Path) -> int:
    return run([str(argument) for argument in arguments])


def joined(capsys: pytest.CaptureFixture[str]) -> str:
    """What was said on standard error, its lines joined."""
    return " ".join(capsys.readouterr().err.split())


def test_baseline(tea: Path, log: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert call("baseline", log, "--profile", tea) == 0
    out = " ".join(capsys.readouterr().out.split())
    assert "100 readings, 2026-01-12 to 2026-04-21" in out
    assert "steady; normal is 15" in out
    assert "Never raise a cutoff above a rating" in out


def test_baseline_json(tea: Path, log: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert call("baseline", log, "--profile", tea, "--format", "json") == 0
    data = json.loads(capsys.readouterr().out)
    assert data["unit"] == "bar"
    assert data["phases"][0]["interval"]["kind"] == "distribution-free"


def test_baseline_writes_the_band_and_nothing_else(
    tea: Path, log: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert call("baseline", log, "--profile", tea, "--write") == 0
    assert "[expected] is now 15" in joined(capsys)
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


BAD_LOGS = {
    "few": runs(3),
    "drift": runs(60, lambda i: i),
    "step": runs(60, lambda i: 20 * (i > 35)),
    "zeros": runs(
        60,
        lambda i: -200 if i in (5, 6, 40) else 0,
        row=lambda t, p, i: f"{t:%Y-%m-%d},{max(p, 0):.0f}",
    ),
    "levels": runs(60, lambda i: 60 * (i % 2)),
    "swing": runs(60, lambda i: 12 * (i > 30) * (-1) ** i),
    "wild": runs(60, lambda i: 60 if i in (7, 30) else 0),
    "no cutoff": runs(60, lambda i: -140, seed=2),
    "mixed": runs(50, row=lambda t, p, i: f"{t:%Y-%m-%d},{p * (14.5 if i == 9 else 1):.0f}"),
    "other method": runs(
        30, header="time,pressure (bar),method", row=lambda t, p, i: f"{t:%Y-%m-%d},{p:.0f},HM-9"
    ),
}


@pytest.mark.parametrize("bad", BAD_LOGS)
def test_baseline_writes_nothing_doubtful(
    bad: str, tea: Path, log: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    log.write_text(BAD_LOGS[bad])
    assert call("baseline", log, "--profile", tea, "--write") == (2 if bad == "few" else 1)
    assert "nothing written" in joined(capsys)
    assert tea.read_text() == PROFILE


def test_the_steady_part_that_is_named_is_taken(
    tea: Path, log: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    log.write_text(BAD_LOGS["step"])
    assert call("baseline", log, "--profile", tea, "--write") == 1
    said = joined(capsys)
    assert "nothing written: step of 1" in said
    found = re.search(r'--since "([^"]+)" --until "([^"]+)"', said)
    assert found is not None
    options = ("--since", found[1], "--until", found[2])
    assert call("baseline", log, "--profile", tea, "--write", *options) == 0
    assert 'basis = "measured"' in tea.read_text()


def test_baseline_exit_code_tells_a_drift(tea: Path, log: Path) -> None:
    log.write_text(runs(60, lambda i: i))
    assert call("baseline", log, "--profile", tea) == 1


def test_baseline_from_standard_input(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(runs(30).encode())))
    assert call("baseline", "-") == 0
    assert capsys.readouterr().out.startswith("standard input: steady; normal is 15")


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
    assert call(*arguments) == 1  # too few to tell that it was steady
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
    assert "not steady: now rising by" in " ".join(out.split())
    assert call("baseline", EXAMPLES / "harrow-mill-tea.csv") == 1
    out = " ".join(capsys.readouterr().out.split())
    assert "would be usual if meant in bar" in out
    assert "the column was changed, HM-118 to HM-131" in out


def pulsing(path: Path, size: float, period: float = 5.0) -> Path:
    """A log of ten minutes, twice a second, of a sine at 160 bar."""
    start, rng = datetime(2026, 3, 9, 9), random.Random(1)
    lines = ["time,pressure (bar)"]
    for i in range(1200):
        value = 160 + size / 2 * math.sin(math.pi * i / period) + rng.gauss(0, 0.3)
        lines.append(f"{(start + timedelta(seconds=i / 2)).isoformat()},{value:.0f}")
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    return path


@pytest.fixture
def pump(tmp_path: Path) -> Path:
    """The profile of the tests, one stroke 2.5 s: 1.0 mL/min, 41.7 uL."""
    path = tmp_path / "pump.toml"
    text = PROFILE.replace(
        'part = "pump"\n', 'part = "pump"\nstroke_volume = "41.7 uL"\nheads = 2\n'
    )
    path.write_text(text.replace("[conditions]", "swing = 4\n[conditions]"), encoding="utf-8")
    return path


def test_a_swing_well_over_the_expected_one_is_not_steady(
    pump: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    before = pump.read_bytes()
    log = pulsing(tmp_path / "run.csv", 9)
    assert call("baseline", log, "--profile", pump, "--write") == 1
    told = capsys.readouterr()
    out = " ".join(told.out.split())
    assert re.search(r"swings by (9|10)(\.[0-9]+)? bar within a minute", out)
    assert "well over the 4 bar expected" in out
    assert "in time with all heads in turn (5 s): one head delivers unlike the others" in out
    assert "swing = " not in out
    assert "nothing written" in " ".join(told.err.split())
    assert pump.read_bytes() == before
    assert call("baseline", log, "--profile", pump) == 1


def test_a_steady_pulse_of_every_stroke_is_offered_as_normal(
    pump: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert call("baseline", pulsing(tmp_path / "run.csv", 2, 2.5), "--profile", pump) == 0
    out = " ".join(capsys.readouterr().out.split())
    assert "one stroke" in out
    assert "If the pump was in good order then (only the laboratory can say)" in out
    assert "swing = 3 (bar)" in out or "swing = 4 (bar)" in out


def test_the_pulse_of_one_head_is_not_offered_as_normal(
    pump: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert call("baseline", pulsing(tmp_path / "run.csv", 2), "--profile", pump) == 0
    out = " ".join(capsys.readouterr().out.split())
    assert "No normal swing from this log: the pulse is in time with one head." in out
    assert "swing = " not in out
