"""`limitcheck check` as a user runs it: output, files, exit codes, bad arguments."""

from __future__ import annotations

import io
import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from limitcheck.cli.app import COMMANDS, run
from tests.profiles_for_tests import CERTAIN, TEXT, text, write

Capture = pytest.CaptureFixture[str]


@pytest.fixture(autouse=True)
def own_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / ".git").mkdir()
    (tmp_path / "limitcheck.toml").write_text("")
    monkeypatch.chdir(tmp_path)


def test_a_clean_profile(tmp_path: Path, capsys: Capture) -> None:
    write(tmp_path)
    assert run(["check", "kestrel.toml"]) == 0
    out = capsys.readouterr().out
    assert out.splitlines()[-1] == "1 profile: 0 errors, 0 warnings, 0 notes"


def test_what_was_not_checked_is_said_of_one_clean_profile(tmp_path: Path, capsys: Capture) -> None:
    write(tmp_path)
    assert run(["check", "kestrel.toml"]) == 0
    shown = " ".join(capsys.readouterr().out.split())
    assert "no entry_max: entry-beyond-field. To decide: add entry_max in [instrument]." in shown
    write(tmp_path, "second.toml", method='"KB-TEA-015"')
    assert run(["check", "."]) == 0
    assert (
        "2 profiles without an open finding, 2 with checks not decided" in capsys.readouterr().out
    )
    assert run(["check", ".", "--verbose"]) == 0
    shown = " ".join(capsys.readouterr().out.split())
    assert shown.count("checks hold") == 2
    assert "no entry_max: 1" in shown
    assert "To decide" not in shown


def test_a_check_turned_off_is_never_passed_over(tmp_path: Path, capsys: Capture) -> None:
    (tmp_path / "limitcheck.toml").write_text('[severity]\nhigh-cutoff-above-rating = "off"\n')
    write(tmp_path)
    write(tmp_path, "second.toml", method='"KB-TEA-015"')
    assert run(["check", "."]) == 1
    out = " ".join(capsys.readouterr().out.split())
    assert out.count("This leaves open: high-cutoff-above-rating.") == 2
    assert out.count("turned off in") == 4


def test_findings_with_place_caret_and_advice(tmp_path: Path, capsys: Capture) -> None:
    write(tmp_path, high="25")
    assert run(["check", "kestrel.toml"]) == 1
    lines = capsys.readouterr().out.splitlines()
    assert lines[:3] == [
        "kestrel.toml:12:8: error: unit-confusion, likely",
        "  12 | high = 25",
        "     |        ^^",
    ]
    assert all(len(line) <= 80 for line in lines)
    joined = " ".join(" ".join(lines).split())
    assert "Type: high = 250 (bar)" in joined
    assert "Correcting this also removes: high-cutoff-below-expected (line 12)" in joined


def test_folders_are_searched_and_other_files_counted(tmp_path: Path, capsys: Capture) -> None:
    (tmp_path / "deep" / ".hidden").mkdir(parents=True)
    write(tmp_path, "b.toml")
    write(tmp_path / "deep", "a.toml", low="", method='"KB-TEA-015"')
    write(tmp_path / "deep" / ".hidden", "c.toml", high="25")
    (tmp_path / "other.toml").write_text('title = "x"\n')
    (tmp_path / "notes.txt").write_text("x")
    assert run(["check", ".", "b.toml", "--format", "json"]) == 0
    data = json.loads(capsys.readouterr().out)
    assert [p["path"] for p in data["profiles"]] == ["./b.toml", "./deep/a.toml"]
    assert data["summary"]["skipped"] == 1
    assert [(item["path"], item["reason"]) for item in data["looked"]["skipped"]] == [
        ("./deep/.hidden", "hidden-folder"),
        ("./other.toml", "not-a-profile"),
    ]
    assert data["summary"]["warnings"] == 1


def test_excluded_paths(tmp_path: Path, capsys: Capture) -> None:
    (tmp_path / "archive").mkdir()
    write(tmp_path / "archive", high="25")
    write(tmp_path, "b.toml")
    (tmp_path / "limitcheck.toml").write_text('exclude = ["archive/*"]\n')
    assert run(["check", "."]) == 0
    assert run(["check", "archive/kestrel.toml"]) == 1  # named, so meant
    assert "1 profile:" in capsys.readouterr().out


def test_a_broken_file_in_a_folder_is_said(tmp_path: Path, capsys: Capture) -> None:
    (tmp_path / "a.toml").write_text("format = 1\n[")
    write(tmp_path, "b.toml")
    assert run(["check", "."]) == 2
    out = capsys.readouterr().out
    assert "a.toml:2:" in out
    assert "2 profiles, 1 unreadable: 1 error" in out


@pytest.mark.parametrize(
    ("values", "fail_on", "code"),
    [
        ({"low": ""}, None, 0),
        ({"low": ""}, "error", 0),
        ({"low": ""}, "warning", 1),
        ({"low": ""}, "note", 1),
        ({"high": "400"}, "note", 1),
        ({"high": "25"}, "error", 1),
        ({}, "note", 0),
    ],
)
def test_exit_code_by_grade(
    tmp_path: Path, values: dict[str, str], fail_on: str | None, code: int
) -> None:
    write(tmp_path, **values)
    options = ["--fail-on", fail_on] if fail_on else []
    for form in ("text", "json", "sarif", "junit"):
        assert run(["check", "kestrel.toml", "--format", form, *options]) == code


def test_the_policy_sets_when_a_run_fails(tmp_path: Path) -> None:
    write(tmp_path, low="")
    (tmp_path / "limitcheck.toml").write_text('fail_on = "warning"\n')
    from limitcheck.checking.policy_file import _policy_of_folder

    _policy_of_folder.cache_clear()
    assert run(["check", "kestrel.toml"]) == 1
    assert run(["check", "."]) == 1
    assert run(["check", "kestrel.toml", "--fail-on", "error"]) == 0


def test_console_and_files_from_one_run(tmp_path: Path, capsys: Capture) -> None:
    write(tmp_path, high="25")
    arguments = ["check", "kestrel.toml", "--output", "json=a.json", "--output", "junit=a.xml"]
    assert run(arguments) == 1
    assert capsys.readouterr().out.startswith("kestrel.toml:12:8: error")
    assert json.loads((tmp_path / "a.json").read_text())["summary"]["errors"] > 0
    assert (tmp_path / "a.xml").read_text().startswith("<?xml")


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (["check"], "Missing argument"),
        (["check", "nowhere.toml"], "cannot be read"),
        (["check", "kestrel.toml", "--format", "pdf"], 'no format "pdf"'),
        (["check", "kestrel.toml", "--output", "json"], "no known format"),
        (["check", "kestrel.toml", "--output", "doc=x"], "no known format"),
        (["check", "kestrel.toml", "--output", "json=nowhere/x.json"], "nowhere"),
        (["check", "kestrel.toml", "--fail-on", "nothing"], "no such grade"),
        (["check", "kestrel.toml", "--fix", "--diff", "--format", "json"], "--diff is text"),
        (["check", "-", "--fix"], "standard input"),
        (["chekc", "kestrel.toml"], "No such command"),
        (["check", "--frob"], "No such option"),
        (["explain", "high-cutof-missing"], "did you mean high-cutoff-missing?"),
        (["convert", "5 mPa"], "millipascal"),
        (["convert", "6000"], "no unit"),
        (["convert", "6000 psi", "--to", "mL/min"], "unit of flow"),
        (["entry", "35"], "--unit"),
        (["entry", "35", "--profile", "kestrel.toml", "--unit", "bar"], "--profile already"),
        (["entry", "35", "--profile", "kestrel.toml", "--format", "xml"], "no format"),
    ],
)
def test_bad_arguments_are_exit_2_with_advice(
    tmp_path: Path,
    capsys: Capture,
    monkeypatch: pytest.MonkeyPatch,
    arguments: list[str],
    says: str,
) -> None:
    write(tmp_path)
    monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(TEXT.encode())))
    before = sorted(tmp_path.iterdir())
    assert run(arguments) == 2
    captured = capsys.readouterr()
    assert says in " ".join((captured.out + captured.err).split())
    assert "Traceback" not in captured.err
    assert sorted(tmp_path.iterdir()) == before


def test_standard_input(capsys: Capture, monkeypatch: pytest.MonkeyPatch) -> None:
    content = text(high="25").encode()
    monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(content)))
    assert run(["check", "-", "--stdin-name", "typed.toml"]) == 1
    assert capsys.readouterr().out.startswith("typed.toml:12:8: error")


def test_names_cannot_steer_the_terminal(tmp_path: Path, capsys: Capture) -> None:
    name = "a\x1b]0;owned\x07.toml"
    write(tmp_path, name, high="25")
    assert run(["check", name]) == 1
    assert run(["check", name, "--format", "json"]) == 1
    assert run(["check", "b\x1b[2J.toml"]) == 2
    captured = capsys.readouterr()
    assert "\x1b" not in captured.out + captured.err
    assert "a\\x1b]0;owned\\x07.toml" in captured.out


def test_fix_writes_what_diff_shows(tmp_path: Path, capsys: Capture) -> None:
    slip = CERTAIN | {"expected_high": "2900 # wall chart"}
    path = write(tmp_path, **slip)
    assert run(["check", "kestrel.toml", "--diff"]) == 1
    shown = capsys.readouterr().out
    assert "-high = 2900 # wall chart\n+low = 120\n+high = 200 # wall chart\n" in shown
    assert path.read_text() == text(**slip)
    assert run(["check", "kestrel.toml", "--fix"]) == 0
    captured = capsys.readouterr()
    assert "kestrel.toml: expected.high = 2900 -> 200\n" in captured.err
    assert captured.out.splitlines()[-1] == "1 profile: 0 errors, 0 warnings, 0 notes"
    right = {"expected_low": "120", "expected_high": "200 # wall chart"}
    assert path.read_text() == text(**slip | right)


def test_likely_corrections_are_asked_for(tmp_path: Path) -> None:
    path = write(tmp_path, high="25")
    assert run(["check", "kestrel.toml", "--fix"]) == 1
    assert path.read_text() == text(high="25")
    assert run(["check", "kestrel.toml", "--fix-likely"]) == 0
    assert path.read_text() == text(high="250")


def test_a_file_that_cannot_be_written_is_left(tmp_path: Path, capsys: Capture) -> None:
    path = write(tmp_path, **CERTAIN)

    def refuse(*_: object) -> None:
        raise OSError(28, "No space left on device")

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(os, "replace", refuse)
        assert run(["check", "kestrel.toml", "--fix"]) == 2
    assert path.read_text() == text(**CERTAIN)
    assert "No space left" in capsys.readouterr().err


def test_a_fault_of_ours_is_exit_3(tmp_path: Path, capsys: Capture) -> None:
    write(tmp_path)

    def fails(*_: object, **__: object) -> None:
        raise RuntimeError("something of ours")

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("limitcheck.checking.run.check_targets", fails)
        assert run(["check", "kestrel.toml"]) == 3
    error = capsys.readouterr().err
    assert "RuntimeError: something of ours" in error
    assert "please report it" in error


def test_stopping_is_quiet(tmp_path: Path, capsys: Capture) -> None:
    write(tmp_path)

    def stop(*_: object, **__: object) -> None:
        raise KeyboardInterrupt

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("limitcheck.checking.run.check_targets", stop)
        assert run(["check", "kestrel.toml"]) == 130
    assert capsys.readouterr().err == "stopped\n"


def test_explain(capsys: Capture) -> None:
    assert run(["explain"]) == 0
    listed = capsys.readouterr().out
    assert "unit-confusion" in listed
    assert all(len(line) <= 80 for line in listed.splitlines())
    assert run(["explain", "rounded-over-rating"]) == 0
    assert "5801.5 psi" in capsys.readouterr().out


def test_entry(tmp_path: Path, capsys: Capture) -> None:
    write(tmp_path)
    assert run(["entry", "25", "--profile", "kestrel.toml"]) == 1
    assert "high = 250 (bar)" in capsys.readouterr().out
    assert run(["entry", "250", "--profile", "kestrel.toml", "--format", "json"]) == 0
    assert json.loads(capsys.readouterr().out)["may_be_typed"] is True
    assert run(["entry", "60", "--low", "--profile", "kestrel.toml"]) == 0
    described = ["--unit", "bar", "--expected-low", "180", "--expected-high", "230"]
    assert run(["entry", "35", *described, "--rating", "400 bar"]) == 1
    assert "high = 350 (bar)" in capsys.readouterr().out


@pytest.mark.parametrize("name", [entry.name for entry in COMMANDS])
def test_every_command_has_help_with_an_example(name: str, capsys: Capture) -> None:
    assert run([name, "--help"]) == 0
    shown = capsys.readouterr().out
    assert f"Example: limitcheck {name}" in shown
    assert all(len(line) <= 80 for line in shown.splitlines())


def test_help_lists_every_command_by_who_needs_it(capsys: Capture) -> None:
    assert run(["--help"]) == 0
    shown = capsys.readouterr().out
    for entry in COMMANDS:
        assert entry.name in shown
        assert f"{entry.group}:" in shown


def limitcheck(*arguments: str, **options: object) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, "-m", "limitcheck", *arguments]
    return subprocess.run(command, capture_output=True, text=True, check=False, **options)  # type: ignore[call-overload,no-any-return]


def test_version_and_plain_output_as_a_process(tmp_path: Path) -> None:
    assert limitcheck("--version").stdout.startswith("limitcheck 0.")
    write(tmp_path, high="25")
    done = limitcheck("check", "kestrel.toml", cwd=tmp_path)
    assert done.returncode == 1
    assert "\x1b" not in done.stdout


def test_a_reader_that_leaves_is_no_error(tmp_path: Path) -> None:
    for index in range(40):
        write(tmp_path, f"{index}.toml", high="25")
    command = f"{sys.executable} -m limitcheck check . | head -1"
    done = subprocess.run(
        ["bash", "-c", command], cwd=tmp_path, capture_output=True, text=True, check=False
    )
    assert done.stderr == ""
    assert done.stdout.startswith("Worst ")
