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
        typer.Option(
            "--output", "-o", metavar="FILE", help="The record: FILE.html, FILE.pdf or FILE.json."
        ),
    ] = None,
) -> int:
    """Verify this installation and compute known answers again.

    Holds every installed file to the hashes of the wheel, and what the tool
    computes to published values. The record written with -o shows every run.
    Exit code: 0 nothing failed, 1 something failed, 2 the record cannot be written.

    \b
    Example: limitcheck qualify -o qualification.html
    """
    from datetime import datetime

    from ..documents.as_text.qualification import render_text
    from ..qualify.record import qualify
    from ..qualify.results import Verdict
    from ..render.run_json import render as render_check
    from .output import emit

    write = _writer(output) if output is not None else None
    record = qualify(render_check, datetime.now().astimezone())
    emit(render_text(record))
    if write is not None:
        write(record)
    return 1 if record.verdict is Verdict.FAIL else 0


def _writer(path: str) -> Callable[[Record], None]:
    """What writes the record to a file; raises Refused before anything runs."""
    from .output import Refused

    if not path.endswith((".html", ".pdf", ".json")):
        raise Refused(
            f"{path} is none of .html, .pdf and .json", "write as in -o qualification.html"
        )
    if not path.endswith(".json"):
        from ..documents.qualification import qualification_document
        from .pages import page_writer

        draw = page_writer(path)
        return lambda record: draw(qualification_document(record))

    def write(record: Record) -> None:
        from ..documents.as_text.qualification import render_json
        from ..profile.write import CannotWrite, replace_file

        try:
            replace_file(path, render_json(record).encode("utf-8", "backslashreplace"))
        except CannotWrite as error:
            raise Refused(str(error), "check the folder and the permissions") from None

    return write
