"""Files nobody should be able to trip over: exit code 2, a plain error, nothing written."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from limitcheck.checking import selection
from limitcheck.checking.looked import NOTHING_SKIPPED
from limitcheck.checking.run import Target
from limitcheck.checking.selection import Selection
from limitcheck.cli.app import run
from limitcheck.profile.text import UnreadableProfile
from tests.profiles_for_tests import profile_file

CLEAN = (
    Path(__file__)
    .parents[1]
    .joinpath("profiles", "conventional-400-bar.toml")
    .read_text("utf-8")
    .removeprefix("#:schema ../limitcheck/profile/profile.schema.json\n")
)
HIGH = "high = 117  "


def with_high(value: str) -> bytes:
    assert CLEAN.count(HIGH) == 1
    return CLEAN.replace(HIGH, f"high = {value} ").encode()


def with_rating(value: str) -> bytes:
    return CLEAN.replace('rating = "150 bar"', f"rating = {value}").encode()


FILES: dict[str, tuple[bytes, str]] = {
    "empty": (b"", "the file is empty"),
    "only blanks": (b" \r\n\t\n", "the file is empty"),
    "only a byte-order mark": (b"\xef\xbb\xbf", "not a profile"),
    "binary": (bytes(range(256)), "binary data"),
    "UTF-16 with a mark": (CLEAN.encode("utf-16"), "UTF-16"),
    "UTF-16 without a mark": (CLEAN.encode("utf-16-le"), "binary data"),
    "UTF-32": (CLEAN.encode("utf-32"), "UTF-32"),
    "Latin-1": (CLEAN.replace("own", "ówn", 1).encode("latin-1"), "byte 0xf3 is not UTF-8"),
    "cut in the middle of a character": (CLEAN.encode() + "é".encode()[:1], "is not UTF-8"),
    "50 MB": (b"#" * 50_000_000, "far too large"),
    "10,000 deep lists": (b"format = 1\na = " + b"[" * 10_000 + b"]" * 10_000, "levels deep"),
    "10,000 deep tables": (b"format = 1\na = " + b"{a = " * 10_000, "levels deep"),
    "10,000 deep keys": (b"format = 1\na" + b".a" * 10_000 + b" = 1", "levels deep"),
    "a key twice": (b"format = 1\n" + CLEAN.encode(), "'format' is given twice"),
    "a table twice": (CLEAN.encode() + b"[cutoffs]\nhigh = 5\n", "'cutoffs' is given twice"),
    "no TOML at all": (b"<profile/>\n", "a key without ="),
    "another TOML file": (b"[project]\nname = 'x'\n", "not a profile"),
    "a date for a number": (with_high("2027-01-01"), "date or time where a number belongs"),
    "a time for a number": (with_high("07:30:00"), "date or time where a number belongs"),
    "a date for a rating": (with_rating("2027-01-01"), "date or time where a pressure belongs"),
    "400 digits": (with_high("9" * 400), "more than 40 digits"),
    "400 decimals": (with_high("0." + "9" * 400), "400 digits"),
    "5000 digits": (with_high("9" * 5000), "far too many digits"),
    "400 digits in text": (with_rating(f'"{"9" * 400} bar"'), "400"),
    "1e999": (with_high("1e999"), "10^999"),
    "1e999999999": (with_high("1e999999999"), "10^999999999"),
    "1e-999999999": (with_high("1e-999999999"), "10^-999999999"),
    "1e999 in text": (with_rating('"1e999 bar"'), "10^999"),
    "nan": (with_high("nan"), "not a number that can be set"),
    "inf": (with_high("inf"), "not a number that can be set"),
    "-inf": (with_high("-inf"), "not a number that can be set"),
    "nan in text": (with_rating('"nan bar"'), "nan"),
    "negative": (with_high("-5"), "negative"),
    "a table for a number": (with_high("{value = 5}"), "a table where"),
    "a list for a step": (
        CLEAN.replace("display_step = 1 ", "display_step = [] ").encode(),
        "a list where a number belongs",
    ),
    "a control character": (CLEAN.replace("150 x", r"\u001b[31m", 1).encode(), "control character"),
    "a raw control character": (CLEAN.replace("150 x", "\x1b[3m", 1).encode(), "control character"),
    "a table where a list belongs": (
        b"format = 1\n[method]\nid = 'a'\n[instrument]\nid = 'b'\n"
        b"pressure_unit = 'bar'\n[flow_path]\npart = 'pump'\n",
        "a table where a list belongs",
    ),
    "a text for a table": (
        b"format = 1\nmethod = 'x'\ninstrument = 5\nflow_path = true\n",
        "text where a table belongs",
    ),
    "the wrong format": (CLEAN.replace("format = 1", "format = true").encode(), "format"),
}


@pytest.fixture
def here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    """An empty folder to work in; nothing may be there at the end that the test did not make."""
    monkeypatch.chdir(tmp_path)
    yield tmp_path
    assert not [path.name for path in tmp_path.rglob("*") if path.name.startswith(".limitcheck-")]


def refused(capsys: pytest.CaptureFixture[str], *arguments: str) -> str:
    """Run a command that must be refused; returns what it said, checked for plainness."""
    assert run(list(arguments)) == 2
    printed = capsys.readouterr()
    said = printed.out + printed.err
    assert "Traceback" not in said
    assert not any(character < " " and character != "\n" for character in said)
    # A path is never cut, so that it can be copied.
    assert max(len(line) for line in said.splitlines() if ": error: " not in line) <= 80
    assert "Do: " in said
    return said.replace("\n  ", " ")


@pytest.mark.parametrize(("content", "message"), FILES.values(), ids=FILES.keys())
def test_a_bad_file_is_explained(
    content: bytes, message: str, here: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    Path("bad.toml").write_bytes(content)
    Path("good.toml").write_text(CLEAN, "utf-8")
    said = refused(capsys, "check", "bad.toml", "good.toml")
    assert message in said
    assert "bad.toml:" in said
    assert "2 profiles, 1 unreadable" in said
    assert sorted(os.listdir()) == ["bad.toml", "good.toml"]
    assert Path("bad.toml").read_bytes() == content


@pytest.mark.parametrize("content", [FILES[name][0] for name in ("empty", "nan", "binary")])
def test_other_commands_refuse_it_too(
    content: bytes, here: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    Path("bad.toml").write_bytes(content)
    for command in ("predict", "faults"):
        assert "bad.toml" in refused(capsys, command, "bad.toml")


def test_standard_input(here: Path) -> None:
    """Bytes that are no text arrive whole, and are refused by name."""
    command = [sys.executable, "-m", "limitcheck", "check", "-", "--stdin-name", "piped.toml"]
    done = subprocess.run(command, input=b"\xff\xfe\x00", capture_output=True, check=False)
    assert done.returncode == 2
    assert b"piped.toml:1:1" in done.stdout
    assert b"Traceback" not in done.stderr


def test_laboratory_computers_write_marks_and_old_line_ends(
    here: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A byte-order mark and CRLF are read, and places in such a file are right."""
    text = "\ufeff" + CLEAN.replace("\n", "\r\n")
    Path("lab.toml").write_bytes(text.encode())
    assert run(["check", "lab.toml"]) == 0
    Path("lab.toml").write_bytes(text.replace(HIGH, "high = 401  ").encode())
    capsys.readouterr()
    assert run(["check", "lab.toml"]) == 1
    line = CLEAN[: CLEAN.index(HIGH)].count("\n") + 1
    assert f"lab.toml:{line}:8: error: high-cutoff-above-rating" in capsys.readouterr().out


def make_missing() -> None:
    """Nothing is there."""


def make_dangling() -> None:
    Path("it.toml").symlink_to("nowhere.toml")


def make_loop() -> None:
    Path("it.toml").symlink_to("it.toml")


def make_fifo() -> None:
    os.mkfifo("it.toml")


PLACES: list[tuple[Callable[[], None], str]] = [
    (make_missing, "No such file"),
    (make_dangling, "a link to nowhere.toml, which is not there"),
    (make_loop, "symbolic links"),
    (make_fifo, "not a regular file"),
]


@pytest.mark.parametrize(("make", "message"), PLACES)
def test_what_is_no_file(
    make: Callable[[], None], message: str, here: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    make()
    assert message in refused(capsys, "check", "it.toml")


@pytest.mark.parametrize("name", ["a\x1b[2J.toml", "a\nb.toml", "\u202egnp.toml"])
def test_a_name_cannot_steer_the_terminal(
    name: str, here: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    Path(name).write_bytes(b"")
    said = refused(capsys, "check", name)
    assert "\u202e" not in said


def test_a_name_that_is_no_name(here: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert "cannot be read" in refused(capsys, "check", "x" * 5000)


def test_a_dangling_link_in_a_folder_is_not_passed_over(
    here: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    Path("folder").mkdir()
    Path("folder", "it.toml").symlink_to("nowhere.toml")
    assert "it.toml" in refused(capsys, "check", "folder")


def test_a_folder_that_cannot_be_listed(
    here: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    Path("folder").mkdir()

    def denied(path: object) -> Iterator[os.DirEntry[str]]:
        raise PermissionError(13, "Permission denied", path)

    monkeypatch.setattr(os, "scandir", denied)
    assert "Permission denied" in refused(capsys, "check", "folder")


def test_a_file_without_read_permission(
    here: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    Path("it.toml").write_text(CLEAN, "utf-8")

    def denied(path: object, *flags: int) -> int:
        raise PermissionError(13, "Permission denied", path)

    monkeypatch.setattr(os, "open", denied)  # root, who runs tests in containers, reads anything
    assert "Permission denied" in refused(capsys, "check", "it.toml")


def test_a_file_that_vanishes(
    here: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Listed, then gone before it is read."""
    gone = Selection((Target("folder/gone.toml", named=False),), NOTHING_SKIPPED)
    monkeypatch.setattr(selection, "select", lambda *_, **__: gone)
    Path("folder").mkdir()
    assert "gone.toml" in refused(capsys, "check", "folder")


@pytest.mark.parametrize(
    ("content", "line"),
    [(b"fail_on = 'error'\n[margins\n", 2), (b"[margins]\nhigh = nan\n", 2), (b"colour = 1\n", 1)],
)
def test_a_faulty_policy_is_explained_at_its_line(
    content: bytes, line: int, here: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    Path("limitcheck.toml").write_bytes(content)
    Path("it.toml").write_text(CLEAN, "utf-8")
    assert f"limitcheck.toml:{line}:" in refused(capsys, "check", "it.toml")


@pytest.mark.parametrize("content", [b"", b"\n"])
def test_an_empty_policy_marks_a_folder(content: bytes, here: Path) -> None:
    Path("limitcheck.toml").write_bytes(content)
    Path("it.toml").write_text(CLEAN, "utf-8")
    assert run(["check", "it.toml"]) == 0


def test_outputs_are_written_whole_or_not_at_all(
    here: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    Path("it.toml").write_text(CLEAN, "utf-8")
    for output in ("json=missing/out.json", "json=.", "paper=out", "json="):
        refused(capsys, "check", "it.toml", "--output", output)
    assert os.listdir() == ["it.toml"]


@pytest.mark.parametrize(
    ("typed", "advice"),
    [  # 1 psi = 6894.757 293 168 Pa (NIST SP 811, App. B.8)
        ("5802 psi", "5802 psi is about 400.03 bar: type 400, rounded the safe way"),
        ("28 MPa", "28 MPa is 280 bar: type 280"),
    ],
)
def test_a_rounded_cutoff_does_not_look_as_if_it_were_exact(typed: str, advice: str) -> None:
    """Attack on issue 18, 13: "5802 psi is 400 bar"."""
    with pytest.raises(UnreadableProfile) as caught:
        profile_file(high=f'"{typed}"')
    assert caught.value.findings[0].advice == advice
