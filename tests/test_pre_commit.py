"""The shipped hooks, run by pre-commit itself in git repositories made here.

In the tests the hooks run this installation (`language: system`); the shipped file is held against
pre-commit's own schema. `pre-commit try-repo` with `language: python` installs from a registry and
is tried by hand: see DEVELOPERS.md.
"""

from __future__ import annotations

import os
import subprocess
import sys
from importlib.util import find_spec
from pathlib import Path

import pytest

from .needs import need, need_program
from .profiles_for_tests import CERTAIN
from .profiles_for_tests import text as profile_text
from .render.runs import GOOD, LOW_OFF

ROOT = Path(__file__).parents[1]
HOOKS = ROOT / ".pre-commit-hooks.yaml"
IDS = ("limitcheck", "limitcheck-changed", "limitcheck-diff")
INSTRUMENT = """\
[instrument]
id = "KB-LC-03"
pressure_unit = "bar"
display_step = 1
entry_max = 600
"""


@pytest.fixture
def repository(tmp_path, monkeypatch):
    """A git repository with the shipped hooks, an instrument and one good profile that uses it."""
    need_program("git")
    need(find_spec("pre_commit"), "pre-commit is not installed")
    from yaml import safe_dump, safe_load

    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("PRE_COMMIT_HOME", str(tmp_path / "home"))
    for name in ("AUTHOR", "COMMITTER"):
        monkeypatch.setenv(f"GIT_{name}_NAME", "Harrow Mill")
        monkeypatch.setenv(f"GIT_{name}_EMAIL", "lab@example.org")
    hooks = safe_load(HOOKS.read_text("utf-8"))
    for hook in hooks:
        program, *rest = hook["entry"].split()
        assert program == "limitcheck"
        hook |= {"language": "system", "entry": " ".join([sys.executable, "-m", program, *rest])}
    config = {"repos": [{"repo": "local", "hooks": hooks}]}
    (tmp_path / ".pre-commit-config.yaml").write_text(safe_dump(config), "utf-8")
    (tmp_path / ".gitignore").write_text("home/\n")
    for folder in ("instruments", "profiles"):
        (tmp_path / folder).mkdir()
    (tmp_path / "instruments/kb-lc-03.toml").write_text(INSTRUMENT)
    (tmp_path / "pyproject.toml").write_text('[project]\nname = "methods"\n')
    own, shared = INSTRUMENT.strip(), '[instrument]\nuse = "../instruments/kb-lc-03.toml"'
    assert own in GOOD
    (tmp_path / "profiles/tea.toml").write_text(GOOD.replace(own, shared))
    git("init", "-q")
    pre_commit("install")
    commit(tmp_path)
    return tmp_path


def git(*arguments):
    return subprocess.run(["git", *arguments], check=True, capture_output=True, text=True).stdout


def pre_commit(*arguments):
    command = [sys.executable, "-m", "pre_commit", *arguments]
    return subprocess.run(command, check=False, capture_output=True, text=True)


def commit(folder):
    """Commit everything; the hooks' output, or an AssertionError where a commit is stopped."""
    git("add", "-A")
    done = subprocess.run(
        ["git", "commit", "-q", "-m", "methods"],
        check=False,
        capture_output=True,
        text=True,
        cwd=folder,
        env={**os.environ, "NO_COLOR": "1"},
    )
    assert done.returncode == 0, done.stdout + done.stderr
    return done.stderr


def test_a_good_commit_passes(repository):
    (repository / "profiles/other.toml").write_text(GOOD.replace("KB-TEA-014", "KB-LEAF-002"))
    told = commit(repository)
    assert told.count("Passed") == len(IDS)
    assert len(git("log", "--oneline").splitlines()) == 2


def test_a_bad_commit_is_stopped_with_the_finding_and_the_correction(repository):
    bad = profile_text(**CERTAIN, method='id = "KB-LEAF-002"'.partition(" = ")[2])
    (repository / "profiles/other.toml").write_text(bad)
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
        .replace("KB-TEA-014", "KB-LEAF-002")
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
