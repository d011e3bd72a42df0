"""`limitcheck schema`: the profile format and the JSON of the commands, for programs."""

from __future__ import annotations

from typing import Annotated

import typer


def command(
    name: Annotated[
        str, typer.Argument(metavar="[NAME]", help="profile, or a command that gives JSON.")
    ] = "profile",
) -> int:
    """Print a JSON Schema: of the profile format, or of a command's --format json.

    Editors that know TOML complete and check a profile that begins with the line
    #:schema profile.schema.json

    \b
    Example: limitcheck schema > profile.schema.json
    Example: limitcheck schema check
    """
    from ..errors import Refused
    from ..profile.schema import schema_text
    from ..schemas import command_schema, with_schema
    from .output import listed
    from .streams import emit

    if name != "profile" and name not in with_schema():
        known = listed(["profile", *with_schema()])
        raise Refused(f'there is no schema of "{name}"', f"write {known}")
    emit(schema_text() if name == "profile" else command_schema(name))
    return 0
