"""What somebody who gates a repository of methods found green that was not, or said too much."""

from __future__ import annotations

import subprocess
from pathlib import Path

import pytest

from limitcheck.checking.policy_file import forget_policies
from limitcheck.cli.app import run
from tests.needs import need_program
from tests.profiles_for_tests import text

Capture = pytest.CaptureFixture[str]
EXAMPLES = Path(__file__).parents[2] / "examples"
PROFILE = "profiles/tea.toml"
ANSWER = ["--reason", "the plate cannot be read", "--by", "Harrow Mill", "--until", "2199-01-01"]


@pytest.fixture(autouse=True)
def own_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / ".git").mkdir()
    (tmp_path / "profiles").mkdir()
    monkeypatch.chdir(tmp_path)
    forget_policies()


def put(content: str) -> None:
    Path(PROFILE).write_text(content, "utf-8")


def edit(old: str, new: str) -> None:
    content = Path(PROFILE).read_text("utf-8")
    assert old in content
    put(content.replace(old, new, 1))


def example(name: str) -> str:
    return (EXAMPLES / name).read_text("utf-8")


def said(capsys: Capture, *arguments: str) -> tuple[int, str]:
    """The exit code, and all that was said, in one line."""
    capsys.readouterr()
    code = run(["check", *arguments])
    captured = capsys.readouterr()
    return code, " ".join((captured.out + captured.err).split())


def test_an_empty_reason_is_answered_with_what_to_do(capsys: Capture) -> None:
    put(example("cutoffs/cell-exposed.toml"))
    empty = ["--reason", "", "--by", "Harrow Mill", "--until", "2199-01-01"]
    assert run(["accept", PROFILE, "part-exposed-downstream", *empty]) == 2
    captured = capsys.readouterr()
    output = " ".join((captured.out + captured.err).split())
    assert "--reason" in output
    assert "by hand" not in output


def test_what_is_to_be_added_is_not_there_already(capsys: Capture) -> None:
    put(example("cutoffs/clean.toml").replace('bore = "4.6 mm"', 'bore = "4.6 um"'))
    _, output = said(capsys, PROFILE)
    assert "add length, bore" not in output


def test_a_table_of_a_profile_is_not_nothing_of_a_profile(capsys: Capture) -> None:
    put(text())
    Path("profiles/half.toml").write_text("[cutoffs\nhigh = 500\n")
    code, output = said(capsys, "profiles")
    assert code == 2 or "with nothing of a profile in it" not in output


def test_staged_and_gone_from_the_folder_is_not_said_to_be_checked(
    tmp_path: Path, capsys: Capture
) -> None:
    need_program("git")
    (tmp_path / ".git").rmdir()
    put(text())
    bad = Path("profiles/bad.toml")
    bad.write_text(text(high="999", method='"KB-BAD-001"'), "utf-8")
    subprocess.run(["git", "init", "-q", "-b", "main"], check=True)
    subprocess.run(["git", "add", "-A"], check=True)
    bad.unlink()
    code, output = said(capsys, "--tracked", ".")
    assert "KB-BAD-001" not in output
    assert code != 0 or "checked as in the working tree: profiles/bad.toml" not in output


def test_an_output_is_not_written_where_the_next_run_reads_its_policy() -> None:
    put(text())
    assert run(["check", "profiles", "-o", "text=limitcheck.toml"]) == 2
    assert not Path("limitcheck.toml").exists()


def test_a_policy_that_leaves_out_every_profile_concerns_profiles(
    tmp_path: Path, capsys: Capture
) -> None:
    need_program("git")
    (tmp_path / ".git").rmdir()
    put(text())
    who = ["-c", "user.name=Harrow Mill", "-c", "user.email=lab@example.org"]
    subprocess.run(["git", "init", "-q", "-b", "main"], check=True)
    subprocess.run(["git", "add", "-A"], check=True)
    subprocess.run(["git", *who, "commit", "-q", "-m", "tea"], check=True)
    Path("limitcheck.toml").write_text('exclude = ["profiles"]\n')
    subprocess.run(["git", "add", "-A"], check=True)
    forget_policies()
    assert said(capsys, "--tracked", ".")[0] == 2
    code, output = said(capsys, "--changed-since", "HEAD", ".")
    assert "nothing that changed since HEAD concerns a profile" not in output
    assert code == 2


@pytest.mark.parametrize("ignored", ["limitcheck.toml", "columns/leaf.toml"])
def test_git_add_is_not_advised_for_what_git_ignores(
    ignored: str, tmp_path: Path, capsys: Capture
) -> None:
    """`git add` refuses it; `git add -f`, or a change of .gitignore, is what works."""
    need_program("git")
    (tmp_path / ".git").rmdir()
    column = 'part = "column"\nrating = "450 bar"\n'
    put(text())
    if ignored == "limitcheck.toml":
        Path(ignored).write_text('fail_on = "warning"\n')
    else:
        Path("columns").mkdir()
        Path(ignored).write_text(f"[[flow_path]]\n{column}")
        edit(column, 'use = "../columns/leaf.toml#column"\n')
    Path(".gitignore").write_text(f"{ignored}\n")
    forget_policies()
    subprocess.run(["git", "init", "-q", "-b", "main"], check=True)
    subprocess.run(["git", "add", "-A"], check=True)
    _, output = said(capsys, "--tracked", ".")
    assert "git does not track it" in output
    assert f"Do: git add {ignored}" not in output


def test_a_merge_conflict_is_not_answered_with_knowing_all(capsys: Capture) -> None:
    """Written again, the file would know what nobody has looked at yet."""
    put(text(high="420"))
    Path("known.json").write_text('<<<<<<< HEAD\n{"format": 1, "known": [\n=======\n')
    code, output = said(capsys, PROFILE, "--known", "known.json")
    assert code == 2
    assert "write it again" not in output


def test_standard_input_beside_files_is_named_as_such(capsys: Capture) -> None:
    put(text())
    _, output = said(capsys, "-", PROFILE)
    assert "No such file" not in output
    assert "standard input" in output
