"""Standard input, output and error as they come: closed, full, endless, or left by their reader."""

from __future__ import annotations

import errno
import io
import os
import sys
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from typing import BinaryIO, TextIO

from ..errors import LimitcheckError, Refused

LARGEST_PIPED = 1_000_000_000
"""Bytes of the longest log that is read from standard input; a file may be longer."""


class CannotPrint(LimitcheckError):
    """Standard output cannot be written."""


def open_missing() -> None:
    """Take the places of streams that are closed, so that no file of ours gets their numbers.

    What is read or written there fails then as on any stream that cannot be used; what is said on
    a standard error that is closed is lost.
    """
    for number, name, flags in (
        (0, "stdin", os.O_WRONLY),
        (1, "stdout", os.O_RDONLY),
        (2, "stderr", os.O_WRONLY),
    ):
        try:
            os.fstat(number)
        except OSError:
            os.open(os.devnull, flags)  # gets the lowest number that is free, which is this
            mode = "w" if number else "r"
            stream = open(number, mode, encoding="utf-8", closefd=False)  # noqa: SIM115
            setattr(sys, name, stream)


def settle(code: int) -> int:
    """Print what is still held back at the end of the process; the exit code after that."""
    try:
        sys.stdout.flush()
    except BrokenPipeError:
        _to_nowhere(sys.stdout)
    except OSError as error:
        told = _cannot_print(error, sys.stdout)
        say(f"{told.message}\n  Do: {told.advice}")
        code = max(code, 2)
    with on_stderr():
        sys.stderr.flush()
    return code


def emit(text: str | Iterable[str], stream: TextIO | None = None) -> None:
    """Print a text, whole or in pieces, to standard output; a reader that left is no error.

    Raises CannotPrint.
    """
    stream = stream or sys.stdout
    encoding = getattr(stream, "encoding", None) or "utf-8"
    for piece in [text] if isinstance(text, str) else text:
        encoded = piece.encode(encoding, "backslashreplace").decode(encoding)
        with _a_reader_may_leave(stream):
            stream.write(encoded)
    with _a_reader_may_leave(stream):
        stream.flush()


def emit_bytes(content: bytes) -> None:
    """Print bytes as they are to standard output, which has a buffer; raises CannotPrint."""
    with _a_reader_may_leave(sys.stdout):
        sys.stdout.flush()
        sys.stdout.buffer.write(content)
        sys.stdout.buffer.flush()


def say(text: str) -> None:
    """Print to standard error; where that cannot be, the exit code alone must tell."""
    with on_stderr():
        print(text, file=sys.stderr, flush=True)


@contextmanager
def on_stderr() -> Iterator[None]:
    """Around what prints to standard error."""
    try:
        yield
    except OSError:
        _to_nowhere(sys.stderr)


@contextmanager
def _a_reader_may_leave(stream: TextIO) -> Iterator[None]:
    try:
        yield
    except BrokenPipeError:
        _to_nowhere(stream)
    except OSError as error:
        raise _cannot_print(error, stream) from None


def _cannot_print(error: OSError, stream: TextIO) -> CannotPrint:
    _to_nowhere(stream)
    name = "standard error" if stream is sys.stderr else "standard output"
    return CannotPrint(
        f"{name} cannot be written: {reason_of(error)}",
        "what was asked for is not shown: send it elsewhere, or write it with --output",
    )


def _to_nowhere(stream: TextIO) -> None:
    """Python flushes the stream again at exit; give it somewhere to go."""
    nowhere = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, stream.fileno())
    os.close(nowhere)


def reason_of(error: OSError) -> str:
    """Why the system refused, in its words or ours."""
    return "it is closed" if error.errno == errno.EBADF else error.strerror or str(error)


def stopped_by_system(error: OSError | MemoryError, *, printing: bool) -> LimitcheckError:
    """What is said where the system refused memory, files or room for them.

    `printing` tells that nothing else was done than to print.
    """
    if printing and isinstance(error, OSError):
        return _cannot_print(error, sys.stdout)
    try:
        sys.stdout.flush()
    except OSError as unprinted:
        return _cannot_print(unprinted, sys.stdout)
    if isinstance(error, MemoryError):
        return Refused("there is not enough memory for this", "check fewer files, or with --jobs 1")
    at = f"{error.filename}: " if isinstance(error.filename, str) else ""
    return Refused(
        f"{at}the system does not let this run go on: {reason_of(error)}",
        "mend that (room on the disk, open files, permissions), then run it again",
    )


def read_input(most: int, name: str) -> bytes:
    """Standard input, to its end or to one byte beyond `most`; raises Refused."""
    try:
        return sys.stdin.buffer.read(most + 1)
    except OSError as error:
        raise _cannot_read(error, name) from None


def ask() -> str:
    """One line of standard input, empty at its end; what is too long for an answer is cut."""
    try:
        return sys.stdin.readline(1000)
    except OSError as error:
        raise _cannot_read(error, "standard input") from None
    except UnicodeDecodeError:
        return "\ufffd"


def _cannot_read(error: OSError, name: str) -> Refused:
    return Refused(f"{name} cannot be read: {reason_of(error)}", "name a file")


class Piped(io.RawIOBase):
    """A stream that is read once, such as standard input, as one to go through again and again.

    It is copied to a temporary file as far as it is read. Reading raises Refused beyond `most`
    bytes.
    """

    def __init__(self, source: BinaryIO, most: int = LARGEST_PIPED) -> None:
        from tempfile import TemporaryFile

        self._source, self._most = source, most
        self._copy = TemporaryFile()  # noqa: SIM115 - closed with this
        self._copied = self._at = 0

    def readable(self) -> bool:
        return True

    def seekable(self) -> bool:
        return True

    def seek(self, offset: int, whence: int = 0) -> int:
        if whence == io.SEEK_END:
            raise io.UnsupportedOperation("the end is not known before it is read")
        self._at = offset if whence == io.SEEK_SET else self._at + offset
        return self._at

    def readinto(self, buffer: memoryview) -> int:  # type: ignore[override]
        if self._at < self._copied:
            self._copy.seek(self._at)
            piece = self._copy.read(min(len(buffer), self._copied - self._at))
        else:
            piece = self._source.read(len(buffer))
            self._copy.seek(self._copied)
            self._copy.write(piece)
            self._copied += len(piece)
            if self._copied > self._most:
                raise Refused(
                    f"standard input goes on beyond {self._most:,} bytes", "name a file instead"
                )
        buffer[: len(piece)] = piece
        self._at += len(piece)
        return len(piece)

    def close(self) -> None:
        self._copy.close()
        super().close()
