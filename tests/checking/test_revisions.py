"""Other revisions of a method: what is found, and what is said of where nobody could look."""

from __future__ import annotations

import subprocess
from pathlib import Path

import pytest

from limitcheck.checking.revisions import OtherRevisions, other_revisions
from limitcheck.profile.load import load

BASE = Path(__file__).parents[1] / "transfer" / "bases" / "isocratic.toml"
TEXT = BASE.read_text("utf-8")
OLDER = TEXT.replace('revision = "B"', 'revision = "A"')
BROKEN = OLDER.replace("format = 1", "format = = 1")


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    assert OLDER not in (TEXT, BROKEN)
    (tmp_path / "a.toml").write_text(TEXT, "utf-8")
    return tmp_path


def git(*words: str) -> None:
    who = ["-c", "user.name=analyst", "-c", "user.email=analyst@example.org"]
    subprocess.run(["git", *who, *words], check=True, capture_output=True)


def committed(name: str, text: str, message: str) -> None:
    Path(name).write_text(text, "utf-8")
    git("add", "-A")
    git("commit", "-qm", message)


def found() -> OtherRevisions:
    return other_revisions(load("a.toml"))


def test_a_file_that_no_one_can_read_may_hold_one(folder: Path) -> None:
    """A link to nowhere, and a file past the size that is read."""
    (folder / "link.toml").symlink_to("nowhere.toml")
    (folder / "large.toml").write_text(OLDER + "#" + "x" * 20_000_000, "utf-8")
    (folder / "none-of-ours.toml").write_text("[tool]\n", "utf-8")
    assert set(found().unreadable) == {"link.toml", "large.toml"}
    assert "cannot be read, and may hold one: large.toml, link.toml" in found().text


def test_many_names_are_not_all_said(folder: Path) -> None:
    for number in range(8):
        (folder / f"broken-{number}.toml").write_text(BROKEN, "utf-8")
    assert found().text.endswith("broken-4.toml and 3 more.")


def test_a_file_that_was_renamed_keeps_its_history(folder: Path) -> None:
    git("init", "-q")
    (folder / "a.toml").unlink()
    committed("before a.toml", OLDER, "A")
    git("mv", "before a.toml", "a.toml")
    committed("a.toml", TEXT, "B")
    (item,) = found().found
    assert item.revision == "A"
    assert item.path.startswith("before a.toml at ")


def test_a_commit_that_cannot_be_read_may_hold_one(folder: Path) -> None:
    git("init", "-q")
    committed("a.toml", BROKEN, "A")
    committed("a.toml", TEXT, "B")
    (item,) = found().unreadable
    assert item.startswith("a.toml at ")
    assert found().found == ()


def test_a_shallow_clone_has_not_all_of_the_history(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    git("init", "-q")
    committed("a.toml", OLDER, "A")
    committed("a.toml", TEXT, "B")
    assert found().no_history == ""
    git("clone", "-q", "--depth", "1", f"file://{folder}", "clone")
    monkeypatch.chdir("clone")
    assert found().found == ()
    assert "a shallow clone, without what was not fetched" in found().text


def test_a_repository_without_a_commit_has_no_history(folder: Path) -> None:
    git("init", "-q")
    assert found() == OtherRevisions((), ".", True, (), "", True)


def test_a_folder_without_git_was_not_asked_about(folder: Path) -> None:
    assert not found().asked
    assert "git was not asked: not a git repository" in found().text
