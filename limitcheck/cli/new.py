"""`limitcheck new`: a profile of one's own, begun from a starting profile."""

from __future__ import annotations

from typing import Annotated

import typer


def command(
    file: Annotated[
        str | None, typer.Argument(metavar="FILE", help="The profile to write.")
    ] = None,
    like: Annotated[
        str | None, typer.Option(metavar="NAME", help="The starting profile; see --list.")
    ] = None,
    id: Annotated[str | None, typer.Option(metavar="METHOD-ID", help="The method's id.")] = None,
    instrument: Annotated[
        str | None, typer.Option(metavar="ID", help="The instrument's id.")
    ] = None,
    list: Annotated[bool, typer.Option("--list", help="List the starting profiles.")] = False,
) -> int:
    """Begin a profile from a starting profile; never writes over a file.

    \b
    Example: limitcheck new --list
    Example: limitcheck new --like conventional-400-bar --id KB-TEA-014 tea.toml
    """
    from ..errors import Refused
    from ..profile.atomic import create_file
    from ..profile.load import load_bytes
    from ..profile.starting import begun, purpose, starting_profiles
    from .output import near
    from .streams import emit

    starting = starting_profiles()
    if list:
        emit("".join(f"{name}\n    {purpose(path)}\n" for name, path in starting.items()))
        return 0
    if like is None or id is None or file is None:
        raise Refused(
            "--like, --id and a file are needed",
            "write limitcheck new --like NAME --id METHOD-ID FILE, or limitcheck new --list",
        )
    if like not in starting:
        raise Refused(
            f'there is no starting profile "{like}"',
            near(like, starting, "limitcheck new --list names them"),
        )
    content = begun(starting[like].read_text("utf-8"), id, instrument).encode("utf-8")
    load_bytes(content, file)  # raises UnreadableProfile for an id that is none
    create_file(file, content)
    emit(
        f"Wrote {file}, begun from {like}.\n"
        "Set its conditions, geometry and ratings to your own, from the labels and\n"
        f"manuals of the parts. Then: limitcheck check {file}\n"
    )
    return 0
