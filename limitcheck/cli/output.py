"""What commands print and write: safe text, plain errors, files written whole."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterable

from ..findings import Finding


class Refused(Exception):
    """An argument or file that cannot be used: shown with advice, exit code 2."""

    def __init__(self, message: str, advice: str) -> None:
        super().__init__(message)
        self.message = message
        self.advice = advice


def emit(text: str | Iterable[str]) -> None:
    """Print a text, whole or in pieces, to standard output; a reader that left is no error."""
    encoding = getattr(sys.stdout, "encoding", None) or "utf-8"
    try:
        for piece in [text] if isinstance(text, str) else text:
            sys.stdout.write(piece.encode(encoding, "backslashreplace").decode(encoding))
        sys.stdout.flush()
    except BrokenPipeError:
        # Python flushes standard output again at exit; give it somewhere to go.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


def complain(message: str, advice: str = "") -> None:
    """Print an error to standard error, with what to do."""
    from ..render.lines import wrap

    lines = [*wrap(message, "", "  "), *(wrap(advice, "  Do: ", "  ") if advice else [])]
    print("\n".join(lines), file=sys.stderr)


def complain_of(findings: Iterable[Finding]) -> None:
    """Print findings about a file that cannot be used to standard error."""
    from ..render.text import finding_block

    for finding in findings:
        print(finding_block(finding), file=sys.stderr)


def show_usage_error(error: Exception) -> int | None:
    """Print an error that comes of what the user gave, and return its exit code; else None."""
    from ..profile.text import UnreadableProfile

    if isinstance(error, Refused):
        complain(error.message, error.advice)
        return 2
    if isinstance(error, UnreadableProfile):
        complain_of(error.findings)
        return 2
    show = getattr(error, "show", None)
    option = getattr(error, "option_name", None)
    if option is not None and option[1:2].isdigit():
        complain(f"{option} is below zero", "write the number as displayed, without a sign")
        return 2
    if show is not None and hasattr(error, "exit_code"):  # a usage error of the parser
        show()
        return 2
    return None
