"""`--known` and `--write-known`: the file of known findings, read and written."""

from __future__ import annotations

from pathlib import Path

from ..checking.known import KnownError, known_text, parse_known, with_known
from ..checking.run import Run
from ..profile.write import CannotWrite, replace_file
from .output import Refused


def mark_known(run: Run, path: str) -> Run:
    """The run with the findings that stand in the file marked; raises Refused."""
    try:
        known = parse_known(Path(path).read_text("utf-8"))
    except KnownError as error:
        raise Refused(f"{path}: {error.message}", error.advice) from None
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or error
        raise Refused(f"{path} cannot be read: {reason}", "make it with --write-known") from None
    return with_known(run, known, _folder(path), Path.exists)


def write_known_file(run: Run, path: str) -> None:
    """Write every finding of the run to the file; raises Refused."""
    try:
        replace_file(path, known_text(run, _folder(path)).encode("utf-8", "backslashreplace"))
    except CannotWrite as error:
        raise Refused(str(error), "check the folder and the permissions") from None


def _folder(path: str) -> Path:
    return Path(path).absolute().parent
