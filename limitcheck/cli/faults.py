"""`limitcheck faults`: what each fault would do to the pressure, and what stops it."""

from __future__ import annotations

from typing import Annotated

import typer

from .options import Format, Output, Paper, Verbose


def command(
    profile: Annotated[str, typer.Argument(metavar="PROFILE", help="A profile.")],
    format: Format = "text",
    output: Output = None,
    paper: Paper = "a4",
    verbose: Verbose = False,
) -> int:
    """Show the pressure under each usual fault, and which cutoff stops it.

    \b
    Example: limitcheck faults tea.toml
    """
    from datetime import date

    from ..checking.doubts import band_in_doubt
    from ..documents.faults import faults_document
    from ..documents.faults_data import faults_data
    from ..errors import Refused
    from ..physics.faults import Faults
    from ..physics.liquid import CannotPredict
    from ..profile.load import load
    from .output import asked, show

    wanted = asked(format, output, verbose, paper=paper)
    file = load(profile)
    found = Faults(file.profile)
    try:
        doubt = band_in_doubt(file, date.today())
        document = faults_document(file, found, date.today(), doubt=doubt)
        data = faults_data(file, found, doubt=doubt)
    except CannotPredict as error:
        raise Refused(
            f"{file.place(error.at)}: no normal pressure to start from: {error.message}",
            "give [expected] low and high, or what the prediction lacks",
        ) from None
    show(wanted, document, data)
    return 0
