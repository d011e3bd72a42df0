"""How far long work is: a bar on standard error, for a person at a terminal, gone when done."""

from __future__ import annotations

import os
import sys
from time import monotonic
from typing import TYPE_CHECKING

from .streams import on_stderr
from .terminal import is_terminal, screen_of

if TYPE_CHECKING:
    from rich.progress import Progress as Bar

    from ..checking.run import Progress

QUIET, EVERY = 1.0, 0.2
"""Seconds before the bar is shown, and between two changes of it."""


def progress_bar() -> Progress | None:
    """Told of files done, it shows them; None in a pipe, in CI and on a terminal without codes.

    The library that draws is loaded only when work is long, while others do it. It draws when it
    is told to: a thread of its own would be copied into worker processes.
    """
    if not is_terminal(sys.stderr) or os.environ.get("CI") or os.environ.get("TERM") == "dumb":
        return None
    start, shown = monotonic(), 0.0
    bar: Bar | None = None

    def progress(done: int, total: int) -> None:
        nonlocal shown, bar
        now = monotonic()
        if done == total:
            if bar is not None:
                with on_stderr():
                    bar.stop()
            return
        if now - start < QUIET or now - shown < EVERY:
            return
        shown = now
        with on_stderr():
            if bar is None:
                bar = _bar(total)
            bar.update(bar.task_ids[0], completed=done, refresh=True)

    return progress


def _bar(total: int) -> Bar:
    """The bar, begun."""
    from rich.console import Console
    from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn
    from rich.progress import TimeRemainingColumn as Remaining

    screen = screen_of(sys.stderr)
    console = Console(
        file=sys.stderr,
        force_terminal=True,
        width=screen.width - 1,
        color_system="256" if screen.colours >= 256 else "standard" if screen.colours else None,
    )
    columns = (
        TextColumn("Checking"),
        BarColumn(20, complete_style=screen.style("type"), finished_style=screen.style("type")),
        MofNCompleteColumn(),
        TextColumn("files, about"),
        Remaining(),
        TextColumn("left"),
    )
    bar = Progress(*columns, console=console, transient=True, auto_refresh=False)
    bar.add_task("", total=total)
    bar.start()
    return bar
