"""Faults while writing: the old file or the new one, whatever fails and wherever the process dies.

Every system call of the writer is made to fail in turn, and the process is killed before and
after each; a write stops half way too. Real limits (file size, permissions) are tried as well.
"""

from __future__ import annotations

import errno
import os
import signal
import sys
import tempfile
import warnings
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from limitcheck.profile import atomic
from limitcheck.profile.atomic import CannotWrite, create_file, replace_file

OLD, NEW = b"high = 250\n", b"high = 260 # a new and longer line\n"
CHANGING = {"open", "chmod", "write", "replace", "link", "unlink"}
"""Calls that a read-only file system refuses."""
CALLS = CHANGING | {"stat", "access", "close", "fsync", "fdopen"}
needs_fork = pytest.mark.skipif(not hasattr(os, "fork"), reason="needs fork")

Step = Callable[[str], None]


class File:
    """An unbuffered file that reports a step half way through each piece, and at its close."""

    def __init__(self, descriptor: int, step: Step) -> None:
        self.descriptor, self.step = descriptor, step

    def __enter__(self) -> File:
        return self

    def __exit__(self, *error: object) -> None:
        os.close(self.descriptor)
        self.step("close")

    def writelines(self, pieces: Iterator[bytes]) -> None:
        for piece in pieces:
            half = len(piece) // 2
            os.write(self.descriptor, piece[:half])
            self.step("write")
            os.write(self.descriptor, piece[half:])

    def flush(self) -> None:
        self.step("write")


class System:
    """The module `os` for the writer, with a step before and after every call."""

    def __init__(self, step: Step) -> None:
        self.step = step

    def __getattr__(self, name: str) -> Any:
        real = getattr(os, name)
        if name not in CALLS:
            return real

        def call(*arguments: Any) -> Any:
            self.step(name)
            if name == "fdopen":
                return File(arguments[0], self.step)
            result = real(*arguments)
            self.step(f"after {name}")
            return result

        return call


class Counted:
    """Counts steps, and calls `act` with the name of the step numbered `stop`."""

    def __init__(self, stop: int, act: Callable[[str], None]) -> None:
        self.stop, self.act, self.names = stop, act, list[str]()

    def __call__(self, name: str) -> None:
        self.names.append(name)
        if len(self.names) - 1 == self.stop:
            self.act(name)


def replace_old(folder: Path) -> None:
    replace_file(folder / "a.toml", NEW)


def replace_in_pieces(folder: Path) -> None:
    replace_file(folder / "a.toml", iter([NEW[:9], NEW[9:20], NEW[20:]]))


def create_new(folder: Path) -> None:
    create_file(folder / "b.toml", NEW)


def create_without_links(folder: Path) -> None:
    """As on a file system without hard links; a kill may leave the empty name there."""
    create_file(folder / "b.toml", NEW)


OPERATIONS = [replace_old, replace_in_pieces, create_new, create_without_links]


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "a.toml").write_bytes(OLD)
    return tmp_path


def use(monkeypatch: pytest.MonkeyPatch, operation: Callable[[Path], None], step: Step) -> None:
    system = System(step)
    if operation is create_without_links:
        system.link = no_links  # type: ignore[attr-defined]
    monkeypatch.setattr(atomic, "os", system)


def no_links(source: str, target: str) -> None:
    raise OSError(errno.EPERM, "Operation not permitted")


def steps(
    monkeypatch: pytest.MonkeyPatch, operation: Callable[[Path], None], at: Path
) -> list[str]:
    """The names of the steps when nothing fails; the folder is put back as it was."""
    counted = Counted(-1, print)
    use(monkeypatch, operation, counted)
    operation(at)
    assert state(at) in ({"a.toml": NEW}, {"a.toml": OLD, "b.toml": NEW})
    restore(at)
    return counted.names


def restore(folder: Path) -> None:
    for file in folder.iterdir():
        file.unlink()
    (folder / "a.toml").write_bytes(OLD)


def state(folder: Path) -> dict[str, bytes]:
    return {file.name: file.read_bytes() for file in folder.iterdir()}


def profiles(folder: Path) -> dict[str, bytes]:
    """The files under their own names; at most one other may be left by a killed process."""
    everything = state(folder)
    left = [name for name in everything if name.startswith(".limitcheck-")]
    assert len(left) <= 1
    assert not any(name.endswith(".toml") for name in left)
    return {name: data for name, data in everything.items() if name not in left}


WHOLE = ({"a.toml": OLD}, {"a.toml": NEW}, {"a.toml": OLD, "b.toml": NEW})
"""The old state and the two new ones."""


@pytest.mark.parametrize("operation", OPERATIONS)
@pytest.mark.parametrize("number", [errno.ENOSPC, errno.EACCES, errno.EIO, errno.EINTR])
def test_each_call_fails_in_turn(
    folder: Path, monkeypatch: pytest.MonkeyPatch, operation: Callable[[Path], None], number: int
) -> None:
    def fail(name: str) -> None:
        raise OSError(number, os.strerror(number))

    names = steps(monkeypatch, operation, folder)
    before = [i for i, name in enumerate(names) if not name.startswith("after ")]
    assert {names[i] for i in before} >= {"open", "write", "fsync", "close", "unlink"}
    refused = 0
    for stop in before:
        restore(folder)
        use(monkeypatch, operation, Counted(stop, fail))
        reason = None
        try:
            operation(folder)
        except CannotWrite as error:
            reason = error.message.partition(": ")[2]
        if reason is not None:
            refused += 1
            assert reason == f"cannot be written: {os.strerror(number)}"
            assert state(folder) == {"a.toml": OLD}, names[stop]
        else:
            assert profiles(folder) in WHOLE[1:], names[stop]
            assert len(state(folder)) == len(profiles(folder)) or names[stop] == "unlink"
    assert refused >= 5


@pytest.mark.parametrize("operation", OPERATIONS)
def test_the_file_system_turns_read_only(
    folder: Path, monkeypatch: pytest.MonkeyPatch, operation: Callable[[Path], None]
) -> None:
    """From some call on nothing can be changed, nor cleaned up."""
    names = steps(monkeypatch, operation, folder)
    for stop in range(len(names)):
        restore(folder)
        count = 0

        def step(name: str, stop: int = stop) -> None:
            nonlocal count
            count += 1
            if count > stop and name in CHANGING:
                raise OSError(errno.EROFS, os.strerror(errno.EROFS))

        use(monkeypatch, operation, step)
        try:
            operation(folder)
        except (CannotWrite, OSError):
            left = profiles(folder)
            if operation is create_without_links and left.get("b.toml") == b"":
                del left["b.toml"]  # the name that was taken could not be given back
            assert left == {"a.toml": OLD}
        else:
            assert profiles(folder) in WHOLE[1:]


@needs_fork
@pytest.mark.parametrize("operation", [replace_old, replace_in_pieces, create_new])
def test_killed_at_any_moment(
    folder: Path, monkeypatch: pytest.MonkeyPatch, operation: Callable[[Path], None]
) -> None:
    names = steps(monkeypatch, operation, folder)
    seen = []
    for stop in range(len(names)):
        restore(folder)

        def killed(stop: int = stop) -> None:
            use(monkeypatch, operation, Counted(stop, kill))
            operation(folder)

        assert in_child(killed) == -signal.SIGKILL, names[stop]
        left = profiles(folder)
        assert left in WHOLE, names[stop]
        seen.append(left == {"a.toml": OLD})
        monkeypatch.setattr(atomic, "os", os)
        replace_file(folder / "a.toml", NEW)  # a killed process stands in nobody's way
        assert (folder / "a.toml").read_bytes() == NEW
    assert seen == sorted(seen, reverse=True)  # old until one moment, new from then on
    assert set(seen) == {True, False}


def kill(name: str) -> None:
    os.kill(os.getpid(), signal.SIGKILL)


def in_child(work: Callable[[], None]) -> int:
    """How a child process that does the work ends: 0, 7 for CannotWrite, minus a signal."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", DeprecationWarning)  # other threads are of no concern here
        child = os.fork()
    if child == 0:
        code = 99
        try:
            work()
            code = 0
        except CannotWrite:
            code = 7
        finally:
            os._exit(code)
    return os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])


@needs_fork
def test_a_real_limit_on_the_size_of_files(folder: Path) -> None:
    """The kernel takes a part of the data and refuses the rest, as a full disk does."""
    resource = pytest.importorskip("resource")

    def limited(write_it: Callable[[Path], None]) -> Callable[[], None]:
        def work() -> None:
            signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
            resource.setrlimit(resource.RLIMIT_FSIZE, (10, 10))
            write_it(folder)

        return work

    for operation in (replace_old, replace_in_pieces, create_new):
        assert in_child(limited(operation)) == 7
        assert state(folder) == {"a.toml": OLD}


@needs_fork
@pytest.mark.skipif(sys.platform == "win32", reason="permissions of POSIX")
def test_a_real_read_only_folder() -> None:
    with tempfile.TemporaryDirectory() as name:
        os.chmod(name, 0o755)
        folder = Path(name) / "profiles"
        folder.mkdir()
        restore(folder)
        os.chmod(folder, 0o555)

        def without_privileges(write_it: Callable[[Path], None]) -> Callable[[], None]:
            def work() -> None:
                if os.geteuid() == 0:  # permissions do not bind root
                    os.setgid(65534)
                    os.setuid(65534)
                write_it(folder)

            return work

        for operation in (replace_old, create_new):
            assert in_child(without_privileges(operation)) == 7
            assert state(folder) == {"a.toml": OLD}
        os.chmod(folder, 0o755)
