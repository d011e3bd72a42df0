"""What was meant to be a profile, and what other TOML a folder of methods may hold."""

from __future__ import annotations

from pathlib import Path

import pytest

from limitcheck.profile.load import load
from limitcheck.profile.text import LARGEST_FILE, NotAProfile, UnreadableProfile
from tests.profiles_for_tests import text

CLEAN = text()
TWO = "[cutoffs]\nhigh = 260\n\n[conditions]\nflow = '1.0 mL/min'\n"
MUSIC = '[instrument]\nname = "piano"\n\n[[track]]\ntempo = 120\n'
LOCK = 'lock-version = "1.0"\n\n[[packages]]\nname = "cutoffs"\n'
CONFLICT = "<<<<<<< ours\n{0}=======\n{0}>>>>>>> theirs\n"
BROKEN = '\n[[flow_path\npart = "waste'
FILLER = "# " + LARGEST_FILE * "x" + "\n"


def kind(folder: Path, content: str | bytes, name: str = "some.toml") -> str:
    """What a folder search takes a file for: another kind, `profile` or `unreadable`."""
    path = folder / name
    path.write_bytes(content if isinstance(content, bytes) else content.encode())
    try:
        load(path, only_profiles=True)
    except NotAProfile as error:
        return error.reason
    except UnreadableProfile:
        return "unreadable"
    return "profile"


def test_a_profile_is_one(tmp_path: Path) -> None:
    assert kind(tmp_path, CLEAN) == "profile"
    assert kind(tmp_path, CLEAN, "air-lock.toml") == "profile"


MEANT: dict[str, str | bytes] = {
    "one table in capitals": CLEAN.replace("[instrument]", "[Instrument]"),
    "every table in capitals": CLEAN.upper(),
    "a dash": CLEAN.replace("flow_path", "flow-path"),
    "a letter missing": CLEAN.replace("[instrument]", "[instrment]"),
    "letters that changed places": CLEAN.replace("[method]", "[mehtod]"),
    "no format": CLEAN.replace("format = 1", ""),
    "format in quotes": CLEAN.replace("format = 1", 'format = "1"'),
    "format of another version": CLEAN.replace("format = 1", "format = 2"),
    "format in capitals": CLEAN.replace("format = 1", "FORMAT = 1"),
    "only format": "format = 1\n",
    "format and others": 'format = 1\n\n[limits]\nhighest = "260 bar"\n',
    "two tables": TWO,
    "two misspelt tables": TWO.replace("cutoffs", "Cut-Offs").replace("conditions", "condition"),
    "one table, and a telling key": '[instruments]\nid = "KB"\npressure_unit = "bar"\n',
    "keys without their tables": 'pressure_unit = "bar"\ndisplay_step = 1\nhigh = 260\n',
    "a whole profile one level too deep": "".join(
        f"[profile.{line[1:]}" if line.startswith("[") and "[[" not in line else line
        for line in CLEAN.replace("[[flow_path]]", "[[profile.flow_path]]").splitlines(True)
    ),
    "only the schema line": "#:schema ../limitcheck/profile/profile.schema.json\n",
    "a misspelt schema line": "# schema: ../limitcheck/profil.json\n",
    "a misspelt description": '[[flow-path]]\npart = "fitting"\nrating = "345 bar"\n',
    # Not TOML.
    "broken, with format": "format = 1\n[",
    "broken, with two tables": TWO + BROKEN,
    "broken, with a pressure": '[cutoffs]\nhigh = "6000 psi\n',
    "broken, without tables": 'rating = "6000 psi"\nhigh = "5000 psi\n',
    "broken, tables on a line": "cutoffs = {high = 260, low = 30\nconditions = {flow = 1\n",
    "broken, dotted keys": "cutoffs.high = 260\nconditions.flow = 1 mL/min\n",
    "another notation": '{\n"instrument": {\n  "pressure_unit": "bar",\n  "entry_max": 60\n}}\n',
    "a conflict of two changes": CONFLICT.format(CLEAN),
    "UTF-16": CLEAN.encode("utf-16"),
    "UTF-16 without a mark": CLEAN.encode("utf-16-le"),
    "Latin-1": CLEAN.replace("format = 1", "format = 1 # µm").encode("latin-1"),
    "line ends of an old system": (TWO + BROKEN).replace("\n", "\r").encode(),
    "far too large": TWO + FILLER,
}


@pytest.mark.parametrize("content", MEANT.values(), ids=MEANT)
def test_what_was_meant_to_be_a_profile_is_not_skipped(
    content: str | bytes, tmp_path: Path
) -> None:
    assert kind(tmp_path, content) == "unreadable"


OTHERS: dict[str, tuple[str, str | bytes, str]] = {
    "an empty file": ("some.toml", " \n", "empty"),
    "only remarks": ("some.toml", "# nothing yet\n", "not-a-profile"),
    "other settings": ("some.toml", '[server]\nport = 80\nhigh = "3 bar"\n', "not-a-profile"),
    "music": ("some.toml", MUSIC, "not-a-profile"),
    "only an instrument of music": ("some.toml", MUSIC.partition("[[")[0], "not-a-profile"),
    "a bow": ("some.toml", MUSIC + '[method]\nname = "bowed"\n', "not-a-profile"),
    "music in a format": ("some.toml", 'format = "wav"\n' + MUSIC, "not-a-profile"),
    "a shell's prompt": ("some.toml", 'format = "$all"\n[character]\n', "not-a-profile"),
    "a source": ("some.toml", '[[source]]\nurl = "https://example.org"\n', "not-a-profile"),
    "a test": ("some.toml", "[source]\npath = 'a'\n\n[expected]\nlines = 3\n", "not-a-profile"),
    "a filter": ("some.toml", "[cutoffs]\nlow = 0.1\nhigh = 30\n", "not-a-profile"),
    "an instrument": ("kb.toml", '[instrument]\nid = "KB"\npressure_unit = "bar"\n', "description"),
    "a part": ("tea.toml", '[[flow_path]]\npart = "fitting"\n', "description"),
    "a project": ("pyproject.toml", '[project]\nname = "tea"\n', "not-a-profile"),
    "a project about us": ("pyproject.toml", "[tool.tea]\nformat = 1\n", "not-a-profile"),
    "a broken project": ("pyproject.toml", "[project\n", "not-a-profile"),
    "a lock file": ("pylock.toml", LOCK, "lock-file"),
    "a lock file with format": ("pylock.dev.toml", "format = 1\n" + LOCK, "lock-file"),
    "a lock file in conflict": ("tea.lock.toml", CONFLICT.format(LOCK), "lock-file"),
    "a large lock file": ("conda-lock.toml", LOCK + 5 * FILLER, "lock-file"),
    "a broken file": ("some.toml", "[server\nport = \n", "not-toml"),
    "one table, broken": ("some.toml", MUSIC + "\n[", "not-toml"),
    "binary data": ("some.toml", bytes(range(256)) * 9, "not-toml"),
    "a large file": ("some.toml", "[server]\n" + 5 * FILLER, "too-large"),
}


@pytest.mark.parametrize(("name", "content", "reason"), OTHERS.values(), ids=OTHERS)
def test_other_toml_never_stops_a_search(
    name: str, content: str | bytes, reason: str, tmp_path: Path
) -> None:
    assert kind(tmp_path, content, name) == reason


def test_a_profile_named_like_a_lock_file_is_not_lost(tmp_path: Path) -> None:
    assert kind(tmp_path, TWO, "air-lock.toml") == "unreadable"
    assert kind(tmp_path, CLEAN + BROKEN, "air-lock.toml") == "unreadable"


def test_what_cannot_be_opened_may_be_a_profile(tmp_path: Path) -> None:
    for name, expected in (("tea.toml", UnreadableProfile), ("pylock.toml", NotAProfile)):
        (tmp_path / name).symlink_to("nowhere")
        with pytest.raises(expected):
            load(tmp_path / name, only_profiles=True)
