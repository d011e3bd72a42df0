"""Whatever a file is called and whatever stands in its place, it fails alone, if at all.

One way to show a name: bytes that are no text, and what could steer a terminal, as escapes.
"""

from __future__ import annotations

import json
import os
import shutil
import socket
import subprocess
import sys
from collections.abc import Callable, Iterator
from pathlib import Path
from xml.etree import ElementTree

import pytest

from limitcheck.cli.app import COMMANDS, run
from tests.profiles_for_tests import TEXT, WITH_GEOMETRY, text

Capture = pytest.CaptureFixture[str]
pytestmark = pytest.mark.skipif(os.name != "posix", reason="names and places of POSIX")
NAMES = {
    b"caf\xe9.toml": "caf\\udce9.toml",
    b"\xff\xfe.toml": "\\udcff\\udcfe.toml",
    b"new\nline.toml": "new\\nline.toml",
    b"esc\x1b[31m.toml": "esc\\x1b[31m.toml",
    b"\xe2\x80\xaegnp.toml": "\\u202egnp.toml",
    b"a <&'\">.toml": "a <&'\">.toml",
    b"lab\xe9/x.toml": "lab\\udce9/x.toml",
}
RUN_FORMATS = ("text", "json", "sarif", "junit", "remarks-text", "remarks-json")


@pytest.fixture(autouse=True)
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    monkeypatch.chdir(tmp_path)
    Path("lab").mkdir()
    Path("lab/good.toml").write_text(TEXT, "utf-8")
    yield tmp_path
    os.chdir(tmp_path)
    for deep in ("deep", "narrow"):  # pytest's own removal is recursive
        subprocess.run(["rm", "-rf", deep], check=True)


def shown(capsys: Capture, *, data: bool = False) -> str:
    """What was printed, checked: no trace of a fault, nothing that steers a terminal.

    Data for programs may hold what data may hold.
    """
    printed = capsys.readouterr()
    said = printed.out + printed.err
    assert "Traceback" not in said
    assert "This is a fault of limitcheck" not in said
    assert not any(letter < " " and letter != "\n" for letter in said)
    assert data or "\u202e" not in said
    said.encode("utf-8")
    return said


@pytest.mark.parametrize("name", NAMES)
def test_a_name_of_any_bytes(name: bytes, capsys: Capture) -> None:
    path = os.fsdecode(b"lab/" + name)
    os.makedirs(os.path.dirname(path), exist_ok=True)
    Path(path).write_text(text(high="9000"), "utf-8")
    assert run(["check", "lab"]) == 1
    assert f"lab/{NAMES[name]}" in shown(capsys).replace("\n  ", " ")
    for format in RUN_FORMATS:
        assert run(["check", "lab", "--format", format]) == 1
        shown(capsys, data=format not in ("text", "remarks-text"))
    outputs = [f"-o{format}=out.{format}" for format in RUN_FORMATS]
    assert run(["check", "lab", *outputs, "--write-known", "known.json"]) == 0
    for format in ("json", "sarif", "remarks-json"):
        json.loads(Path(f"out.{format}").read_text("utf-8"))
    assert len(ElementTree.parse("out.junit").findall(".//testcase")) > 3
    assert run(["check", "lab", "--known", "known.json"]) == 0
    assert run(["check", path, "--known", "known.json"]) == 0
    assert run(["check", path, "--fix-likely"]) in (0, 1)


@pytest.mark.parametrize("command", ["predict", "faults", "propose", "isolate", "report"])
def test_every_command_reads_it(command: str, capsys: Capture) -> None:
    path = os.fsdecode(b"lab/caf\xe9.toml")
    Path(path).write_text(WITH_GEOMETRY, "utf-8")
    for format in ("text", "json", "markdown"):
        assert run([command, path, "--format", format]) in (0, 1)
        shown(capsys)
    outputs = [f"-o{format}=out.{format}" for format in ("html", "pdf", "json", "markdown")]
    assert run([command, path, *outputs]) in (0, 1)
    assert Path("out.pdf").read_bytes().startswith(b"%PDF")
    assert "\\udce9" in Path("out.html").read_text("utf-8")


# Arguments that are no text: for each command one that takes it.
ARGUMENTS = {
    "check": ["check", "*"],
    "predict": ["predict", "lab/good.toml", "--at", "*"],
    "faults": ["faults", "*"],
    "accept": ["accept", "lab/good.toml", "x", "--reason", "*", "--by", "y"],
    "new": ["new", "--like", "conventional-400-bar", "--id", "*", "new.toml"],
    "import": ["import", "*"],
    "propose": ["propose", "*"],
    "entry": ["entry", "*", "--unit", "bar"],
    "convert": ["convert", "*"],
    "reading": ["reading", "*", "--profile", "lab/good.toml"],
    "isolate": ["isolate", "lab/good.toml", "--reading", "*"],
    "page": ["page", "*"],
    "baseline": ["baseline", "*"],
    "transfer": ["transfer", "lab/good.toml", "*"],
    "fleet": ["fleet", "*"],
    "export": ["export", "*"],
    "fit": ["fit", "*", "--on", "lab/good.toml"],
    "report": ["report", "*"],
    "explain": ["explain", "*"],
    "qualify": ["qualify", "-o", "json=*"],
    "schema": ["schema", "*"],
}


def test_every_command_is_here() -> None:
    assert ARGUMENTS.keys() == {entry.name for entry in COMMANDS}


@pytest.mark.parametrize("arguments", ARGUMENTS.values(), ids=ARGUMENTS.keys())
def test_an_argument_that_is_no_text(arguments: list[str], folder: Path, capsys: Capture) -> None:
    given = [argument.replace("*", "a\udce9\udcff") for argument in arguments]
    assert run(given) == 2
    said = shown(capsys)
    assert "a\\udce9\\udcff" in said
    assert "is not UTF-8 text" in said
    assert [path.name for path in folder.iterdir()] == ["lab"]
    assert run([*given[:1], "--\udcff"]) == 2


def test_an_argument_with_a_nul(capsys: Capture) -> None:
    """No shell can give one, but a program that calls `run` can."""
    assert run(["check", "a\0b.toml"]) == 2
    assert "argument 2, a\\x00b.toml, is not UTF-8 text" in shown(capsys)


def fifo() -> None:
    os.mkfifo("lab/it.toml")


def bound_socket() -> None:
    with socket.socket(socket.AF_UNIX) as made:
        made.bind("lab/it.toml")


def link(target: str) -> Callable[[], None]:
    return lambda: os.symlink(target, "lab/it.toml")


def growing() -> None:
    """Larger when it is read than its folder said."""
    Path("lab/it.toml").write_text(TEXT + "#" * 1_000_000, "utf-8")


PLACES: dict[str, tuple[Callable[[], None], str]] = {
    "a pipe": (fifo, "not a regular file"),
    "a socket": (bound_socket, "cannot be read"),
    "an endless device": (link("/dev/zero"), "not a regular file"),
    "an empty device": (link("/dev/null"), "not a regular file"),
    "a link to itself": (link("it.toml"), "symbolic links"),
    "a link to nothing": (link("nothing.toml"), "which is not there"),
    "far too large": (growing, "far too large"),
}


@pytest.mark.parametrize(("make", "said"), PLACES.values(), ids=PLACES.keys())
def test_what_is_no_file_fails_alone(make: Callable[[], None], said: str, capsys: Capture) -> None:
    make()
    assert run(["check", "lab"]) == 2
    told = shown(capsys)
    assert said in told
    assert "lab/it.toml:1:1" in told
    assert "2 profiles, 1 unreadable" in told


def test_a_folder_with_the_name_of_a_profile_is_a_folder(capsys: Capture) -> None:
    shutil.copytree("lab", "lab/it.toml")
    os.symlink("..", "lab/it.toml/up.toml")
    Path("lab/it.toml/good.toml").write_text(text(method='"KB-2"'), "utf-8")
    assert run(["check", "lab"]) == 0
    assert "2 profiles: 0 errors" in shown(capsys)


def test_a_file_that_vanishes_fails_alone(capsys: Capture, monkeypatch: pytest.MonkeyPatch) -> None:
    Path("lab/gone.toml").write_text(TEXT, "utf-8")
    real = os.open

    def vanishing(path: object, *options: int, **others: int) -> int:
        if str(path).endswith("gone.toml"):
            os.path.exists("lab/gone.toml") and os.unlink("lab/gone.toml")
        return real(path, *options, **others)  # type: ignore[call-overload, no-any-return]

    monkeypatch.setattr(os, "open", vanishing)
    assert run(["check", "lab"]) == 2
    told = shown(capsys)
    assert "lab/gone.toml:1:1" in told
    assert "2 profiles, 1 unreadable" in told


def test_a_folder_that_cannot_be_listed_fails_alone(
    capsys: Capture, monkeypatch: pytest.MonkeyPatch
) -> None:
    shutil.copytree("lab", "lab/shut")
    real = os.scandir

    def denied(path: str) -> object:
        if path.endswith("shut"):
            raise PermissionError(13, "Permission denied", path)
        return real(path)

    monkeypatch.setattr(os, "scandir", denied)
    assert run(["check", "lab"]) == 2
    told = shown(capsys)
    assert "cannot be listed: Permission denied" in told
    assert "1 profile without an open finding" in told
    assert run(["check", "lab", "--verbose"]) == 2
    assert "lab/good.toml" in shown(capsys)
    assert run(["propose", "lab"]) == 2
    assert "lab/shut: cannot be listed" in shown(capsys)


def nested(name: str, depth: int, top: str) -> None:
    """Folders in folders, made step by step: their whole path may be too long for the system."""
    Path(top).mkdir()
    here = os.getcwd()
    os.chdir(top)
    for _ in range(depth):
        os.mkdir(name)
        os.chdir(name)
    Path("x.toml").write_text(TEXT, "utf-8")
    os.chdir(here)
    Path(top, "good.toml").write_text(text(method='"KB-2"'), "utf-8")


@pytest.mark.parametrize("format", RUN_FORMATS)
def test_1200_nested_folders_too_long_for_the_system(format: str, capsys: Capture) -> None:
    nested("folder", 1200, "deep")
    assert run(["check", "deep", "--format", format]) == 2
    said = shown(capsys)
    assert "File name too long" in said
    assert format != "text" or "1 profile without an open finding" in said
    assert format != "json" or "good.toml" in said


def test_1200_nested_folders_that_can_be_read(capsys: Capture) -> None:
    nested("d", 1200, "narrow")
    for arguments in (["check"], ["report"], ["check", "--diff"], ["propose"]):
        assert run([*arguments, "narrow"]) == 0
        shown(capsys)
    assert run(["check", "narrow"]) == 0
    assert "2 profiles: 0 errors" in shown(capsys)


def test_a_worker_that_the_system_ends(tmp_path: Path) -> None:
    """As the kernel ends one that takes too much memory: the run goes on, and says so."""
    for number in range(400):
        Path(f"lab/{number}.toml").write_text(text(method=f'"KB-{number}"'), "utf-8")
    Path("killing.py").write_text(
        "import os, signal, sys\n"
        "from multiprocessing import parent_process\n"
        "from limitcheck.checking import run as checked\n"
        "from limitcheck.cli.app import run\n"
        "real = checked.load\n"
        "def load(path, **options):\n"
        "    if path == 'lab/200.toml' and parent_process() is not None:\n"
        "        os.kill(os.getpid(), signal.SIGKILL)\n"
        "    return real(path, **options)\n"
        "checked.load = load\n"
        "sys.exit(run(['check', 'lab', '--summary', '--jobs', '2']))\n",
        "utf-8",
    )
    done = subprocess.run(
        [sys.executable, "killing.py"], capture_output=True, text=True, timeout=120, check=False
    )
    assert "a worker process was ended by the system" in done.stderr
    assert "401 profiles: 0 errors" in done.stdout
    assert done.returncode == 0
