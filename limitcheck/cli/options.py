"""Options that several commands have."""

from __future__ import annotations

from typing import Annotated, TypeAlias

import typer

from .output import Refused

Format: TypeAlias = Annotated[
    str, typer.Option(metavar="NAME", help="What to print: text, json or markdown.")
]
Output: TypeAlias = Annotated[
    list[str] | None,
    typer.Option(
        "--output",
        "-o",
        metavar="FILE",
        help="Also write FILE.html, .pdf, .md, .json or .txt; may be repeated.",
    ),
]
Verbose: TypeAlias = Annotated[
    bool, typer.Option("--verbose", "-v", help="Print all of the record.")
]


Pages: TypeAlias = Annotated[
    list[str] | None,
    typer.Option(metavar="html=FILE", help="Also write a page: html or pdf; may be repeated."),
]


def check_format(name: str, *known: str) -> None:
    """Raise Refused for a format that is none of those known; goes when every command `show`s."""
    formats = known or ("text", "json")
    if name not in formats:
        listed = f"{', '.join(formats[:-1])} or {formats[-1]}"
        raise Refused(f'there is no format "{name}" here', f"write {listed}")
