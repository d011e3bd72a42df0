"""`limitcheck convert`: a pressure in other units, exactly; any unit pint knows."""

from __future__ import annotations

from typing import Annotated, Literal

import typer

from .options import Format, Output, Paper


def command(
    pressure: Annotated[
        list[str], typer.Argument(metavar="PRESSURE", help="A pressure with its unit: 6000 psi.")
    ],
    to: Annotated[
        list[str] | None, typer.Option(metavar="UNIT", help="A unit; may be repeated.")
    ] = None,
    exact: Annotated[bool, typer.Option("--exact", help="Show the exact fractions.")] = False,
    as_: Annotated[
        Literal["high", "low"] | None,
        typer.Option(
            "--as", metavar="high|low", help="Round it the safe way for this cutoff: down, up."
        ),
    ] = None,
    step: Annotated[
        str | None,
        typer.Option(metavar="NUMBER", help="To which step; the usual one of the unit otherwise."),
    ] = None,
    format: Format = "text",
    output: Output = None,
    paper: Paper = "a4",
) -> int:
    """Convert a pressure exactly, between any units of pressure.

    \b
    Example: limitcheck convert 6000 psi --to bar --to MPa
    Example: limitcheck convert 5800 psi --to bar --as high
    """
    from datetime import date

    from ..documents.conversion import conversion_data, conversion_document, converted
    from ..errors import Refused
    from .output import asked, show

    wanted = asked(format, output, paper=paper)
    text, units = " ".join(pressure), tuple(to or ())
    if step is not None and (as_ is None or len(units) != 1):
        converted(text, units)  # what is wrong with the pressure is said first
        raise Refused("--step needs --as and one --to", f"add --as high --to bar --step {step}")
    if exact and as_ is not None:
        converted(text, units)
        raise Refused("--as rounds, and --exact does not", "give one of the two")
    found, cutoff = converted(text, units, as_, step)
    document = conversion_document(found, date.today(), fractions=exact, cutoff=cutoff)
    show(wanted, document, conversion_data(found, cutoff))
    return 0
