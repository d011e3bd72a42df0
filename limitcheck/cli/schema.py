"""`limitcheck schema`: the profile format, and the JSON output, for editors and programs."""

from __future__ import annotations

from typing import Annotated

import typer


def command(
    of: Annotated[
        str, typer.Argument(metavar="[profile|output]", help="The profile, or the JSON output.")
    ] = "profile",
) -> int:
    """Print a JSON Schema: of the profile format, or of check --format json.

    Editors that know TOML complete and check a profile that begins with the line
    #:schema profile.schema.json

    \b
    Example: limitcheck schema > profile.schema.json
    """
    from importlib.resources import files

    from ..profile.schema import schema_text
    from .output import Refused, emit

    if of not in ("profile", "output"):
        raise Refused(f'there is no schema of "{of}"', "write profile or output")
    output = files("limitcheck") / "schemas" / "check.schema.json"
    emit(schema_text() if of == "profile" else output.read_text("utf-8"))
    return 0
