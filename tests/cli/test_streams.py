"""Streams that are closed, full, endless, or left by their reader: a sentence and exit code 2."""

from __future__ import annotations

import io
import os
import re
import signal
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from limitcheck.cli.app import COMMANDS, run
from limitcheck.cli.streams import Piped
from limitcheck.errors import Refused
from limitcheck.profile.text import LARGEST_FILE
from tests.history.logs import runs
from tests.profiles_for_tests import TEXT, WITH_GEOMETRY, text

pytestmark = pytest.mark.skipif(os.name != "posix", reason="streams of POSIX")

LINES = {
    "check": ["check tea.toml", "check tea.toml --format json", "check off.toml --format sarif"],
    "predict": ["predict geometry.toml"],
    "faults": ["faults geometry.toml"],
    "accept": ["accept off.toml low-cutoff-off --reason x --by y --until 2099-01-01"],
    "new": ["new --list"],
    "propose": ["propose tea.toml"],
    "entry": ["entry 250 --profile tea.toml"],
    "convert": ["convert 6000psi"],
    "reading": ["reading 150 --profile tea.toml"],
    "isolate": ["isolate tea.toml"],
    "page": ["page . --no-browser"],
    "baseline": ["baseline runs.csv"],
    "transfer": ["transfer tea.toml tea.toml"],
    "fleet": ["fleet tea.toml"],
    "export": ["export tea.toml"],
    "import": ["import methods.csv"],
    "fit": ["fit geometry.toml --on geometry.toml"],
    "report": ["report tea.toml"],
    "explain": ["explain high-cutoff-missing"],
    "qualify": ["qualify"],
    "schema": ["schema"],
}
ALL = [line for lines in LINES.values() for line in lines]
WITH_HELP = [*ALL, "--help", "--version", "check --help"]


@pytest.fixture(autouse=True)
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    Path("tea.toml").write_text(TEXT, "utf-8")
    Path("off.toml").write_text(text(low="0"), "utf-8")
    Path("geometry.toml").write_text(WITH_GEOMETRY, "utf-8")
    Path("runs.csv").write_text(runs(30), "utf-8")
    row = "KB-TEA-014;KB-LC-03;bar;280;90"
    Path("methods.csv").write_text(f"Method;Instrument;Unit;High cutoff;Low cutoff\n{row}\n")
    return tmp_path


def shell(line: str, redirected: str, **options: object) -> subprocess.CompletedProcess[str]:
    """A command under a shell that redirects its streams; what it says goes to said.txt, too."""
    command = f'"{sys.executable}" -m limitcheck {line} {redirected}'
    done = subprocess.run(
        ["/bin/bash", "-c", command],
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
        **options,  # type: ignore[call-overload]
    )
    assert "Traceback" not in done.stderr
    assert "Exception ignored" not in done.stderr
    assert "fault of limitcheck" not in done.stderr
    return done


def without_times(printed: str) -> str:
    return re.sub(r"\d\d:\d\d:\d\d", "", printed)


def test_every_command_is_here() -> None:
    assert LINES.keys() == {entry.name for entry in COMMANDS}


@pytest.mark.parametrize("line", WITH_HELP)
@pytest.mark.parametrize(
    ("redirected", "why"), [("> /dev/full", "No space left on device"), (">&-", "it is closed")]
)
def test_an_output_that_takes_nothing(line: str, redirected: str, why: str) -> None:
    done = shell(line, redirected)
    assert done.returncode == 2
    assert done.stdout == ""
    assert f"standard output cannot be written: {why}" in done.stderr
    assert done.stderr.count("cannot be written") == 1


@pytest.mark.parametrize("line", [line for line in WITH_HELP if "page" not in line])
def test_nobody_to_hear_a_complaint(line: str) -> None:
    """Without standard error the exit code is what it is with one."""
    with_it, without = shell(line, ""), shell(line, "2>&- <&-")
    assert without.returncode == with_it.returncode
    if not line.startswith("accept"):  # the first accepts, the second renews
        assert without_times(without.stdout) == without_times(with_it.stdout)
    assert shell("check no-such-file.toml", "2> /dev/full").returncode == 2


@pytest.mark.parametrize("line", WITH_HELP)
def test_all_streams_closed(line: str) -> None:
    """Nor does a file that is opened later become standard output or error."""
    before = {path.name: path.read_bytes() for path in Path().iterdir()}
    assert shell(line, "<&- >&- 2>&-").returncode == 2
    if not line.startswith("accept"):
        assert {path.name: path.read_bytes() for path in Path().iterdir()} == before


@pytest.mark.parametrize("line", [line for line in WITH_HELP if "page" not in line])
def test_a_reader_that_left(line: str) -> None:
    """The code is that of the command: what it found does not hang on who reads it."""
    done = shell(line, "| true; exit ${PIPESTATUS[0]}")
    assert done.returncode == (1 if line.startswith("transfer") else 0)
    assert done.stderr == "" or line.startswith("accept")


def test_files_are_written_whatever_becomes_of_the_screen() -> None:
    for redirected in ("> /dev/full", ">&-"):
        assert shell("check tea.toml -o all.json -o all.txt", redirected).returncode == 2
        assert '"exit_code": 0' in Path("all.json").read_text()
        assert "0 errors" in Path("all.txt").read_text()
        Path("all.json").unlink()


READING = {
    "check -": "standard input cannot be read: it is closed",
    "baseline -": "standard input: cannot be read: it is closed",
    "isolate tea.toml --ask": "standard input cannot be read: it is closed",
}


@pytest.mark.parametrize("line", READING)
def test_a_closed_input(line: str) -> None:
    done = shell(line, "<&-")
    assert done.returncode == 2
    assert READING[line] in done.stderr


def test_an_endless_profile() -> None:
    done = subprocess.run(
        ["/bin/bash", "-c", f'yes | "{sys.executable}" -m limitcheck check -'],
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )
    assert done.returncode == 2
    assert f"more than {LARGEST_FILE:,} bytes" in done.stdout
    assert "standard-input.toml:1:1" in done.stdout


@pytest.mark.parametrize("made", ["yes", "yes ,", "yes | tr -d '\\n'", "cat /dev/zero"])
def test_an_endless_log(made: str) -> None:
    """It is read as far as it makes sense, not to the end of the disk."""
    done = subprocess.run(
        ["/bin/bash", "-c", f'{made} | "{sys.executable}" -m limitcheck baseline -'],
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )
    assert done.returncode == 2
    assert "standard input:1:" in done.stderr
    assert "Traceback" not in done.stderr


@pytest.mark.parametrize("made", ["yes", "yes | tr -d '\\n'", "cat /dev/zero", "printf '\\377\\n'"])
def test_an_endless_answer_of_nonsense(made: str) -> None:
    """Each line is refused and asked for again, so the run lasts until it is stopped."""
    isolate = f'"{sys.executable}" -m limitcheck isolate tea.toml --ask'
    command = f'timeout 2 bash -c "{made}" | {isolate}'
    done = subprocess.run(
        ["/bin/bash", "-c", f"{command} > /dev/null"],
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
    )
    assert done.returncode == 0
    assert "Traceback" not in done.stderr


def test_a_log_is_piped_once_and_read_again_and_again() -> None:
    content = b"".join(b"2026-01-%02d,%d\n" % (1 + i % 28, i) for i in range(9000))
    stream = io.BufferedReader(Piped(io.BytesIO(content)))
    assert stream.read(7) == content[:7]
    stream.seek(0)
    assert stream.read() == content
    stream.seek(5)
    assert stream.readline() == content[5:].split(b"\n")[0] + b"\n"
    stream.seek(0)
    assert b"".join(stream) == content
    stream.close()


def test_a_log_that_goes_on_too_long() -> None:
    with pytest.raises(Refused, match="goes on beyond 100 bytes"):
        io.BufferedReader(Piped(io.BytesIO(b"x" * 101), 100)).read()
    assert io.BufferedReader(Piped(io.BytesIO(b"x" * 100), 100)).read() == b"x" * 100


def test_a_piped_log_gives_what_the_file_gives() -> None:
    by_file = shell("baseline runs.csv", "")
    piped = shell("baseline -", "< runs.csv")
    assert piped.returncode == by_file.returncode == 0
    assert piped.stdout.split("\n")[4:] == by_file.stdout.split("\n")[4:]


@pytest.mark.parametrize(("number", "code"), [(signal.SIGINT, 130), (signal.SIGTERM, 143)])
def test_stopped_while_it_waits(number: signal.Signals, code: int) -> None:
    process = subprocess.Popen(
        [sys.executable, "-m", "limitcheck", "isolate", "tea.toml", "--ask"],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )
    assert process.stdout is not None
    assert process.stdout.readline()  # it asks
    process.send_signal(number)
    _, said = process.communicate(timeout=60)
    assert process.returncode == code
    assert "Traceback" not in said


def refused_by_system(error: Exception) -> Callable[..., object]:
    def fail(*_: object, **__: object) -> object:
        raise error

    return fail


@pytest.mark.parametrize(
    ("error", "said"),
    [
        (OSError(28, "No space left on device", "/tmp/x"), "/tmp/x: the system does not let"),
        (OSError(24, "Too many open files"), "Too many open files"),
        (MemoryError(), "there is not enough memory for this"),
        (BrokenPipeError(32, "Broken pipe"), "Broken pipe"),
    ],
)
def test_what_the_system_refuses_is_no_fault_of_ours(
    error: Exception, said: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr("limitcheck.checking.run.check_targets", refused_by_system(error))
    assert run(["check", "tea.toml", "-o", "out.json"]) == 2
    assert said in " ".join(capsys.readouterr().err.split())
    assert '"exit_code": 2' in Path("out.json").read_text()
