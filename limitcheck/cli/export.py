"""`limitcheck export`: what to type at each instrument, to hang beside it; profiles as data."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from .options import Output, Paper, Verbose

if TYPE_CHECKING:
    from ..render.screen import Screen
    from .output import Drawn


def command(
    paths: Annotated[list[str], typer.Argument(metavar="PATH...", help="Profiles or folders.")],
    format: Annotated[
        str, typer.Option(metavar="NAME", help="What to print: text, csv, html, json or markdown.")
    ] = "text",
    output: Output = None,
    csv: Annotated[
        str, typer.Option("--csv", metavar="STYLE", help="CSV with comma, or with semicolon (1,5).")
    ] = "comma",
    paper: Paper = "a4",
    verbose: Verbose = False,
) -> int:
    """Write what to type at each instrument: a page each in large print, a table, or data.

    A profile with an error, with a number in doubt, or with a required check that is
    not decided, gives nothing to type, and that is said in place of the numbers. -o
    also writes FILE.csv, FILE.xlsx and FILE.animl (AnIML, an open standard); JSON has
    whole profiles with a unit on every number. Exit code: as `check`, and 1 where a profile gives nothing to type; no
    profile at all is 2.

    \b
    Example: limitcheck export profiles/ -o sheets.pdf --paper letter
    """
    from datetime import date

    from ..checking.looked import no_profile
    from ..checking.policy_file import policy_for
    from ..checking.run import check_targets
    from ..checking.selection import select
    from ..documents.export import LOCAL_RULES, exit_code, export_data, export_document
    from ..documents.profile import Checked
    from ..tables.animl import animl_text
    from ..tables.spreadsheet import MARK, csv_style, csv_text, need_workbooks, workbook
    from ..tables.to_type import sheet_row, sheet_table
    from .output import PRINTED, WRITTEN, asked, deliver, draw_document
    from .report import checked_again

    wanted = asked(
        format,
        output,
        verbose,
        inputs=paths,
        printed=("html", *PRINTED, "csv"),
        written=(*WRITTEN, "csv", "xlsx", "animl"),
        paper=paper,
    )
    style, today = csv_style(csv, wanted.formats), date.today()
    if any(name == "xlsx" for name, _ in wanted.files):
        need_workbooks()
    found = select(paths)
    run = check_targets(found.targets, policy_for, today, looked=found.looked)
    if not run.summary.profiles:
        raise no_profile(run.looked, "name profiles, or folders that hold some")
    rows = []
    for report in run.reports:
        item = checked_again(report)
        rows.append(sheet_row(report, item.file if isinstance(item, Checked) else None))

    def draw(name: str, screen: Screen | None) -> Drawn:
        if name == "animl":
            return animl_text(rows, today, LOCAL_RULES)
        if name in ("csv", "xlsx"):
            table = sheet_table(rows, today, LOCAL_RULES)
            if name == "xlsx":
                return workbook(table)
            return ("" if screen else MARK) + csv_text(table, style)
        document = export_document(rows, run, today)
        data = export_data(rows, run) if name == "json" else {}
        return draw_document(name, document, data, screen=screen, verbose=verbose, paper=paper)

    deliver(wanted, draw)
    return exit_code(rows, run)
