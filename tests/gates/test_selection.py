"""A run that found no profile has checked nothing, and is not green."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from limitcheck.checking.policy_file import forget_policies
from limitcheck.cli.app import run
from tests.gates.test_outcomes import CLEAN

Capture = pytest.CaptureFixture[str]


@pytest.fixture(autouse=True)
def own_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / ".git").mkdir()
    monkeypatch.chdir(tmp_path)
    forget_policies()


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
    policy: str, arguments: list[str], exit_code: int, capsys: Capture
) -> None:
    Path("limitcheck.toml").write_text(policy)
    assert run(["check", ".", *arguments]) == exit_code
    told = "no profile was found: nothing was checked" in capsys.readouterr().err
    assert told is (exit_code == 2)


EXCLUDES = {
    "q": ["q/tea.toml", "q/deep/tea.toml"],
    "q/": ["q/tea.toml", "q/deep/tea.toml"],
    "./q": ["q/tea.toml", "q/deep/tea.toml"],
    "q/**": ["q/tea.toml", "q/deep/tea.toml"],
    "q/*": ["q/tea.toml", "q/deep/tea.toml"],
    "**/q": ["a/q/tea.toml", "q/tea.toml", "q/deep/tea.toml"],
    "**/q/**": ["a/q/tea.toml", "q/tea.toml", "q/deep/tea.toml"],
    "a/**/tea.toml": ["a/q/tea.toml"],
    "q/tea.toml": ["q/tea.toml"],
    "?": ["a/q/tea.toml", "q/tea.toml", "q/deep/tea.toml"],
    ".": ["a/q/tea.toml", "q/tea.toml", "q/deep/tea.toml", "queue.toml"],
    "*.toml": ["a/q/tea.toml", "q/tea.toml", "q/deep/tea.toml", "queue.toml"],
    "tea.toml": [],
    "nowhere": [],
}


@pytest.mark.parametrize(("pattern", "left_out"), EXCLUDES.items())
def test_what_a_pattern_leaves_out(pattern: str, left_out: list[str], capsys: Capture) -> None:
    for number, name in enumerate(EXCLUDES["."]):
        Path(name).parent.mkdir(parents=True, exist_ok=True)
        Path(name).write_text(CLEAN.replace("KB-TEA-014", f"KB-TEA-{number}"), "utf-8")
    Path("limitcheck.toml").write_text(f'exclude = ["{pattern}"]\n')
    nothing_left = left_out == EXCLUDES["."]
    assert run(["check", ".", "--format", "json"]) == (2 if nothing_left else 0)
    captured = capsys.readouterr()
    looked = json.loads(captured.out)["looked"]
    assert {item["path"] for item in looked["skipped"]} == {f"./{name}" for name in left_out}
    assert {item["reason"] for item in looked["skipped"]} <= {"excluded"}
    assert [item["pattern"] for item in looked["unmatched"]] == ([] if left_out else [pattern])
    sentence = f'4 TOML files skipped: 4 excluded by exclude = "{pattern}" (limitcheck.toml)'
    assert (sentence in " ".join(captured.err.split())) is nothing_left


@pytest.mark.parametrize(
    ("pattern", "sentence"),
    [
        (r"old\\tea.toml", 'write folders with /: "old/tea.toml"'),
        ("", "an empty pattern matches nothing"),
        ("/old", '"/old" is not a path from this folder'),
        ("../old", '"../old" leads out of this folder'),
    ],
)
def test_a_pattern_that_can_match_nothing_is_refused(
    pattern: str, sentence: str, capsys: Capture
) -> None:
    Path("tea.toml").write_text(CLEAN, "utf-8")
    Path("limitcheck.toml").write_text(f'exclude = ["{pattern}"]\n')
    assert run(["check", "."]) == 2
    assert sentence in " ".join(capsys.readouterr().err.split())
