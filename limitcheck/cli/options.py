"""Options that several commands have."""

from __future__ import annotations

from typing import Annotated, TypeAlias

import typer

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
Paper: TypeAlias = Annotated[
    str, typer.Option(metavar="SIZE", help="Paper of a PDF: a4 or letter.")
]
Picture: TypeAlias = Annotated[
    list[str] | None,
    typer.Option(
        metavar="FILE",
        help="Also write the charts alone, as FILE.svg or FILE.png; may be repeated.",
    ),
]
Verbose: TypeAlias = Annotated[
    bool, typer.Option("--verbose", "-v", help="Print all of the record.")
]
At: TypeAlias = Annotated[
    list[str] | None,
    typer.Option(
        metavar="KEY=VALUE,...",
        help="Conditions of the reading where they differ: flow, temperature, ambient, percent-b; "
        "may be repeated.",
    ),
]


def together(at: list[str] | None) -> str | None:
    """All that was given in --at, as one text to show."""
    return ",".join(at) if at else None
