"""`limitcheck convert`: a pressure in other units, exactly; any unit pint knows."""

from __future__ import annotations

from typing import Annotated

import typer

from .options import Format, Output


def command(
    pressure: Annotated[
        list[str], typer.Argument(metavar="PRESSURE", help="A pressure with its unit: 6000 psi.")
    ],
    to: Annotated[
        list[str] | None, typer.Option(metavar="UNIT", help="A unit; may be repeated.")
    ] = None,
    exact: Annotated[bool, typer.Option("--exact", help="Show the exact fractions.")] = False,
    format: Format = "text",
    output: Output = None,
) -> int:
    """Convert a pressure exactly, between any units of pressure.

    \b
    Example: limitcheck convert 6000 psi --to bar --to MPa
    """
    from datetime import date

    from ..documents.conversion import conversion_data, conversion_document
    from ..units import TRADE_UNITS
    from ..units.conversion import convert
    from .output import asked, show

    wanted = asked(format, output)
    found = convert(" ".join(pressure), to or TRADE_UNITS)
    if not to:
        others = tuple(result for result in found.results if result.unit != found.source.unit)
        found = found._replace(results=others)
    show(wanted, conversion_document(found, date.today(), exact=exact), conversion_data(found))
    return 0
