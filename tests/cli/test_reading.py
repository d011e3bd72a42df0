"""The command reading: output, exit codes, bad input."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from limitcheck.cli.app import run


def call(*arguments: str | Path) -> int:
    return run([str(argument) for argument in arguments])


def joined(capsys: pytest.CaptureFixture[str]) -> str:
    """What was said on standard error, its lines joined."""
    return " ".join(capsys.readouterr().err.split())


@pytest.mark.parametrize(
    ("typed", "code"), [("160", 0), ("160 bar", 0), ("2320 psi", 0), ("286", 1), ("12 bar", 1)]
)
def test_reading(typed: str, code: int, tea: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert call("reading", typed, "--profile", tea) == code
    out = capsys.readouterr().out
    assert "for KB-TEA-014 on KB-LC-03: 145 to 172 bar" in " ".join(out.split())
    assert "The maker's manual, the site's procedures and qualified staff decide" in out


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
