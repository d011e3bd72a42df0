"""The known-findings file of `limitcheck check`: read, and written with what a run found."""

from __future__ import annotations

import os
from collections.abc import Sequence
from hashlib import sha256
from pathlib import Path
from typing import NamedTuple

from ..checking.known import KnownError, known_text, merge_known, parse_known, with_known
from ..checking.results import KnownFinding, count
from ..checking.run import Run
from ..errors import Refused
from ..profile.text import open_regular
from ..render.lines import safe

LARGEST_KNOWN = 200_000_000
"""Bytes of a known-findings file; each finding has some hundreds."""


class KnownFile(NamedTuple):
    """The entries of a known-findings file, and the SHA-256 of its bytes if it is there."""

    entries: tuple[KnownFinding, ...] = ()
    sha256: str | None = None


def read_known(path: str, *, may_be_new: bool = False) -> KnownFile:
    """Read a file; no entries of one that is not there yet, if it may be. Raises Refused."""
    if not path:
        raise Refused("no known-findings file is named", "write its name after the option")
    if may_be_new and os.path.exists(path) and not os.path.isfile(path):
        raise Refused(f"{path}: not a regular file", "name a file to write")
    try:
        with open_regular(path) as file:
            content = file.read(LARGEST_KNOWN + 1)
        if len(content) > LARGEST_KNOWN:
            raise Refused(f"{path}: more than {LARGEST_KNOWN:,} bytes", "name the right file")
        new = may_be_new and not content.strip()
        entries = () if new else parse_known(content.decode("utf-8-sig"))
        return KnownFile(entries, sha256(content).hexdigest())
    except KnownError as error:
        raise Refused(f"{path}: {error.message}", error.advice) from None
    except (OSError, ValueError) as error:
        if may_be_new and isinstance(error, FileNotFoundError):
            return KnownFile()
        reason = getattr(error, "strerror", None) or error
        raise Refused(f"{path} cannot be read: {reason}", "make it with --write-known") from None


def mark_known(run: Run, path: str, known: Sequence[KnownFinding]) -> Run:
    """The run with the findings that stand in a known-findings file marked."""
    return with_known(run, known, _root(path))


def write_known(
    run: Run, path: str, known: KnownFile, paths: Sequence[str]
) -> tuple[KnownFinding, ...]:
    """Write what a run of `paths` found into the file, and say what changed; the new entries.

    Entries of what the run did not look at stay. Raises CannotWrite, also where another run has
    written the file meanwhile.
    """
    from .output import write_file
    from .streams import say

    folders = [os.path.realpath(given) for given in paths]

    def looked_at(file: Path) -> bool:
        real = os.path.realpath(file)
        return any(real == given or real.startswith(given + os.sep) for given in folders)

    merged = merge_known(run, known.entries, _root(path), looked_at)
    write_file(path, known_text(merged.entries), was=known.sha256)
    told = [f"{count(len(merged.entries), 'known finding')}: {merged.added} new"]
    told += [f"{len(merged.gone)} gone"] if merged.gone else []
    told += [f"{merged.kept} not looked at kept"] if merged.kept else []
    say(safe(f"{path}: {', '.join(told)}"))
    for entry in merged.gone:
        say(safe(f"  gone: {entry.file}: {entry.check} at {entry.at}"))
    return merged.entries


def _root(path: str) -> Path:
    return Path(path).absolute().parent
