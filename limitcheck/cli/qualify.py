"""`limitcheck qualify`: the installed files and known answers, for a qualification record."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Annotated

import typer

if TYPE_CHECKING:
    from ..qualify.record import Record


def command(
    output: Annotated[
        str | None,
        typer.Option("--output", "-o", metavar="FILE", help="The record: FILE.html or FILE.json."),
    ] = None,
) -> int:
    """Verify this installation and compute known answers again.

    Holds every installed file to the hashes of the wheel, and what the tool
    computes to published values. The record written with -o shows every run.
    Exit code: 0 nothing failed, 1 something failed.

    \b
    Example: limitcheck qualify -o qualification.html
    """
    from datetime import datetime

    from ..profile.write import CannotWrite, replace_file
    from ..qualify.record import qualify
    from ..qualify.results import Verdict
    from ..report.json import render as render_check
    from ..report.qualification import render_text
    from .output import Refused, emit

    render = _renderer(output) if output is not None else None
    record = qualify(render_check, datetime.now().astimezone())
    emit(render_text(record))
    if output is not None and render is not None:
        try:
            replace_file(output, render(record).encode("utf-8", "backslashreplace"))
        except CannotWrite as error:
            raise Refused(str(error), "check the folder and the permissions") from None
    return 1 if record.verdict is Verdict.FAIL else 0


def _renderer(path: str) -> Callable[[Record], str]:
    """The renderer for a file name; raises Refused before anything runs."""
    from .output import Refused

    if path.endswith(".json"):
        from ..report.qualification import render_json

        return render_json
    raise Refused(f"-o {path}: the record is HTML or JSON", "end the name with .html or .json")
