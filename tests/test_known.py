from __future__ import annotations

import json

import pytest

from limitcheck.checking.known import KnownError, parse_known
from limitcheck.cli.app import run as limitcheck

from .render.runs import GOOD, HIGH_PSI, UNREADABLE
from .render.runs import LOW_OFF as OTHER_LOW_OFF

LEAF = GOOD.replace("KB-TEA-014", "KB-LEAF-002")
LOW_OFF = OTHER_LOW_OFF.replace("KB-TEA-014", "KB-LEAF-002")


@pytest.fixture
def repository(tmp_path, monkeypatch):
    (tmp_path / "profiles").mkdir()
    (tmp_path / "profiles/tea.toml").write_text(HIGH_PSI)
    (tmp_path / "profiles/leaf.toml").write_text(LOW_OFF)
    monkeypatch.chdir(tmp_path)
    return tmp_path


def test_today_passes_and_a_new_finding_fails(repository, capsys):
    assert limitcheck(["check", "profiles"]) == 1
    assert limitcheck(["check", "profiles", "--write-known", "known.json"]) == 0
    assert limitcheck(["check", "profiles", "--known", "known.json", "--fail-on", "note"]) == 0
    assert "6 known" in capsys.readouterr().out
    (repository / "profiles/leaf.toml").write_text(LOW_OFF.replace("high = 110", "high = 80"))
    assert limitcheck(["check", "profiles", "--known", "known.json"]) == 1
    assert "high-cutoff-below-expected" in capsys.readouterr().out


def test_it_holds_from_any_folder(repository, monkeypatch):
    limitcheck(["check", "profiles", "--write-known", "known.json"])
    monkeypatch.chdir(repository / "profiles")
    assert limitcheck(["check", ".", "--known", "../known.json", "--fail-on", "note"]) == 0


def test_entries_that_no_longer_occur_are_reported(repository, capsys):
    limitcheck(["check", "profiles", "--write-known", "known.json"])
    (repository / "profiles/leaf.toml").write_text(LEAF)
    capsys.readouterr()
    assert limitcheck(["check", "profiles", "--known", "known.json"]) == 0
    shown = capsys.readouterr().out
    assert "no longer occur" in shown
    assert "profiles/leaf.toml: low-cutoff-off: cutoffs.low = off" in shown


def test_entries_of_a_file_that_is_gone_are_stale_and_of_one_not_checked_are_not(
    repository, capsys
):
    limitcheck(["check", "profiles", "--write-known", "known.json"])
    assert limitcheck(["check", "profiles/tea.toml", "--known", "known.json"]) == 0
    assert "no longer occur" not in capsys.readouterr().out
    (repository / "profiles/leaf.toml").unlink()
    assert limitcheck(["check", "profiles/tea.toml", "--known", "known.json"]) == 0
    assert "no longer occur" in capsys.readouterr().out


def test_the_file_is_stable_and_one_line_an_entry(repository):
    limitcheck(["check", "profiles", "--write-known", "known.json"])
    first = (repository / "known.json").read_text()
    limitcheck(["check", "profiles/tea.toml", "profiles/leaf.toml", "--write-known", "known.json"])
    assert (repository / "known.json").read_text() == first
    entries = json.loads(first)["known"]
    assert len(first.splitlines()) == len(entries) + 2
    assert entries == sorted(entries, key=lambda e: (e["file"], e["check"], e["at"]))


def test_an_unreadable_profile_is_never_known(repository, capsys):
    (repository / "profiles/tea.toml").write_text(UNREADABLE)
    assert limitcheck(["check", "profiles", "--write-known", "known.json"]) == 2
    assert "unreadable-profile" not in (repository / "known.json").read_text()


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("{", "not JSON"),
        ("[]", "not a known-findings file"),
        ('{"format": 9, "known": []}', "not a known-findings file"),
        ('{"format": 1}', "entry 1"),
        ('{"format": 1, "known": [{"fingerprint": 1}]}', "entry 1"),
        ('{"format": 1, "known": 5}', "entry 1"),
        (
            '{"format": 1, "known": [{"fingerprint": "f", "check": "c", "file": 1, "at": "a"}]}',
            "entry 1",
        ),
    ],
)
def test_a_wrong_file_is_refused(text, words):
    with pytest.raises(KnownError, match=words) as caught:
        parse_known(text)
    assert "--write-known" in caught.value.advice


def test_a_file_that_cannot_be_read_or_written(repository, capsys):
    assert limitcheck(["check", "profiles", "--known", "none.json"]) == 2
    assert "none.json cannot be read" in capsys.readouterr().err
    assert limitcheck(["check", "profiles", "--write-known", "no/folder.json"]) == 2
    assert "no/folder.json" in capsys.readouterr().err


def test_what_two_files_contradict_each_other_in_is_not_stale_when_one_is_checked(
    repository, capsys
):
    (repository / "profiles/leaf.toml").write_text(GOOD)  # the method of tea.toml once more
    assert limitcheck(["check", "profiles", "--write-known", "known.json"]) == 0
    assert "duplicate-method-revision" in (repository / "known.json").read_text()
    capsys.readouterr()
    for paths in (["profiles/tea.toml"], ["profiles"]):
        assert limitcheck(["check", *paths, "--known", "known.json", "--fail-on", "note"]) == 0
        assert "no longer occur" not in capsys.readouterr().out
