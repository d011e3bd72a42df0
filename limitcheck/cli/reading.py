"""`limitcheck reading`: is this pressure normal, and if not, what may cause it?"""

from __future__ import annotations

from typing import Annotated

import typer

from .options import Format, Pages, check_format


def command(
    pressure: Annotated[
        list[str],
        typer.Argument(metavar="PRESSURE", help='As read: "286 bar", or 286 in its own unit.'),
    ],
    profile: Annotated[str, typer.Option(metavar="FILE", help="The profile in use.")],
    at: Annotated[
        str | None,
        typer.Option(
            metavar="KEY=VALUE,...",
            help="Conditions of the reading where they differ: flow, temperature, ambient, "
            "percent-b.",
        ),
    ] = None,
    output: Pages = None,
    format: Format = "text",
) -> int:
    """Hold a pressure against the profile: how far from normal, and the likely causes.

    Exit code: 0 normal, 1 not normal, 2 a file or argument that cannot be used.

    \b
    Example: limitcheck reading "286 bar" --profile tea.toml
    Example: limitcheck reading 92 --profile tea.toml --at "flow=0.5 mL/min"
    """
    import json
    from datetime import date

    from ..diagnosis.reading import read
    from ..documents.as_text.reading import document, render
    from ..documents.readings import reading_page
    from ..physics.liquid import CannotPredict
    from ..profile.load import load
    from . import typed
    from .output import Refused, emit
    from .pages import page_writers
    from .predict import parse_change

    check_format(format)
    pages = page_writers(output or [])
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
    if format == "json":
        emit(json.dumps(document(file.profile, found, at), indent=1, ensure_ascii=False) + "\n")
    else:
        emit(render(file.profile, found, at))
    for write in pages:
        write(reading_page(file, found, date.today().isoformat(), at))
    return 0 if found.position == "normal" else 1
