"""`limitcheck explain`: the documentation of a check."""

from __future__ import annotations

from typing import Annotated

import typer

from .options import Format, Output, Paper


def command(
    check: Annotated[
        str | None, typer.Argument(metavar="CHECK", help="A check's name; none lists all.")
    ] = None,
    format: Format = "text",
    output: Output = None,
    paper: Paper = "a4",
) -> int:
    """What a check means at the bench, and what to do about it.

    \b
    Example: limitcheck explain high-cutoff-above-rating
    """
    from datetime import date

    from ..checks.documentation import DOCUMENTED
    from ..documents.explanation import explanation_document, explanations_data
    from ..errors import Refused
    from .output import asked, near, show

    wanted = asked(format, output, paper=paper)
    if check is not None and check not in DOCUMENTED:
        hint = near(check, DOCUMENTED, "limitcheck explain lists them")
        raise Refused(f'there is no check "{check}"', hint)
    names = tuple(DOCUMENTED) if check is None else (check,)
    show(wanted, explanation_document(names, date.today()), explanations_data(names))
    return 0
