"""`limitcheck convert`: a pressure in other units, exactly; any unit pint knows."""

from __future__ import annotations

from typing import Annotated

import typer


def command(
    pressure: Annotated[
        list[str], typer.Argument(metavar="PRESSURE", help="A pressure with its unit: 6000 psi.")
    ],
    to: Annotated[
        list[str] | None, typer.Option(metavar="UNIT", help="A unit; may be repeated.")
    ] = None,
    exact: Annotated[bool, typer.Option("--exact", help="Show the exact fractions.")] = False,
) -> int:
    """Convert a pressure exactly, between any units of pressure.

    \b
    Example: limitcheck convert 6000 psi --to bar --to MPa
    """
    from ..units import TRADE_UNITS, UnitError
    from ..units.conversion import convert, rule_of_thumb
    from .output import Refused, emit

    try:
        source, results = convert(" ".join(pressure), to or list(TRADE_UNITS))
    except UnitError as error:
        raise Refused(error.message, error.advice) from None
    lines = []
    for result in results:
        if not to and result.unit == source.unit:
            continue
        line = f"{source.text} = {result.text} {result.unit}"
        lines.append(f"{line} (exactly {result.value})" if exact else line)
    lines += rule_of_thumb(source, [result.unit for result in results])
    emit("\n".join(lines) + "\n")
    return 0
