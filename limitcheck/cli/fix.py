"""`limitcheck check --fix` and `--diff`: corrections of typed numbers, shown or written."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from datetime import date
from pathlib import Path

from ..checking.contradictions import PolicyFor
from ..checking.corrections import Fix, NotFixed, fix
from ..checking.results import FileReport
from ..checking.run import Run, finish
from ..findings import path_text
from ..profile.atomic import CannotWrite
from ..profile.load import load
from ..render.lines import safe
from ..render.patch import patch
from .output import complain, write_file
from .streams import emit, emit_bytes, say


def show_fixes(run: Run, policy_for: PolicyFor, today: date, *, likely: bool) -> None:
    """Print what `--fix` would change, as a patch."""
    for _, found in _fixes(run, policy_for, today, likely=likely):
        if found is not None:
            show_patch(found)


def write_fixes(run: Run, policy_for: PolicyFor, today: date, *, likely: bool) -> tuple[Run, bool]:
    """Write the corrections; the run with each corrected file's report after a new check.

    Tells as well whether every correction could be written; why not is printed.
    """
    reports, written = [], True
    for report, found in _fixes(run, policy_for, today, likely=likely):
        if found is None:
            reports.append(report)
            continue
        try:
            write_file(found.path, found.after.encode(), was=found.sha256)
        except CannotWrite as error:
            complain(error.message, error.advice)
            reports.append(report)
            written = False
            continue
        for path, before, after in found.changes:
            say(safe(f"{found.path}: {path_text(path)} = {before} -> {after}"))
        reports.append(found.report)
    return finish(reports, run.looked)._replace(policies=run.policies), written


def _fixes(
    run: Run, policy_for: PolicyFor, today: date, *, likely: bool
) -> Iterator[tuple[FileReport, Fix | None]]:
    for report in run.reports:
        found = None
        if report.status == "findings":
            try:
                policy = policy_for(Path(report.path))
                found = fix(load(report.path), report, policy, today, likely=likely)
            except NotFixed as error:
                complain(f"{report.path}: not corrected: {error.message}", error.advice)
        yield report, found


def show_patch(found: Fix) -> None:
    """Print a correction as a patch, byte for byte; to a terminal with what could steer it escaped.

    Line ends of a terminal's text are its own, so that a patch for use is one that was piped.
    """
    content, stream = patch(found), getattr(sys.stdout, "buffer", None)
    if stream is not None and not sys.stdout.isatty():
        emit_bytes(content)
        return
    lines = content.decode("utf-8").split("\n")[:-1]
    emit("".join(f"{safe(line.removesuffix(chr(13)))}\n" for line in lines))
