"""`limitcheck explain`: the documentation of a check, which is its docstring."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Annotated

import typer


def command(
    check: Annotated[
        str | None, typer.Argument(metavar="CHECK", help="A check's name; none lists all.")
    ] = None,
) -> int:
    """What a check means at the bench, and what to do about it.

    \b
    Example: limitcheck explain high-cutoff-above-rating
    """
    from difflib import get_close_matches
    from inspect import cleandoc

    from ..checks.documentation import DOCUMENTED
    from ..render.lines import wrap
    from .output import Refused, emit

    if check is None:
        lines: list[str] = []
        for name, text in DOCUMENTED.items():
            lines += [name, *wrap(text.splitlines()[0], "    ")]
        emit("\n".join(lines) + "\n")
        return 0
    if check not in DOCUMENTED:
        close = get_close_matches(check, DOCUMENTED, n=1)
        hint = f"did you mean {close[0]}?" if close else "limitcheck explain lists them"
        raise Refused(f'there is no check "{check}"', hint)
    emit("\n".join([check, "", *_paragraphs(cleandoc(DOCUMENTED[check])), ""]))
    return 0


def _paragraphs(text: str) -> Iterator[str]:
    """The lines of a docstring, its sections begun anew, at 80 columns."""
    from ..render.lines import wrap

    for section in re.split(r"\n(?=\n|At the bench:|Do:|Source:)", text):
        yield from wrap(" ".join(section.split())) or [""]
