"""`limitcheck check --fix` and `--diff`: corrections of typed numbers, shown or written."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from datetime import date
from difflib import unified_diff
from pathlib import Path

from ..checking.corrections import Fix, NotFixed, fix
from ..checking.results import FileReport
from ..checking.run import PolicyFor, Run, finish
from ..findings import path_text
from ..profile.atomic import CannotWrite
from ..profile.load import load
from ..render.lines import safe
from .output import complain, emit, write_file


def show_fixes(run: Run, policy_for: PolicyFor, today: date, *, likely: bool) -> None:
    """Print what `--fix` would change, as a unified diff."""
    for _, found in _fixes(run, policy_for, today, likely=likely):
        if found is not None:
            emit(diff_text(found))


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
            print(safe(f"{found.path}: {path_text(path)} = {before} -> {after}"), file=sys.stderr)
        reports.append(found.report)
    return finish(reports, run.summary.skipped)._replace(fail_on=run.fail_on), written


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


def diff_text(found: Fix) -> str:
    """A unified diff of a correction; control characters are written as escapes."""
    lines = unified_diff(
        found.before.splitlines(), found.after.splitlines(), found.path, found.path, lineterm=""
    )
    return "".join(f"{safe(line)}\n" for line in lines)
