"""The shipped hooks, run by pre-commit itself in git repositories made here.

In the tests the hooks run this installation (`language: system`); the shipped file is compared
with pre-commit's own schema. `pre-commit try-repo` with `language: python` installs from a registry
and is tried by hand: see DEVELOPERS.md.
"""

from __future__ import annotations

import os
import subprocess
import sys
from importlib.util import find_spec
from pathlib import Path

import pytest

from ..needs import need, need_program
from ..profiles_for_tests import CERTAIN
from ..profiles_for_tests import text as profile_text
from ..render.runs import GOOD, LOW_OFF

ROOT = Path(__file__).parents[2]
HOOKS = ROOT / ".pre-commit-hooks.yaml"
IDS = ("limitcheck", "limitcheck-changed", "limitcheck-diff")
INSTRUMENT = """\
[instrument]
id = "KB-LC-03"
pressure_unit = "bar"
display_step = 1
entry_max = 600
"""
COLUMN = """\
[[flow_path]]
part = "column"
rating = "450 bar"
"""
BAD = profile_text(**CERTAIN, method='"KB-BAD-001"')
TEA = GOOD.replace(INSTRUMENT.strip(), '[instrument]\nuse = "../instruments/kb-lc-03.toml"')
LEAF = profile_text(method='"KB-LEAF-002"').replace(
    'part = "column"\nrating = "450 bar"', 'use = "../columns/leaf.toml#column"'
)


@pytest.fixture
def hooks(tmp_path, monkeypatch):
    """A git repository with the shipped hooks and nothing committed."""
    need_program("git")
    need(find_spec("pre_commit"), "pre-commit is not installed")
    from yaml import safe_dump, safe_load

    folder = tmp_path / "methods"
    folder.mkdir()
    monkeypatch.chdir(folder)
    monkeypatch.setenv("PRE_COMMIT_HOME", str(tmp_path / "home"))
    monkeypatch.setenv("NO_COLOR", "1")
    for name in ("AUTHOR", "COMMITTER"):
        monkeypatch.setenv(f"GIT_{name}_NAME", "Harrow Mill")
        monkeypatch.setenv(f"GIT_{name}_EMAIL", "lab@example.org")
    shipped = safe_load(HOOKS.read_text("utf-8"))
    for hook in shipped:
        program, *rest = hook["entry"].split()
        assert program == "limitcheck"
        hook |= {"language": "system", "entry": " ".join([sys.executable, "-m", program, *rest])}
    config = {"repos": [{"repo": "local", "hooks": shipped}]}
    (folder / ".pre-commit-config.yaml").write_text(safe_dump(config), "utf-8")
    git("init", "-q", "-b", "main")
    pre_commit("install", "-t", "pre-commit", "-t", "pre-merge-commit")
    return folder


@pytest.fixture
def repository(hooks):
    """The same with an instrument, a column, and a good profile that uses each, committed."""
    place("instruments/kb-lc-03.toml", INSTRUMENT)
    place("columns/leaf.toml", COLUMN)
    place("pyproject.toml", '[project]\nname = "methods"\n')
    place("profiles/tea.toml", TEA)
    place("profiles/leaf.toml", LEAF)
    assert commit(hooks).count("Passed") == len(IDS)
    return hooks


def place(name, text):
    path = Path(name)
    path.parent.mkdir(exist_ok=True)
    path.write_text(text, "utf-8")
    return path


def git(*arguments):
    return subprocess.run(["git", *arguments], check=True, capture_output=True, text=True).stdout


def attempt(*arguments, folder=None):
    """A command of git that runs hooks: whether it was done, and what it printed."""
    command = ["git", *arguments]
    done = subprocess.run(command, check=False, capture_output=True, text=True, cwd=folder)
    return done.returncode == 0, done.stdout + done.stderr


def pre_commit(*arguments):
    command = [sys.executable, "-m", "pre_commit", *arguments]
    return subprocess.run(command, check=False, capture_output=True, text=True)


def commit(folder):
    """Commit everything; the hooks' output, or an AssertionError where a commit is stopped."""
    git("add", "-A")
    done, told = attempt("commit", "-q", "-m", "methods", folder=folder)
    assert done, told
    return told


def failed(told):
    """The hooks that failed, by id, from the lines of pre-commit."""
    found, name = set(), ""
    for line in told.splitlines():
        name = line.removeprefix("- hook id: ") if line.startswith("- hook id: ") else name
        if line.startswith("- exit code: "):
            found.add(name)
    return found


def limitcheck(*arguments, folder=None, **environment):
    """The exit code, output and errors of the command line, in a process of its own."""
    command = [sys.executable, "-m", "limitcheck", *arguments]
    done = subprocess.run(
        command,
        check=False,
        capture_output=True,
        text=True,
        cwd=folder,
        env={**os.environ, **environment},
    )
    return done.returncode, " ".join(done.stdout.split()), " ".join(done.stderr.split())


def test_a_good_commit_passes(repository):
    (repository / "profiles/other.toml").write_text(GOOD.replace("KB-TEA-014", "KB-TEA-015"))
    told = commit(repository)
    assert told.count("Passed") == len(IDS)
    assert len(git("log", "--oneline").splitlines()) == 2


def test_a_bad_commit_is_stopped_with_the_finding_and_the_correction(repository):
    place("profiles/other.toml", BAD)
    with pytest.raises(AssertionError) as stopped:
        commit(repository)
    told = str(stopped.value)
    assert told.count("Failed") == len(IDS)
    assert "profiles/other.toml:17:8: error: unit-confusion" in told
    assert "-high = 2900" in told
    assert "+high = 200" in told
    assert len(git("log", "--oneline").splitlines()) == 1


def test_a_changed_instrument_is_held_against_its_users(repository):
    """85 bar expected is beyond a field that takes 100 psi; the profile itself is unchanged."""
    path = repository / "instruments/kb-lc-03.toml"
    path.write_text(INSTRUMENT.replace('"bar"', '"psi"'))
    with pytest.raises(AssertionError) as stopped:
        commit(repository)
    told = str(stopped.value)
    assert told.count("Failed") == len(IDS)
    assert "profiles/tea.toml" in told


def test_profiles_are_held_against_each_other(repository):
    """Only the hooks that see every file can."""
    (repository / "profiles/other.toml").write_text(
        LOW_OFF.replace("low = 0", "low = 30")
        .replace("KB-TEA-014", "KB-TEA-015")
        .replace('pressure_unit = "bar"', 'pressure_unit = "MPa"')
        .replace("entry_max = 600", "entry_max = 60")
        .replace("high = 110\nlow = 30", "high = 11\nlow = 3")
        .replace("low = 60\nhigh = 85", "low = 6\nhigh = 8")
    )
    with pytest.raises(AssertionError) as stopped:
        commit(repository)
    assert "instrument-unit-conflict" in str(stopped.value)
    assert str(stopped.value).count("Failed") == 2


def test_other_toml_files_and_other_changes_pass(repository):
    (repository / "pyproject.toml").write_text('[project]\nname = "methods of tea"\n')
    assert commit(repository).count("Passed") == len(IDS)
    (repository / "notes.md").write_text("nothing\n")
    assert commit(repository).count("Passed") == len(IDS)


def test_the_shipped_file_is_a_manifest_pre_commit_accepts():
    need(find_spec("pre_commit"), "pre-commit is not installed")
    checked = pre_commit("validate-manifest", str(HOOKS))
    assert checked.returncode == 0, checked.stdout + checked.stderr
    text = HOOKS.read_text("utf-8")
    assert all(f"- id: {name}\n" in text for name in IDS)


def test_a_deleted_column_fails_both_hooks(repository):
    git("rm", "-q", "columns/leaf.toml")
    done, told = attempt("commit", "-qm", "gone")
    assert not done
    assert failed(told) == set(IDS)
    assert told.count("exit code: 2") == len(IDS)
    assert "columns/leaf.toml cannot be read" in told
    assert len(git("log", "--oneline").splitlines()) == 1


def test_a_moved_column_fails_both_hooks_until_its_users_follow(repository):
    git("mv", "columns/leaf.toml", "columns/green-leaf.toml")
    done, told = attempt("commit", "-qm", "moved")
    assert not done
    assert failed(told) == set(IDS)
    place("profiles/leaf.toml", LEAF.replace("leaf.toml#", "green-leaf.toml#"))
    assert commit(repository).count("Passed") == len(IDS)


def test_the_end_of_a_chain_of_uses_is_followed(repository):
    """The profile uses a column that uses another file, and only that one goes."""
    place("columns/base.toml", COLUMN)
    place("columns/leaf.toml", COLUMN + 'use = "base.toml#column"\n')
    commit(repository)
    git("rm", "-q", "columns/base.toml")
    done, told = attempt("commit", "-qm", "gone")
    assert not done
    assert failed(told) == set(IDS)
    assert "columns/base.toml cannot be read" in told


def test_a_commit_that_only_deletes_a_profile_passes(repository):
    git("rm", "-q", "profiles/leaf.toml")
    done, told = attempt("commit", "-qm", "withdrawn")
    assert done, told
    assert told.count("Passed") == len(IDS)


def test_a_renamed_profile_is_checked_under_its_new_name(repository):
    git("mv", "profiles/leaf.toml", "profiles/green.toml")
    code, told, _ = limitcheck("check", "--changed-since", "HEAD", ".")
    assert code == 0
    assert "./profiles/green.toml: " in told
    assert "1 profile: 0 errors" in told
    assert attempt("commit", "-qm", "renamed")[0]
    Path("profiles/deep").mkdir()
    git("mv", "profiles/green.toml", "profiles/deep/green.toml")
    done, told = attempt("commit", "-qm", "out of reach of its column")
    assert not done
    assert failed(told) == set(IDS)


@pytest.mark.parametrize("ignored", [False, True])
def test_an_untracked_profile_is_not_read(repository, ignored):
    """A new one that is not staged is none of this commit's."""
    place("profiles/bad.toml", BAD)
    place("drafts/bad.toml", BAD)
    place("notes.md", "notes\n")
    if ignored:
        place(".gitignore", "bad.toml\ndrafts/\n")
        git("add", ".gitignore")
    git("add", "notes.md")
    done, told = attempt("commit", "-qm", "notes")
    assert done, told
    code, told, _ = limitcheck("check", "--tracked", ".")
    assert code == 0
    assert "1 not tracked by git" in told
    assert "1 folder with nothing tracked by git" in told
    git("add", "--force", "profiles/bad.toml")
    done, told = attempt("commit", "-qm", "bad")
    assert not done
    assert failed(told) == set(IDS)


def test_what_is_staged_counts_not_what_is_edited_since(repository):
    place("profiles/leaf.toml", LEAF.replace("high = 250", "high = 2500"))
    place("notes.md", "notes\n")
    git("add", "notes.md")
    done, told = attempt("commit", "-qm", "an edit that is not staged")
    assert done, told
    git("add", "profiles/leaf.toml")
    place("profiles/leaf.toml", LEAF)
    code, _, errors = limitcheck("check", "--tracked", ".")
    assert code == 0
    assert "not as staged for the commit, checked as in the working tree: profiles/leaf" in errors
    done, told = attempt("commit", "-qm", "a fault that is staged")
    assert not done
    assert failed(told) == set(IDS)


@pytest.mark.parametrize(
    ("file", "text"),
    [
        ("limitcheck.toml", 'fail_on = "note"\nrequire = {checks = ["all"]}\n'),
        ("pyproject.toml", '[tool.limitcheck]\nfail_on = "note"\nrequire = {checks = ["all"]}\n'),
        ("profiles/limitcheck.toml", 'require = {checks = ["all"]}\n'),
    ],
)
def test_a_changed_policy_concerns_every_profile_under_it(repository, file, text):
    place(file, text)
    git("add", "-A")
    done, told = attempt("commit", "-qm", "policy")
    assert not done
    assert failed(told) == set(IDS)


def test_another_change_of_the_shared_settings_file_concerns_none(repository):
    place("pyproject.toml", '[project]\nname = "methods of tea"\n')
    code, told, errors = limitcheck("check", "--changed-since", "HEAD", ".")
    assert code == 0
    assert "nothing that changed since HEAD concerns a profile" in errors
    assert "4 not changed, nor what they rest on" in told


def test_a_commit_of_named_files_is_judged_by_these(repository):
    """git commit FILE and git commit -a give the hooks another index than the usual one."""
    place("profiles/bad.toml", BAD)
    place("profiles/tea.toml", TEA.replace("high = 110", "high = 112"))
    git("add", "-A")
    done, told = attempt("commit", "-qm", "one of two", "--", "profiles/tea.toml")
    assert done, told
    assert git("show", "--name-only", "--format=") == "profiles/tea.toml\n"
    git("rm", "-qf", "profiles/bad.toml")
    place("profiles/tea.toml", TEA.replace("high = 110", "high = 1100"))
    done, told = attempt("commit", "-aqm", "all")
    assert not done
    assert failed(told) == set(IDS)


def test_before_the_first_commit_everything_is_new(hooks):
    place("profiles/bad.toml", BAD)
    git("add", "-A")
    done, told = attempt("commit", "-qm", "first")
    assert not done
    assert failed(told) == set(IDS)


def test_a_merge_that_parts_a_profile_from_its_column_is_stopped(repository):
    """Each side is good by itself, and git sees no conflict."""
    git("checkout", "-qb", "other")
    place("profiles/green.toml", LEAF.replace("KB-LEAF-002", "KB-GREEN-003"))
    commit(repository)
    git("checkout", "-q", "main")
    git("rm", "-q", "columns/leaf.toml")
    git("rm", "-q", "profiles/leaf.toml")
    done, told = attempt("commit", "-qm", "the column and its only user")
    assert done, told
    done, told = attempt("merge", "--no-edit", "other")
    assert not done
    assert failed(told) == set(IDS)
    assert "profiles/green.toml" in told


def test_a_commit_from_a_folder_below_looks_at_all(repository):
    git("rm", "-q", "columns/leaf.toml")
    done, told = attempt("commit", "-qm", "gone", folder=repository / "profiles")
    assert not done
    assert failed(told) == set(IDS)
    code, told, _ = limitcheck("check", "--changed-since", "HEAD", ".", folder="profiles")
    assert code == 2
    assert "1 profile, 1 unreadable" in told


def test_a_commit_in_a_second_working_tree_is_judged_by_its_files(repository):
    place(".gitignore", "second/\n")
    commit(repository)
    git("worktree", "add", "-q", "second", "-b", "second")
    done, told = attempt("rm", "-q", "columns/leaf.toml", folder="second")
    assert done, told
    done, told = attempt("commit", "-qm", "gone", folder="second")
    assert not done
    assert failed(told) == set(IDS)
    assert limitcheck("check", "--tracked", ".")[0] == 0
    assert limitcheck("check", "--tracked", "second")[0] == 2


def test_the_changed_hook_says_what_it_looked_at(repository):
    """Also where it passes: over a whole checkout, nothing has changed, so nothing is checked."""
    told = " ".join(pre_commit("run", "--all-files", "limitcheck-changed").stdout.split())
    assert "nothing that changed since HEAD concerns a profile" in told
    place("profiles/leaf.toml", LEAF.replace("high = 250", "high = 251"))
    assert "./profiles/leaf.toml: 2" in commit(repository)
