"""`limitcheck fleet`: every method on every instrument in one table, nearest to harm first."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from .options import Output, Paper, Verbose

if TYPE_CHECKING:
    from collections.abc import Sequence

    from ..charts.svg import Drawing
    from ..checking.fleet import FleetRow
    from ..documents.blocks import Document
    from ..render.screen import Screen
    from .output import Drawn


def command(
    paths: Annotated[
        list[str],
        typer.Argument(
            metavar="PATH...", help="Profiles, folders, tables (CSV, XLSX); - for standard input."
        ),
    ],
    format: Annotated[
        str, typer.Option(metavar="NAME", help="What to print: text, csv, html, json or markdown.")
    ] = "text",
    output: Output = None,
    unit: Annotated[
        str, typer.Option(metavar="UNIT", help="The unit that all pressures are given in.")
    ] = "bar",
    csv: Annotated[
        str,
        typer.Option(
            "--csv",
            metavar="STYLE",
            help="CSV for spreadsheets with a decimal point, comma, or with a decimal comma, "
            "semicolon.",
        ),
    ] = "comma",
    fail_on: Annotated[
        str | None,
        typer.Option(metavar="GRADE", help="Lowest grade that fails: error, warning, note; never."),
    ] = None,
    known: Annotated[
        str | None, typer.Option(metavar="FILE", help="Findings in this file do not fail.")
    ] = None,
    stdin_name: Annotated[
        str, typer.Option(metavar="NAME", help="What to call standard input.")
    ] = "standard-input.toml",
    jobs: Annotated[
        int | None, typer.Option(metavar="N", min=1, help="Processes; default: one a processor.")
    ] = None,
    paper: Paper = "a4",
    verbose: Verbose = False,
) -> int:
    """Show all profiles in one table: cutoffs, normal pressure, ratings, headroom, state.

    What is nearest to harm comes first. -o also writes FILE.csv and FILE.xlsx, one row
    a profile, with every number in one unit and as typed; XLSX needs
    'limitcheck[tables]'. Exit code: as `check`; no profile at all is 2.

    \b
    Example: limitcheck fleet profiles/ -o fleet.xlsx -o fleet.html
    """
    from datetime import date
    from functools import cache, partial

    from ..checking.fleet import fleet_of
    from ..checking.looked import no_profile
    from ..checking.selection import select
    from ..documents.fleet import fleet_document
    from ..documents.fleet_data import fleet_data
    from ..errors import Refused
    from ..tables.fleet import fleet_table
    from ..tables.spreadsheet import MARK, csv_style, csv_text, need_workbooks, workbook
    from ..units import Pressure, UnitError, find_unit
    from .checked import checked, policy_of
    from .gate import command_line
    from .known_file import mark_known, read_known
    from .output import PRINTED, WRITTEN, asked, deliver, draw_document
    from .tables import tables_of

    read_table = tables_of(paths, stdin_name)
    wanted = asked(
        format,
        output,
        verbose,
        inputs=[*paths, *([known] if known is not None else [])],
        printed=("html", *PRINTED, "csv"),
        written=(*WRITTEN, "csv", "xlsx"),
        paper=paper,
    )
    style = csv_style(csv, wanted.formats)
    try:
        common = find_unit(unit, Pressure)
    except UnitError as error:
        raise Refused(f"--unit {unit}: {error.message}", error.advice) from None
    if any(name == "xlsx" for name, _ in wanted.files):
        need_workbooks()
    if "-" in paths and len(paths) > 1:
        raise Refused("- is standard input, which is shown alone", "leave the other paths out")
    file = None if known is None else read_known(known)
    today, policy_for = date.today(), partial(policy_of, command_line(fail_on, None, None, None))
    found = None if paths == ["-"] else select(paths)
    run = checked(found, policy_for, stdin_name, read_table, jobs=jobs, facts=True)
    if known is not None and file is not None:
        run = mark_known(run, known, file.entries)
    if not run.summary.profiles:
        raise no_profile(run.looked, "name profiles, or folders that hold some")
    rows = fleet_of(run.reports)

    @cache
    def document(whole: bool) -> Document:
        pictures = _pictures(rows, common) if whole else None
        return fleet_document(rows, run, common, today, pictures)

    def draw(name: str, screen: Screen | None) -> Drawn:
        if name == "csv":
            return ("" if screen else MARK) + csv_text(fleet_table(rows, common), style)
        if name == "xlsx":
            return workbook(fleet_table(rows, common))
        data = fleet_data(rows, run, common) if name == "json" else {}
        record = name != "text" or screen is None or verbose
        shown = document(record and name != "json")
        return draw_document(name, shown, data, screen=screen, verbose=verbose, paper=paper)

    deliver(wanted, draw)
    return run.exit_code


def _pictures(rows: Sequence[FleetRow], unit: str) -> dict[str, Drawing]:
    """The pressure scale of each row that has details, by path; raises Refused for a changed file."""
    from os.path import isfile

    from ..charts.scale import scale
    from ..documents.fleet import DETAILED
    from ..errors import Refused
    from ..profile.load import load

    pictures = {}
    for row in rows[:DETAILED]:
        if row.facts is None or not isfile(row.path):  # a row of a table, or standard input
            continue
        file = load(row.path)
        if file.sha256 != row.sha256:
            raise Refused(f"{row.path} has changed meanwhile", "run the command again")
        other = unit if unit != row.facts.unit else None
        pictures[row.path] = scale(file.profile, None, other, doubt=row.facts.doubt)
    return pictures
