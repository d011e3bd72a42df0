"""Nothing is written over an input, and a file that is written is whole, with what it had.

The first table names outputs that must be refused before anything runs; nothing changes then.
Owner, links and signals are tried with real files and real processes.
"""

from __future__ import annotations

import os
import signal
import stat
import subprocess
import sys
import time
from hashlib import sha256
from pathlib import Path
from typing import Any

import pytest

from limitcheck.cli.app import run
from limitcheck.profile.atomic import CannotWrite, create_file, replace_file
from limitcheck.profile.load import load
from tests.profiles_for_tests import CERTAIN, TEXT, WITH_GEOMETRY, text

Capture = pytest.CaptureFixture[str]
PART = '[[flow_path]]\npart = "column"\nlabel = "tea"\nrating = "400 bar"\n'
needs_posix = pytest.mark.skipif(os.name != "posix", reason="links, owners and signals of POSIX")


@pytest.fixture(autouse=True)
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    for name, content in {
        "tea.toml": TEXT,
        "leaf.toml": text(method='"KB-LEAF-002"'),
        "TEA-B.TOML": text(method='"KB-TEA-B"'),
        "geometry.toml": WITH_GEOMETRY,
        "named.txt": text(method='"KB-N"'),
        "damaged.toml": "format = [\n",
        "column.toml": PART,
        "limitcheck.toml": 'fail_on = "error"\n',
        "pyproject.toml": "[tool.other]\nx = 1\n",
        "runs.csv": "time,pressure [bar]\n2026-01-01,150\n",
        "notes.md": "# mine\n",
    }.items():
        (tmp_path / name).write_text(content, "utf-8")
    assert run(["check", "tea.toml", "--write-known", "known.json"]) == 0
    for link, target in (("link.json", "tea.toml"), ("deep.html", "link.json")):
        os.symlink(target, link)
    os.link("leaf.toml", "leaf.json")
    return tmp_path


def everything(folder: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in sorted(folder.iterdir()) if path.is_file()}


IS_PROFILE, IS_KNOWN = "it is a profile", "it is a known-findings file"
REFUSED = {
    "check tea.toml -o text=tea.toml": "is an input of this run",
    "check tea.toml -o text=./tea.toml": "is an input of this run, which is tea.toml",
    "check tea.toml -o json=leaf.toml": IS_PROFILE,
    "check tea.toml -o json=TEA-B.TOML": IS_PROFILE,
    "check tea.toml -o text=named.txt": IS_PROFILE,
    "check tea.toml -o named.txt": IS_PROFILE,
    "check named.txt -o named.txt": "is an input of this run",
    "check tea.toml -o tea.toml": "no known format",
    "check tea.toml -o link.json": "is an input of this run, which is tea.toml",
    "check leaf.toml -o leaf.json": "is an input of this run, which is leaf.toml",
    "check tea.toml -o leaf.json": IS_PROFILE,
    "check . -o text=column.toml": "it is a description of instruments or parts",
    "check . -o text=limitcheck.toml": "it is a policy",
    "check . -o text=pyproject.toml": "it is a TOML file",
    "check . -o text=damaged.toml": "it is a TOML file",
    "check tea.toml -o known.json": IS_KNOWN,
    "check tea.toml --known known.json -o known.json": "is an input of this run",
    "check tea.toml --write-known new.json -o new.json": "two outputs go to this file",
    "check tea.toml -o a.json -o json=./a.json": "two outputs go to this file",
    "check --write-known tea.toml leaf.toml": "put the name of the known-findings file",
    "check leaf.toml --write-known leaf.toml": "is an input of this run",
    "check leaf.toml --write-known leaf.json": "is an input of this run, which is leaf.toml",
    "check tea.toml --write-known leaf.toml": "put the name of the known-findings file",
    "check tea.toml --write-known limitcheck.toml": "it is a policy",
    "check tea.toml --write-known notes.md": "not JSON",
    "check tea.toml --write-known runs.csv": "not JSON",
    "check tea.toml --known notes.md": "not JSON",
    "check tea.toml --known known.json --write-known=": "no known-findings file is named",
    "check tea.toml --known=": "no known-findings file is named",
    "report tea.toml -o html=tea.toml": "is an input of this run",
    "report tea.toml -o deep.html": "is an input of this run, which is tea.toml",
    "propose tea.toml -o text=leaf.toml": IS_PROFILE,
    "predict geometry.toml -o text=geometry.toml": IS_PROFILE,
    "faults geometry.toml -o json=leaf.toml": IS_PROFILE,
    "transfer tea.toml leaf.toml -o text=leaf.toml": IS_PROFILE,
    "fit geometry.toml --on column.toml -o csv=geometry.toml": IS_PROFILE,
    "entry 250 --profile tea.toml -o text=tea.toml": IS_PROFILE,
    "reading 150 --profile tea.toml -o text=tea.toml": IS_PROFILE,
    "isolate tea.toml -o text=tea.toml": IS_PROFILE,
    "baseline runs.csv -o text=runs.csv": "is an input of this run",
    "baseline runs.csv --profile tea.toml -o text=tea.toml": IS_PROFILE,
    "convert 6000psi -o text=tea.toml": IS_PROFILE,
    "new --like conventional-400-bar --id KB-1 tea.toml": "exists already",
}


@pytest.mark.parametrize("line", REFUSED)
def test_an_output_that_others_rely_on_is_refused_before_the_run(
    line: str, folder: Path, capsys: Capture
) -> None:
    before = everything(folder)
    capsys.readouterr()
    assert run(line.split()) == 2
    shown = capsys.readouterr()
    assert REFUSED[line] in " ".join(shown.err.split())
    assert shown.out == ""
    assert everything(folder) == before


@pytest.mark.parametrize(
    "line",
    [
        "check tea.toml -o new.json",
        "check tea.toml -o text=notes.md",
        "check tea.toml --write-known known.json",
        "check tea.toml --known known.json --write-known known.json",
        "check tea.toml --write-known new-known.json -o new.json -o new.sarif",
        "check . -o text=all.txt --fail-on error",
    ],
)
def test_other_outputs_are_written_and_written_again(line: str, folder: Path) -> None:
    os.unlink("damaged.toml")
    for _ in range(2):
        assert run(line.split()) in (0, 1)


def test_a_damaged_known_file_is_left_as_it_is(folder: Path, capsys: Capture) -> None:
    Path("known.json").write_text('{"format": 1, "known": [{"check": "x"}]}', "utf-8")
    before = everything(folder)
    assert run(["check", "tea.toml", "--write-known", "known.json"]) == 2
    assert "entry 1" in capsys.readouterr().err
    assert everything(folder) == before


# What --fix, accept, propose and baseline keep.


def to_fix(name: str = "slip.toml") -> Path:
    path = Path(name)
    path.write_text(text(**CERTAIN), "utf-8")
    return path


@needs_posix
@pytest.mark.parametrize("mode", [0o600, 0o640, 0o664, 0o755])
def test_the_mode_is_kept(mode: int) -> None:
    path = to_fix()
    path.chmod(mode)
    assert run(["check", str(path), "--fix"]) == 0
    assert stat.S_IMODE(path.stat().st_mode) == mode


@needs_posix
@pytest.mark.skipif(not hasattr(os, "geteuid") or os.geteuid() != 0, reason="needs root")
def test_owner_and_group_are_kept() -> None:
    path = to_fix()
    os.chown(path, 12345, 23456)
    assert run(["check", str(path), "--fix"]) == 0
    assert (path.stat().st_uid, path.stat().st_gid) == (12345, 23456)


@needs_posix
def test_a_file_that_would_change_its_owner_is_refused() -> None:
    path, real = to_fix(), os.stat
    before = path.read_bytes()

    def other_owner(name: Any, **options: Any) -> os.stat_result:
        status = real(name, **options)
        mine = str(name).endswith("slip.toml")
        return os.stat_result((*status[:4], 4242, *status[5:])) if mine else status

    def refuse(*_: object) -> None:
        raise PermissionError(1, "Operation not permitted")

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("os.chown", refuse)
        patch.setattr("os.stat", other_owner)
        with pytest.raises(CannotWrite, match="belongs to another user or group"):
            replace_file(path, b"new")
    assert path.read_bytes() == before
    assert not list(Path().glob(".limitcheck-*"))


@needs_posix
def test_a_link_stays_a_link_and_its_file_is_corrected() -> None:
    path = to_fix("real.toml")
    os.symlink("real.toml", "via.toml")
    assert run(["check", "via.toml", "--fix"]) == 0
    assert os.readlink("via.toml") == "real.toml"
    assert load(path).profile.expected is not None
    assert "low = 120" in path.read_text("utf-8")


@needs_posix
def test_a_file_with_two_names_is_refused(capsys: Capture) -> None:
    path = to_fix()
    os.link(path, "second.toml")
    before = path.read_bytes()
    assert run(["check", str(path), "--fix"]) == 2
    assert "has 2 names (hard links)" in " ".join(capsys.readouterr().err.split())
    assert path.read_bytes() == before == Path("second.toml").read_bytes()
    assert path.samefile("second.toml")


def test_a_file_changed_after_it_was_read_is_refused() -> None:
    path = to_fix()
    was = sha256(path.read_bytes()).hexdigest()
    path.write_text(TEXT, "utf-8")
    with pytest.raises(CannotWrite, match="has changed since it was read"):
        replace_file(path, b"new", was=was)
    assert path.read_text("utf-8") == TEXT


def test_a_file_changed_between_check_and_correction_is_left(
    monkeypatch: pytest.MonkeyPatch, capsys: Capture
) -> None:
    from limitcheck.cli import fix

    path, real = to_fix(), fix.load

    def edited_meanwhile(name: str) -> object:
        path.write_text(path.read_text("utf-8") + "# by hand\n", "utf-8")
        return real(name)

    monkeypatch.setattr(fix, "load", edited_meanwhile)
    run(["check", str(path), "--fix"])
    assert "has changed since it was checked" in " ".join(capsys.readouterr().err.split())
    assert path.read_text("utf-8") == text(**CERTAIN) + "# by hand\n"


def test_what_a_killed_write_left_is_named_and_then_removed(capsys: Capture) -> None:
    old, new = Path(".limitcheck-0123456789abcdef"), Path(".limitcheck-fedcba9876543210")
    for left in (old, new):
        left.write_bytes(b"half")
    an_hour_ago = time.time() - 3600
    os.utime(old, (an_hour_ago, an_hour_ago))
    run(["check", "."])
    said = " ".join(capsys.readouterr().out.split())
    assert f"{old}: left by a write that was stopped" in said
    create_file("another.toml", b"format = 1\n")
    assert not old.exists()
    assert new.exists()  # it may be of a write that is under way


# Real processes.


@pytest.fixture
def many(folder: Path) -> str:
    """More profiles than a process checks in a second."""
    (folder / "many").mkdir()
    for number in range(3000):
        name = WITH_GEOMETRY.replace("KB-TEA-014", f"KB-{number}")
        (folder / f"many/{number}.toml").write_text(name, "utf-8")
    return "many"


def started(*arguments: str) -> subprocess.Popen[bytes]:
    command = [sys.executable, "-m", "limitcheck", *arguments]
    return subprocess.Popen(
        command, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, start_new_session=True
    )


def workers_of(process: subprocess.Popen[bytes], number: int) -> list[int]:
    """The worker processes, once all have started."""
    children = Path(f"/proc/{process.pid}/task/{process.pid}/children")
    for _ in range(200):
        found = children.read_text().split() if children.exists() else []
        if len(found) >= number:
            return [int(child) for child in found]
        time.sleep(0.05)
    raise AssertionError("no worker started")


def gone(pid: int) -> bool:
    """Whether a process has ended; one that nobody has collected yet has."""
    try:
        return Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()[0] == "Z"
    except OSError:
        return True


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="reads /proc")
@pytest.mark.parametrize(
    ("number", "code"), [(signal.SIGTERM, 143), (signal.SIGHUP, 129), (signal.SIGKILL, -9)]
)
def test_a_signal_ends_the_workers_and_leaves_no_half_file(
    number: signal.Signals, code: int, many: str
) -> None:
    process = started("check", many, "--jobs", "2", "-o", "all.json", "--write-known", "all-known")
    workers = workers_of(process, 2)
    os.kill(process.pid, number)
    said = process.communicate(timeout=30)[1]
    assert b"Traceback" not in said
    assert process.returncode == code, said
    for _ in range(100):
        if all(map(gone, workers)):
            break
        time.sleep(0.1)
    assert all(map(gone, workers))
    assert not Path("all.json").exists()
    assert not Path("all-known").exists()
    assert not list(Path().glob(".limitcheck-*"))


WRITES_SLOWLY = """
import sys, time
from limitcheck.__main__ import Told, _end_when_told
from limitcheck.profile.atomic import replace_file
_end_when_told()
def pieces():
    yield b"new " * 5000
    print("half", flush=True)
    time.sleep(30)
    yield b"end"
try:
    replace_file("out.txt", pieces())
except Told as told:
    sys.exit(told.code)
"""


@needs_posix
@pytest.mark.parametrize("number", [signal.SIGTERM, signal.SIGHUP])
def test_a_write_that_is_ended_half_way_leaves_the_old_file(number: signal.Signals) -> None:
    Path("out.txt").write_bytes(b"old")
    process = subprocess.Popen([sys.executable, "-c", WRITES_SLOWLY], stdout=subprocess.PIPE)
    assert process.stdout is not None
    assert process.stdout.readline() == b"half\n"
    process.send_signal(number)
    process.communicate(timeout=20)
    assert process.returncode == 128 + number
    assert Path("out.txt").read_bytes() == b"old"
    assert not list(Path().glob(".limitcheck-*"))


def test_a_long_known_file_is_seen_as_one(folder: Path, capsys: Capture) -> None:
    """Longer than any profile: 10,000 profiles have known findings of some megabytes."""
    known = Path("known.json").read_text("utf-8")
    Path("known.json").write_text(known + " " * 2_000_000, "utf-8")
    assert run(["check", "tea.toml", "-o", "known.json"]) == 2
    assert IS_KNOWN in capsys.readouterr().err
    assert run(["check", "tea.toml", "--known", "known.json", "--write-known", "known.json"]) == 0


@needs_posix
def test_a_known_file_that_is_no_file_is_refused(folder: Path, capsys: Capture) -> None:
    os.mkfifo("pipe")
    assert run(["check", "tea.toml", "--write-known", "pipe"]) == 2
    assert "not a regular file" in capsys.readouterr().err
