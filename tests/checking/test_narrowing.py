"""What git says of the files of a run: in folders, links, submodules, and without git."""

from __future__ import annotations

import json
import os
import subprocess
from pathlib import Path

import pytest

from limitcheck.checking.policy_file import forget_policies
from limitcheck.cli.app import run
from tests.needs import need_program
from tests.profiles_for_tests import TEXT

OWN = 'part = "column"\nrating = "450 bar"'
COLUMN = f"[[flow_path]]\n{OWN}\n"
BAD = TEXT.replace("high = 250", "high = 2500")
Capture = pytest.CaptureFixture[str]


@pytest.fixture(autouse=True)
def repository(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """An empty repository, in which the tests stand."""
    need_program("git")
    for name in ("AUTHOR", "COMMITTER"):
        monkeypatch.setenv(f"GIT_{name}_NAME", "Harrow Mill")
        monkeypatch.setenv(f"GIT_{name}_EMAIL", "lab@example.org")
    folder = tmp_path / "methods"
    folder.mkdir()
    monkeypatch.chdir(folder)
    git("init", "-q", "-b", "main")
    forget_policies()
    return folder


def git(*arguments: str) -> str:
    return subprocess.run(["git", *arguments], check=True, capture_output=True, text=True).stdout


def place(files: dict[str, str]) -> None:
    for name, text in files.items():
        Path(name).parent.mkdir(parents=True, exist_ok=True)
        Path(name).write_text(text, "utf-8")


def commit(files: dict[str, str]) -> None:
    place(files)
    git("add", "-A")
    git("commit", "-qm", "methods")


def using(column: str, number: int = 14) -> str:
    """A profile with its column in another file."""
    return TEXT.replace(OWN, f'use = "{column}#column"').replace("014", f"{number:03}")


def checked(capsys: Capture, *arguments: str) -> tuple[int, str, str]:
    """The exit code, output and errors of `check`, each on one line."""
    code = run(["check", *arguments])
    told = capsys.readouterr()
    return code, " ".join(told.out.split()), " ".join(told.err.split())


@pytest.mark.parametrize("rev", ["nowhere", "HEAD:p", "main..main", "", "-h", "--output=x"])
def test_an_unknown_revision_is_refused(rev: str, capsys: Capture) -> None:
    commit({"p/a.toml": TEXT})
    code, out, err = checked(capsys, f"--changed-since={rev}", ".")
    assert (code, out) == (2, "")
    assert f'"{rev}"' in err
    assert not Path("x").exists()


@pytest.mark.parametrize("rev", ["HEAD", "@"])
def test_before_the_first_commit_all_that_is_tracked_is_new(rev: str, capsys: Capture) -> None:
    place({"p/a.toml": BAD, "p/b.toml": BAD})
    git("add", "p/a.toml")
    code, out, _ = checked(capsys, "--changed-since", rev, ".")
    assert code == 1
    assert "1 profile: " in out
    assert "1 not tracked by git" in out
    assert checked(capsys, "--changed-since", "main", ".")[0] == 2


def test_nothing_that_changed_is_no_failure(capsys: Capture) -> None:
    commit({"p/a.toml": BAD, "notes.md": "one"})
    place({"notes.md": "two"})
    code, out, err = checked(capsys, "--changed-since", "HEAD", ".")
    assert code == 0
    assert err == "nothing that changed since HEAD concerns a profile"
    assert "1 not changed, nor what it rests on" in out
    assert checked(capsys, "--changed-since", "HEAD~0", "p/a.toml")[0] == 0


def test_older_revisions_count_commits_and_what_is_not_committed(capsys: Capture) -> None:
    commit({"p/a.toml": using("../c/a.toml", 1), "p/b.toml": BAD, "c/a.toml": COLUMN})
    commit({"p/d.toml": TEXT})
    commit({"p/e.toml": TEXT.replace("014", "015")})
    assert "1 profile: " in checked(capsys, "--changed-since", "HEAD~1", ".")[1]
    assert "2 profiles: " in checked(capsys, "--changed-since", "HEAD~2", ".")[1]
    place({"c/a.toml": COLUMN.replace("450", "460")})
    code, out, err = checked(capsys, "--changed-since", "HEAD~2", ".")
    assert "3 profiles: " in out
    assert code == 0
    assert "checked as in the working tree: c/a.toml" in err


def test_what_is_only_staged_counts(capsys: Capture) -> None:
    """The edit is staged and taken back in the working tree: the commit would still hold it."""
    commit({"p/a.toml": TEXT})
    commit({"p/b.toml": TEXT.replace("014", "015")})
    place({"p/a.toml": BAD})
    git("add", "-A")
    place({"p/a.toml": TEXT})
    code, out, err = checked(capsys, "--changed-since", "HEAD", ".")
    assert "1 profile: " in out
    assert "not as staged for the commit, checked as in the working tree: p/a.toml" in err
    assert code == 0


@pytest.mark.parametrize("gone", [["c/base.toml"], ["c/a.toml"], ["c/base.toml", "c/a.toml"]])
def test_users_of_what_is_gone_are_found_through_a_chain(gone: list[str], capsys: Capture) -> None:
    own = COLUMN + 'use = "base.toml#column"\n'
    commit(
        {
            "p/a.toml": using("../c/a.toml", 1),
            "p/b.toml": TEXT,
            "c/a.toml": own,
            "c/base.toml": COLUMN,
        }
    )
    git("rm", "-q", *gone)
    code, out, _ = checked(capsys, "--changed-since", "HEAD", ".")
    assert code == 2
    assert "1 profile, 1 unreadable" in out


@pytest.mark.parametrize("change", ["link", "file", "folder"])
def test_links_on_the_way_to_a_shared_file_count(change: str, capsys: Capture) -> None:
    commit({"p/a.toml": using("../c/a.toml"), "new/a.toml": COLUMN, "old/real.toml": COLUMN})
    Path("old/a.toml").symlink_to("real.toml")
    Path("c").symlink_to("old")
    commit({})
    assert "0 profiles: " in checked(capsys, "--changed-since", "HEAD", ".")[1]
    if change == "file":
        place({"old/real.toml": COLUMN.replace("450", "455")})
    else:
        link = Path("c" if change == "folder" else "old/a.toml")
        link.unlink()
        link.symlink_to("new" if change == "folder" else "../new/a.toml")
    code, out, _ = checked(capsys, "--changed-since", "HEAD", ".")
    assert code == 0
    assert "1 profile: " in out


def test_a_source_that_changed_concerns_what_was_made_from_it(capsys: Capture) -> None:
    none = "0" * 64
    source = f"""
[[source]]
path = "../m/method.toml"
gave = "method"
sha256 = "{none}"
values = "{none}"
"""
    commit({"m/method.toml": TEXT.replace("014", "016"), "p/a.toml": TEXT + source})
    assert "0 profiles: " in checked(capsys, "--changed-since", "HEAD", "p")[1]
    place({"m/method.toml": TEXT.replace("014", "017")})
    _, out, _ = checked(capsys, "--changed-since", "HEAD", "p")
    assert "p/a.toml" in out
    assert "1 profile" in out


def test_a_policy_that_goes_concerns_all_under_it(capsys: Capture) -> None:
    policy = '[severity]\nhigh-cutoff-above-rating = "note"\n'
    commit({"p/a.toml": TEXT, "p/limitcheck.toml": policy, "q/b.toml": TEXT})
    git("rm", "-q", "p/limitcheck.toml")
    forget_policies()
    _, out, _ = checked(capsys, "--changed-since", "HEAD", ".")
    assert "1 profile: " in out
    assert "p/a.toml" in out


def test_a_policy_by_a_link_that_changed_concerns_all_under_it(capsys: Capture) -> None:
    commit({"p/a.toml": TEXT, "house/rules.toml": "", "q/b.toml": TEXT})
    Path("p/limitcheck.toml").symlink_to("../house/rules.toml")
    commit({})
    place({"house/rules.toml": 'fail_on = "note"\n'})
    forget_policies()
    _, out, _ = checked(capsys, "--changed-since", "HEAD", ".")
    assert "1 profile: " in out
    assert "p/a.toml" in out


@pytest.mark.parametrize(
    "reference", ["a/" * 400_000, "\\u0000", "..", ".", "/", "#column", "a.toml", "~", "../" * 90]
)
def test_odd_references_lead_to_no_crash(reference: str, capsys: Capture) -> None:
    commit({"p/a.toml": using(reference), "p/b.toml": TEXT})
    assert "0 profiles: " in checked(capsys, "--changed-since", "HEAD", "p")[1]
    place({"p/a.toml": using(reference) + "\n"})
    code, out, _ = checked(capsys, "--changed-since", "HEAD", "p")
    assert code == 2
    assert "1 profile, 1 unreadable" in out


def test_known_findings_that_change_concern_all(capsys: Capture) -> None:
    place({"p/a.toml": BAD, "p/b.toml": TEXT})
    run(["check", "p", "--write-known", "known.json"])
    commit({})
    asked = ("--changed-since", "HEAD", "--known", "known.json", ".")
    capsys.readouterr()
    assert "0 profiles: " in checked(capsys, *asked)[1]
    place({"known.json": '{"format": 1, "known": []}'})
    code, out, _ = checked(capsys, *asked)
    assert code == 1
    assert "2 profiles: " in out


def test_git_is_started_only_when_asked_for(
    capsys: Capture, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    """A git that leaves a mark where it is started."""
    commit({"p/a.toml": TEXT})
    program, mark = tmp_path / "git", tmp_path / "started"
    program.write_text(f"#!/bin/sh\n: > {mark}\nexit 1\n")
    program.chmod(0o755)
    monkeypatch.setenv("PATH", f"{tmp_path}{os.pathsep}{os.environ['PATH']}")
    assert checked(capsys, "p/a.toml", ".")[0] == 0
    assert not mark.exists()
    code, _, err = checked(capsys, "--tracked", ".")
    assert code == 0
    assert mark.exists()
    assert "every file on disk is checked, whether it is tracked or not: git does not" in err


def test_names_of_any_bytes(capsys: Capture) -> None:
    names = ["p/a b.toml", "p/tee \u00e9.toml", 'p/"q".toml', "p/a\nb.toml", "p/-x.toml"]
    commit(dict.fromkeys(names, TEXT))
    odd = Path(os.fsdecode(b"p/\xff.toml"))
    try:
        odd.write_text(TEXT)
    except OSError:
        pytest.skip("this file system takes no such name")
    git("add", "-A")
    assert "6 profiles: " in checked(capsys, "--tracked", ".")[1]
    assert "1 profile: " in checked(capsys, "--changed-since", "HEAD", ".")[1]


def test_without_git_every_file_on_disk_is_checked(
    capsys: Capture, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    commit({"p/a.toml": TEXT})
    place({"p/b.toml": BAD})
    monkeypatch.setenv("PATH", str(tmp_path))
    for option in ("--tracked", "--changed-since=HEAD"):
        code, out, err = checked(capsys, option, ".")
        assert code == 1
        assert "2 profiles: " in out
        assert "every file on disk is checked, whether it is tracked or not: git cannot" in err


def test_outside_of_a_working_tree_every_file_on_disk_is_checked(
    capsys: Capture, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    commit({"p/a.toml": TEXT})
    monkeypatch.setenv("GIT_CEILING_DIRECTORIES", str(tmp_path))
    outside = tmp_path / "outside"
    place({str(outside / "b.toml"): BAD})
    code, out, err = checked(capsys, "--tracked", ".", str(outside))
    assert code == 1
    assert "2 profiles: " in out
    assert f"{outside}: every file on disk" in err
    git("init", "-q", "--bare", str(outside))
    code, _, err = checked(capsys, "--changed-since", "HEAD", str(outside))
    assert code == 1
    assert "every file on disk is checked" in err


def test_another_repository_than_that_of_a_hook_is_asked_for_itself(
    capsys: Capture, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Only for its own working tree does the environment of a hook name the index."""
    commit({"p/a.toml": TEXT})
    other = tmp_path / "other"
    other.mkdir()
    git("init", "-q", str(other))
    place({str(other / "b.toml"): BAD, str(other / "c.toml"): BAD})
    git("-C", str(other), "add", "b.toml")
    monkeypatch.setenv("GIT_DIR", ".git")
    monkeypatch.setenv("GIT_INDEX_FILE", ".git/index")
    code, out, err = checked(capsys, "--tracked", str(other))
    assert (code, err) == (1, "")
    assert "1 profile: " in out
    assert "1 not tracked by git" in out
    code, out, err = checked(capsys, "--tracked", "p")
    assert (code, err) == (0, "")
    assert "1 profile: " in out


def test_a_submodule_is_part_of_the_tree(capsys: Capture, tmp_path: Path) -> None:
    other = tmp_path / "shared"
    other.mkdir()
    git("init", "-q", str(other))
    place({str(other / "a.toml"): COLUMN})
    git("-C", str(other), "add", "-A")
    git("-C", str(other), "commit", "-qm", "columns")
    git("-c", "protocol.file.allow=always", "submodule", "add", "-q", str(other), "c")
    commit({"p/a.toml": using("../c/a.toml"), "p/b.toml": TEXT.replace("014", "015")})
    code, out, err = checked(capsys, "--tracked", ".")
    assert (code, err) == (0, "")
    assert "2 profiles: " in out
    place({"c/a.toml": COLUMN.replace("450", "455")})
    assert "1 profile: " in checked(capsys, "--changed-since", "HEAD", ".")[1]


def test_a_used_file_that_git_does_not_track_fails(capsys: Capture) -> None:
    """It is here, so the profile can be read; in every other checkout it cannot."""
    own = COLUMN + 'use = "base.toml#column"\n'
    place({f"p/{n}.toml": using("../c/a.toml", n) for n in range(5)})
    place({"c/a.toml": own, "c/base.toml": COLUMN})
    git("add", "p", "c/a.toml")
    assert checked(capsys, ".")[0] == 0
    code, out, err = checked(capsys, "--tracked", ".")
    assert (code, err) == (2, "")
    assert "c/base.toml is here, but git does not track it: elsewhere this cannot be read" in out
    assert "5 profiles use it and cannot be checked: ./p/0.toml, ./p/1.toml, ./p/2.toml" in out
    assert "Do: git add c/base.toml" in out
    line = using("x").splitlines().index('use = "x#column"') + 1
    assert f"./p/0.toml:{line}:7: error: unreadable-profile" in out
    run(["check", "--tracked", "--format", "json", "p"])
    answer = json.loads(capsys.readouterr().out)
    assert answer["exit_code"] == 2
    assert answer["summary"]["unreadable"] == 5
    git("add", "c")
    assert checked(capsys, "--tracked", ".")[0] == 0


def test_a_policy_that_git_does_not_track_is_said(capsys: Capture) -> None:
    commit({"p/a.toml": TEXT})
    place({"limitcheck.toml": 'fail_on = "error"\n'})
    forget_policies()
    code, _, err = checked(capsys, "--tracked", ".")
    assert code == 0
    assert "limitcheck.toml holds here, but git does not track it" in err


def test_standard_input_is_not_tracked(capsys: Capture) -> None:
    code, _, err = checked(capsys, "--tracked", "-")
    assert code == 2
    assert "standard input is no file that git could track" in err
