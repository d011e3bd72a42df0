"""`limitcheck new`: a profile of one's own, begun from a starting profile."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

_PACKAGED = Path(__file__).parents[1] / "starting_profiles"
_CHECKOUT = Path(__file__).parents[2] / "profiles"


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
    from .output import near
    from .streams import emit

    starting = _starting_profiles()
    if list:
        emit("".join(f"{name}\n    {_purpose(path)}\n" for name, path in starting.items()))
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
    content = _begun(starting[like].read_text("utf-8"), id, instrument).encode("utf-8")
    load_bytes(content, file)  # raises UnreadableProfile for an id that is none
    create_file(file, content)
    emit(
        f"Wrote {file}, begun from {like}.\n"
        "Set its conditions, geometry and ratings to your own, from the labels and\n"
        f"manuals of the parts. Then: limitcheck check {file}\n"
    )
    return 0


def _starting_profiles() -> dict[str, Path]:
    """Starting profiles by name: from the package, or from a checkout of the project."""
    folder = _PACKAGED if _PACKAGED.is_dir() else _CHECKOUT
    return {path.stem: path for path in sorted(folder.glob("*.toml"), key=lambda path: path.stem)}


def _remarks(text: str) -> list[str]:
    """The remarks at the head of a starting profile."""
    lines = (line for line in text.splitlines() if not line.startswith("#:"))
    remarks = []
    for line in lines:
        if not line.startswith("#"):
            break
        remarks.append(line)
    return remarks


def _purpose(path: Path) -> str:
    return _remarks(path.read_text("utf-8"))[0].removeprefix("# ")


def _begun(text: str, method: str, instrument: str | None) -> str:
    """The text of the new profile: the remarks, then everything else under its own ids."""
    from ..profile.toml import parse
    from ..profile.write import dump_profile

    profile = parse(text)
    profile["method"]["id"] = method
    profile["instrument"]["id"] = instrument or f"instrument of {method}"
    return "\n".join([*_remarks(text), dump_profile(profile)])
