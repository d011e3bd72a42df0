"""What holds for every command at the bench: its files and its help."""

from __future__ import annotations

from pathlib import Path

import pytest

from limitcheck.cli.app import run


@pytest.mark.parametrize(
    "command",
    [
        ["baseline", "LOG", "--profile", "TEA"],
        ["reading", "286", "--profile", "TEA"],
        ["isolate", "TEA", "--reading", "all=218"],
    ],
)
def test_files(
    command: list[str], tea: Path, log: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    given = [{"LOG": str(log), "TEA": str(tea)}.get(word, word) for word in command]
    for ending in ("html", "md", "json", "txt"):
        written = tmp_path / f"out.{ending}"
        assert run([*given, "--output", str(written)]) in (0, 1)
        assert "Never raise a cutoff above a rating" in written.read_text()
    assert run([*given, "--output", "out.xml"]) == 2
    assert run([*given, "--output", str(tmp_path / "no" / "out.html")]) == 2
    capsys.readouterr()


@pytest.mark.parametrize("command", ["baseline", "reading", "isolate"])
def test_help_has_an_example(command: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert run([command, "--help"]) == 0
    assert f"Example: limitcheck {command} " in capsys.readouterr().out


@pytest.mark.parametrize(
    ("typed", "plain"), [("0287", "287 bar"), ("0287 bar", "287 bar"), ("00.5", "0.5 bar")]
)
def test_a_number_that_begins_with_a_zero_is_asked_for_again(
    typed: str, plain: str, tea: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(["entry", typed, "--profile", str(tea)]) == 2
    told = " ".join(capsys.readouterr().err.split())
    assert f'"{typed}" begins with a zero Do: write "{plain}", if that is meant' in told
