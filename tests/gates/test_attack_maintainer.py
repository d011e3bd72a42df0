"""Faults of issue 14's code that a reading found; each test fails until its fault is mended."""

from __future__ import annotations

import subprocess
from pathlib import Path

import pytest

from limitcheck.checking.policy_file import forget_policies
from limitcheck.cli.app import run as command

from ..needs import need_program
from ..render.runs import GOOD

BAD = GOOD.replace("KB-TEA-014", "KB-BAD-001").replace("high = 110", "high = 9000")
COLUMN = """\
[[flow_path]]
part = "column"
length = "150 mm"
bore = "4.6 mm"
particle_size = "5 um"
inlet_frit = "2 um"
outlet_frit = "2 um"
rating = "400 bar"
"""
BEFORE, _, _REST = GOOD.partition(COLUMN)
SHARED = f'{BEFORE}[[flow_path]]\nuse = "parts/col.toml#column"\n{_REST}'


SETTINGS = (
    *("-c", "protocol.file.allow=always", "-c", "user.name=Harrow Mill"),
    *("-c", "user.email=lab@example.org"),
)


def git(folder: Path, *arguments: str) -> None:
    subprocess.run(["git", *SETTINGS, *arguments], cwd=folder, check=True, capture_output=True)


def commit(folder: Path) -> None:
    git(folder, "add", "-A")
    git(folder, "commit", "-q", "-m", "profiles")


@pytest.fixture
def lab(tmp_path, monkeypatch):
    """An empty git repository."""
    need_program("git")
    folder = tmp_path / "methods"
    folder.mkdir()
    monkeypatch.chdir(folder)
    git(folder, "init", "-q", ".")
    return folder


@pytest.fixture
def check(capsys):
    """Runs the check; gives the exit code and all that was printed."""

    def run(*arguments: str) -> tuple[int, str]:
        forget_policies()
        code = command(["check", *arguments])
        told = capsys.readouterr()
        return code, " ".join((told.out + told.err).split())

    return run


def test_a_change_of_a_policy_that_is_a_link_concerns_its_profiles(lab, check):
    (lab / "policies").mkdir()
    (lab / "tea").mkdir()
    (lab / "tea" / "tea.toml").write_text(GOOD)
    (lab / "policies" / "house.toml").write_text('fail_on = "error"\n')
    (lab / "tea" / "limitcheck.toml").symlink_to("../policies/house.toml")
    commit(lab)
    (lab / "policies" / "house.toml").write_text(
        '[margins]\nhigh_thin = "60 %"\n[severity]\nhigh-cutoff-margin-thin = "error"\n'
    )
    assert check(".")[0] == 1
    code, text = check("--changed-since", "HEAD", ".")
    assert code == 1, text


def test_a_submodule_that_git_is_told_to_ignore_is_followed(lab, check, tmp_path):
    parts = tmp_path / "parts"
    parts.mkdir()
    git(parts, "init", "-q", ".")
    (parts / "col.toml").write_text(COLUMN)
    commit(parts)
    git(lab, "submodule", "add", "-q", str(parts), "parts")
    git(lab, "config", "-f", ".gitmodules", "submodule.parts.ignore", "all")
    (lab / "tea.toml").write_text(SHARED)
    commit(lab)
    assert check(".")[0] == 0
    (lab / "parts" / "col.toml").write_text(COLUMN.replace("400 bar", "90 bar"))
    assert check(".")[0] == 1
    code, text = check("--changed-since", "HEAD", ".")
    assert code == 1, text


@pytest.mark.parametrize("option", [("--tracked",), ("--changed-since", "HEAD")])
def test_a_staged_profile_that_is_gone_from_disk_is_not_said_to_be_checked(lab, check, option):
    (lab / "tea.toml").write_text(GOOD)
    commit(lab)
    (lab / "bad.toml").write_text(BAD)
    git(lab, "add", "bad.toml")
    (lab / "bad.toml").unlink()
    code, text = check(*option, ".")
    assert code != 0, text
    assert "checked as in the working tree: bad.toml" not in text


def test_tracked_profiles_that_are_not_checked_out_are_said(lab, check):
    (lab / "tea").mkdir()
    (lab / "old").mkdir()
    (lab / "tea" / "tea.toml").write_text(GOOD)
    (lab / "old" / "bad.toml").write_text(BAD)
    commit(lab)
    git(lab, "sparse-checkout", "set", "tea")
    assert not (lab / "old").exists()
    _, text = check("--tracked", ".")
    assert "bad.toml" in text or "not checked out" in text, text


def test_a_file_that_git_is_told_not_to_look_at_is_not_taken_for_unchanged(lab, check):
    (lab / "tea.toml").write_text(GOOD)
    commit(lab)
    git(lab, "update-index", "--assume-unchanged", "tea.toml")
    (lab / "tea.toml").write_text(BAD)
    code, text = check("--changed-since", "HEAD", ".")
    assert code == 1, text


def test_toml_deeper_in_a_hidden_folder_is_said(lab, check):
    (lab / "tea.toml").write_text(GOOD)
    (lab / ".lab" / "methods").mkdir(parents=True)
    (lab / ".lab" / "methods" / "bad.toml").write_text(BAD)
    _, text = check(".")
    assert "hidden folder" in text, text


def test_nothing_found_is_no_green_with_changed_since_either(lab, check):
    (lab / "limitcheck.toml").write_text('exclude = ["*"]\n')
    (lab / "tea.toml").write_text(GOOD)
    commit(lab)
    (lab / "tea.toml").write_text(BAD)
    assert check("--tracked", ".")[0] == 2
    code, text = check("--changed-since", "HEAD", ".")
    assert code == 2, text


def test_a_broken_profile_that_uses_a_named_description_is_said(lab, check):
    (lab / "parts").mkdir()
    (lab / "parts" / "col.toml").write_text(COLUMN)
    (lab / "tea.toml").write_text(SHARED)
    (lab / "leaf.toml").write_text(SHARED.replace("KB-TEA-014", "KB-LEAF-002") + "\nx = [\n")
    assert check(".")[0] == 2
    code, text = check("parts/col.toml")
    assert code == 2, text


def test_an_excluded_profile_that_uses_a_named_description_is_said(lab, check):
    (lab / "parts").mkdir()
    (lab / "old").mkdir()
    (lab / "parts" / "col.toml").write_text(COLUMN)
    (lab / "tea.toml").write_text(SHARED)
    leaf = SHARED.replace("KB-TEA-014", "KB-LEAF-002").replace("parts/", "../parts/")
    (lab / "old" / "leaf.toml").write_text(leaf)
    (lab / "limitcheck.toml").write_text('exclude = ["old"]\n')
    _, text = check("parts/col.toml")
    assert "1 TOML file skipped: 1 excluded" in text, text


def test_a_known_undecided_check_does_not_hide_another(lab, check):
    bare = GOOD.replace('[expected]\nlow = 60\nhigh = 85\nbasis = "measured"\n', "")
    (lab / "tea.toml").write_text(bare)
    check("--require", "high-cutoff-margin-wide", "--write-known", "known.json", "tea.toml")
    assert check("--require", "expected-inverted", "tea.toml")[0] == 1
    code, text = check("--require", "expected-inverted", "--known", "known.json", "tea.toml")
    assert code == 1, text


def test_what_is_required_fails_though_a_missing_cutoff_is_only_a_note(lab, check):
    (lab / "tea.toml").write_text(GOOD.replace("high = 110\n", ""))
    (lab / "limitcheck.toml").write_text('[severity]\nhigh-cutoff-missing = "note"\n')
    code, text = check("tea.toml")
    assert code == 1, text
