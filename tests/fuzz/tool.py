"""Runs the command line in this process: exit code and output, and what it did to files."""

from __future__ import annotations

import io
import os
import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager, redirect_stderr, redirect_stdout
from pathlib import Path
from typing import NamedTuple

from limitcheck.cli.app import run


class Done(NamedTuple):
    """What a command gave."""

    code: int
    out: str
    err: str


def tool(*arguments: str, stdin: bytes = b"") -> Done:
    """Run a command; an exception that would be reported as our own failure is raised instead."""
    out, err, before = io.StringIO(), io.StringIO(), sys.stdin
    sys.stdin = io.TextIOWrapper(io.BytesIO(stdin), encoding="utf-8")
    os.environ["LIMITCHECK_TRACEBACK"] = "1"
    try:
        with redirect_stdout(out), redirect_stderr(err):
            code = run(arguments)
    except SystemExit as end:
        code = end.code if isinstance(end.code, int) else 3
    finally:
        sys.stdin = before
        del os.environ["LIMITCHECK_TRACEBACK"]
    return Done(code, out.getvalue(), err.getvalue())


@contextmanager
def file_of(content: bytes, name: str) -> Iterator[Path]:
    """A file with the content, alone in a folder; on leaving it must be there, unchanged."""
    with tempfile.TemporaryDirectory(prefix="limitcheck-fuzz-") as folder:
        path = Path(folder) / name
        path.write_bytes(content)
        yield path
        assert path.read_bytes() == content, "the file was changed"
        assert os.listdir(folder) == [name], "a file was left"
