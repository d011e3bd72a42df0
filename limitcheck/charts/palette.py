"""Colours of charts: each of one meaning, which its shape and its words say, too.

From the palette of M. Okabe and K. Ito, "Color Universal Design" (2008), chosen to be told apart
by colour-blind eyes; tests try that with simulated ones, and the contrast on paper and in the dark.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Literal, NamedTuple, TypeAlias

Meaning: TypeAlias = Literal["normal", "permitted", "predicted", "over"]


class Ink(NamedTuple):
    """A colour on paper, and the same on a dark screen."""

    paper: str
    dark: str


INKS: dict[Meaning, Ink] = {
    "normal": Ink("#0072b2", "#56b4e9"),
    "permitted": Ink("#009e73", "#009e73"),
    "predicted": Ink("#cc79a7", "#cc79a7"),
    "over": Ink("#d55e00", "#d55e00"),
}


def inked(meaning: Meaning, parts: Iterable[str]) -> Iterator[str]:
    """Shapes in the colour of their meaning; a page may change it by the class."""
    yield f'<g class="ink-{meaning}" color="{INKS[meaning].paper}">'
    yield from parts
    yield "</g>"
