"""The runs shown in the documentation: ```console blocks with `$ limitcheck ...` lines.

Every command of a document runs in one copy of `examples/` and `profiles/`, in order, so that
what one writes the next may read. A line `...` in the printed output stands for any lines.
"""

from __future__ import annotations

import io
import os
import re
import shlex
import shutil
from collections.abc import Iterator
from contextlib import chdir, contextmanager, redirect_stderr, redirect_stdout
from datetime import date
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import NamedTuple
from unittest.mock import patch

from limitcheck.cli.app import run

ROOT = Path(__file__).parents[1]
DOCUMENTS = [
    ROOT / "README.md",
    *sorted(ROOT.glob("examples/**/README.md")),
    *sorted(ROOT.glob("docs/**/*.md")),
]
_BLOCK = re.compile(r"(?<=^```console\n).*?(?=^```$)", re.MULTILINE | re.DOTALL)
_RUN = re.compile(r"^\$ (limitcheck\b.*)\n((?:(?!\$ ).*\n)*)", re.MULTILINE)


WIDTH = 80
"""Columns of the terminal that the documentation shows."""
DAY = "2026-11-27"
"""What the documentation shows where a run prints the day it is run."""

_LINES = 2
"""Before a `...` that have to be the same for it to be kept."""


class Run(NamedTuple):
    """A command of a document, and the output printed under it."""

    command: str
    output: str


def runs(text: str) -> list[Run]:
    """The commands shown in a document, in order."""
    return [
        Run(*found.groups()) for block in _BLOCK.findall(text) for found in _RUN.finditer(block)
    ]


def refreshed(text: str) -> str:
    """The document with the output of each command as it is now, `...` kept between its lines."""
    now = iter([_with_gaps(run.output, new) for run, new in real_runs(text)])

    def again(found: re.Match[str]) -> str:
        return f"$ {found[1]}\n{next(now)}"

    return _BLOCK.sub(lambda block: _RUN.sub(again, block[0]), text)


def _with_gaps(shown: str, printed: str) -> str:
    """What is printed, with `...` where it stood: between the same lines, or to the end."""
    if fits(shown, printed):
        return shown
    old, new = shown.splitlines(), printed.splitlines()
    for gap in [number for number, line in enumerate(old) if line == "..."]:
        before, after = old[max(gap - _LINES, 0) : gap], old[gap + 1 : gap + 2]
        for at in range(len(before), len(new)):
            if new[at - len(before) : at] == before:
                end = new.index(after[0], at) if after and after[0] in new[at:] else len(new)
                new[at:end] = ["..."]
                break
    return "\n".join(new) + "\n"


def real_runs(text: str) -> Iterator[tuple[Run, str]]:
    """Each command of a document with what it prints now."""
    with copied() as folder:
        for shown in runs(text):
            yield shown, printed(shown.command, folder)


@contextmanager
def copied() -> Iterator[str]:
    """A folder with a copy of the examples and the starting profiles, for a while."""
    with TemporaryDirectory() as folder:
        for name in ("examples", "profiles"):
            shutil.copytree(ROOT / name, Path(folder, name))
        Path(folder, "limitcheck.toml").touch()  # the top of a repository, as the project's is
        yield folder


def printed(command: str, folder: str) -> str:
    """What a command prints to both streams; raises AssertionError for a fault of ours."""
    printed = io.StringIO()
    plain = patch.dict(os.environ, {"COLUMNS": str(WIDTH), "NO_COLOR": "1", "TERM": "xterm"})
    with chdir(folder), redirect_stdout(printed), redirect_stderr(printed), plain:
        os.environ.pop("COLORTERM", None)
        code = run(shlex.split(command, comments=True)[1:])
    assert code in (0, 1, 2), f"{command} ends with {code}: {printed.getvalue()}"
    return printed.getvalue().replace(date.today().isoformat(), DAY)


def fits(shown: str, printed: str) -> bool:
    """Whether an output is what the document shows, `...` standing for any lines."""
    parts = shown.split("...\n")
    return re.fullmatch("(?:.*\n)*?".join(map(re.escape, parts)), printed) is not None
