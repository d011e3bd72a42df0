"""The words for what a run skipped."""

from __future__ import annotations

import json

import pytest

from limitcheck.checking.looked import WORDS, Exclude, Looked, Skipped, no_profile
from limitcheck.schemas import command_schema

OLD = Exclude("old", "limitcheck.toml")
SKIPPED = (
    Skipped("pylock.toml", "lock-file"),
    Skipped("a.toml", "not-a-profile"),
    Skipped("old/b.toml", "excluded", OLD),
    Skipped("c.toml", "not-a-profile"),
    Skipped("old/d.toml", "excluded", OLD),
    Skipped("e.toml", "excluded", Exclude("e*", "limitcheck.toml")),
    Skipped("f.toml", "same-file", same_as="a.toml"),
    Skipped("g", "linked-folder"),
)


def test_files_are_counted_by_reason_and_folders_apart() -> None:
    looked = Looked(SKIPPED, (Exclude("gone", "limitcheck.toml"),), ("Something else",))
    assert looked.files == 7
    assert list(looked.sentences) == [
        '7 TOML files skipped: 2 not profiles, 2 excluded by exclude = "old" (limitcheck.toml), '
        '1 excluded by exclude = "e*" (limitcheck.toml), 1 lock file, '
        "1 another name of a file that is checked",
        "Not searched: 1 link to a folder",
        'exclude = "gone" (limitcheck.toml) matches nothing',
        "Something else",
    ]


def test_each_is_named_with_its_reason() -> None:
    assert [item.text for item in SKIPPED[1:4:2]] == [
        "a.toml: not a profile",
        "c.toml: not a profile",
    ]
    assert SKIPPED[2].text == 'old/b.toml: excluded by exclude = "old" (limitcheck.toml)'
    assert SKIPPED[6].text == "f.toml: another name of a file that is checked: a.toml"


def test_nothing_skipped_is_not_said() -> None:
    assert list(Looked().sentences) == []
    assert no_profile(Looked(), "").message == "no profile was found: nothing was checked"


@pytest.mark.parametrize("command", ["check", "fit", "propose"])
def test_the_schema_lists_every_reason(command: str) -> None:
    looked = json.loads(command_schema(command))["$defs"]["looked"]
    assert looked["properties"]["skipped"]["items"]["properties"]["reason"]["enum"] == list(WORDS)
