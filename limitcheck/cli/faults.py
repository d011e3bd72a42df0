"""`limitcheck faults`: what each fault would do to the pressure, and what stops it."""

from __future__ import annotations

from typing import Annotated

import typer

from .options import Format, check_format


def command(
    profile: Annotated[str, typer.Argument(metavar="PROFILE", help="A profile.")],
    format: Format = "text",
) -> int:
    """Show the pressure under each usual fault, and which cutoff stops it.

    \b
    Example: limitcheck faults tea.toml
    """
    import json

    from ..documents.as_text.faults import document, render
    from ..physics.faults import Faults
    from ..physics.liquid import CannotPredict
    from ..profile.load import load
    from .output import Refused, emit

    check_format(format)
    file = load(profile)
    found = Faults(file.profile)
    try:
        if format == "json":
            emit(json.dumps(document(found), indent=1, ensure_ascii=False) + "\n")
        else:
            emit(render(found))
    except CannotPredict as error:
        raise Refused(
            f"{file.path}: no normal pressure to start from: {error.message}",
            "give [expected] low and high, or what the prediction lacks",
        ) from None
    return 0
