"""`limitcheck qualify`: the installed files and known answers, for a qualification record."""

from __future__ import annotations

from .options import Format, Output, Paper, Verbose


def command(
    format: Format = "text", output: Output = None, paper: Paper = "a4", verbose: Verbose = False
) -> int:
    """Verify this installation and compute known answers again.

    Compares every installed file with the hashes of the wheel, and what the tool
    computes with published values. The record written with -o shows every run.
    Exit code: 0 nothing failed, 1 something failed, 2 the record cannot be written.

    \b
    Example: limitcheck qualify -o qualification.html
    """
    from datetime import datetime

    from ..documents.qualification import qualification_data, qualification_document
    from ..qualify.record import qualify
    from ..qualify.results import Verdict
    from ..render.run_json import render as render_check
    from .output import asked, show

    wanted = asked(format, output, verbose, paper=paper)
    record = qualify(render_check, datetime.now().astimezone())
    show(wanted, qualification_document(record), qualification_data(record))
    return 1 if record.verdict is Verdict.FAIL else 0
