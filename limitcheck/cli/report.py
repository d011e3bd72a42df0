"""`limitcheck report`: a check of profiles as one record to read, print and sign."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from .options import Format, Output, Paper, Picture, Verbose

if TYPE_CHECKING:
    from ..checking.results import FileReport
    from ..checking.table_rows import TableRow
    from ..documents.profile import Checked


def command(
    paths: Annotated[
        list[str], typer.Argument(metavar="PATH...", help="Profiles, folders, tables (CSV, XLSX).")
    ],
    format: Format = "text",
    output: Output = None,
    paper: Paper = "a4",
    picture: Picture = None,
    verbose: Verbose = False,
) -> int:
    """Write a report on profiles, with all that `check` finds in them.

    A table is reported row by row, as `check` reads it; findings name the cell.
    Exit code: 0 written, 2 a file or argument that cannot be used; the report says
    which file.

    \b
    Example: limitcheck report tea.toml -o tea.pdf
    """
    from datetime import date
    from functools import cache

    from ..checking.looked import no_profile
    from ..checking.policy_file import policy_for
    from ..checking.run import check_targets
    from ..checking.selection import select
    from ..documents.findings import run_data
    from ..documents.profile import profile_document
    from .output import asked, show
    from .tables import tables_of

    read_table = cache(tables_of(paths))
    wanted = asked(format, output, verbose, inputs=paths, pictures=picture or (), paper=paper)
    today = date.today()
    found = select(paths)
    run = check_targets(
        found.targets, policy_for, today, looked=found.looked, read_table=read_table
    )
    if not run.summary.profiles:
        raise no_profile(run.looked, "name profiles, or folders that hold some")
    rows = cache(lambda path: {row.row: row for row in read_table(path).rows})
    checked = [
        _of_row(report, rows(report.path)[report.row]) if report.row else checked_again(report)
        for report in run.reports
    ]
    document = profile_document(checked, today, run.looked)
    show(wanted, document, run_data(run))
    return 2 if run.summary.unreadable else 0


def _of_row(report: FileReport, row: TableRow) -> Checked | FileReport:
    """The report of a row with what the row says; alone where the row is a question."""
    from pathlib import Path

    from ..checking.policy_file import policy_for
    from ..documents.profile import Checked

    return report if row.file is None else Checked(row.file, report, policy_for(Path(report.path)))


def checked_again(report: FileReport) -> Checked | FileReport:
    """The report with its file, where that can be read; raises Refused, UnreadableProfile."""
    from pathlib import Path

    from ..checking.policy_file import policy_for
    from ..documents.profile import Checked
    from ..errors import Refused
    from ..profile.load import load

    if report.status == "unreadable":
        return report
    file = load(report.path)
    if file.sha256 != report.sha256:
        raise Refused(f"{report.path} has changed meanwhile", "run the command again")
    return Checked(file, report, policy_for(Path(report.path)))
