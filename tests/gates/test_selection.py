"""A run that found no profile has checked nothing, and is not green."""

from __future__ import annotations

from pathlib import Path

import pytest

from limitcheck.cli.app import run


@pytest.mark.parametrize(
    ("policy", "arguments", "exit_code"),
    [
        ("", [], 2),
        ('exclude = ["*"]\n', [], 2),
        ("", ["--allow-empty"], 0),
        ("", ["--format", "json"], 2),
    ],
)
def test_nothing_found_is_not_green(
    policy: str,
    arguments: list[str],
    exit_code: int,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    monkeypatch.chdir(tmp_path)
    Path("limitcheck.toml").write_text(policy)
    assert run(["check", ".", *arguments]) == exit_code
    told = "no profile was found: nothing was checked" in capsys.readouterr().err
    assert told is (exit_code == 2)
