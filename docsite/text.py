"""Small pieces of Markdown."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence

_SPECIAL = re.compile(r"([\\`*_{}\[\]<>#|])")


def plain(text: str) -> str:
    """Text as it stands: no sign of it is read as Markdown."""
    return _SPECIAL.sub(r"\\\1", text).replace("\n", " ")


def prose(text: str) -> str:
    """Text of a docstring: plain but for names in backquotes.

    What is run in the repository is for contributors: here it is said in words.
    """
    text = re.sub(r"`+python -m tests\.[\w.]+`+", "a study among the tests of this program", text)
    pieces = re.split(r"(`+)(.+?)\1", " ".join(text.split()))
    return "".join(
        code(piece) if number % 3 == 2 else "" if number % 3 == 1 else plain(piece)
        for number, piece in enumerate(pieces)
    )


def code(text: str) -> str:
    """Text as code; a bar would end the cell of a table."""
    return f"`{text}`" if "|" not in text else plain(text)


def table(head: Sequence[str], rows: Iterable[Sequence[str]]) -> str:
    """A table; its cells are Markdown already."""
    lines = [head, ["---"] * len(head), *rows]
    return "\n".join(f"| {' | '.join(line)} |" for line in lines) + "\n"
