"""How far a long run has come, on a terminal's standard error."""

from __future__ import annotations

import sys
from time import monotonic

from ..checking.run import Progress

_QUIET, _EVERY = 1.0, 0.2
"""Seconds before the first line, and between two."""


def progress_line() -> Progress | None:
    """A line that rewrites itself and goes away when done; None where no terminal is there."""
    if not sys.stderr.isatty():
        return None
    start = monotonic()
    shown = 0.0

    def progress(done: int, total: int) -> None:
        nonlocal shown
        now = monotonic()
        if done == total:
            text = "\r\x1b[K" if shown else ""
        elif now - start > _QUIET and now - shown > _EVERY:
            shown = now
            text = f"\r{done} of {total} files checked"
        else:
            return
        sys.stderr.write(text)
        sys.stderr.flush()

    return progress
