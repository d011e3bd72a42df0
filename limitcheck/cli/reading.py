"""`limitcheck reading`: is this pressure normal, and if not, what may cause it?"""

from __future__ import annotations

from typing import Annotated

import typer

from .options import At, Format, Output, Verbose


def command(
    pressure: Annotated[
        list[str],
        typer.Argument(metavar="PRESSURE", help='As read: "286 bar", or 286 in its own unit.'),
    ],
    profile: Annotated[str, typer.Option(metavar="FILE", help="The profile in use.")],
    at: At = None,
    output: Output = None,
    format: Format = "text",
    verbose: Verbose = False,
) -> int:
    """Compare a pressure with the profile: how far from normal, and the likely causes.

    Exit code: 0 normal, 1 not normal, 2 a file or argument that cannot be used.

    \b
    Example: limitcheck reading "286 bar" --profile tea.toml
    Example: limitcheck reading 92 --profile tea.toml --at "flow=0.5 mL/min"
    """
    from datetime import date

    from ..checking import typed
    from ..checking.typed import parse_change
    from ..diagnosis.reading import read
    from ..documents.reading import reading_data, reading_document
    from ..errors import Refused
    from ..physics.liquid import CannotPredict
    from ..profile.load import load
    from .output import asked, show

    wanted = asked(format, output, verbose)
    file = load(profile)
    unit = file.profile.instrument.pressure_unit
    value = typed.pressure(" ".join(pressure), unit, "reading")
    change, _ = parse_change(at)
    try:
        found = read(file.profile, value, change)
    except CannotPredict as error:
        raise Refused(
            f"{file.path}: the conditions of --at cannot be worked out: {error.message}",
            "complete [conditions] and the column's geometry, or leave --at out",
        ) from None
    document = reading_document(file, found, date.today(), at)
    show(wanted, document, reading_data(file, found, at))
    return 0 if found.position == "normal" else 1
