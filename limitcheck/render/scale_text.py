"""The pressure scale of a profile as lines of text that fit a width, with its legend."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING

from .lines import Piece, safe, wrap
from .screen import PAPER, Role, Screen

if TYPE_CHECKING:
    from ..charts.scale_line import Tone
    from ..checking.marks import Marks

_ROLES: Mapping[Tone, Role] = {
    "plain": "plain",
    "band": "band",
    "cutoff": "warning",
    "rating": "rating",
}
_GAP = "   "


def scale_pieces(marks: Marks, screen: Screen, indent: int = 0) -> Iterator[list[Piece]]:
    """The line and its legend in stretches of one role; nothing where there is no cutoff.

    The legend begins `indent` columns further right than the line.
    """
    from ..charts.scale_line import ASCII, SIGNS, scale_line

    found = scale_line(marks, screen.width, SIGNS if screen.signs else ASCII)
    if found is None:
        return
    yield [(_ROLES[tone], text) for tone, text in found.line]
    width = screen.width - indent
    lines: list[list[Piece]] = [[]]
    for tone, sign, text in found.legend:
        first, *rest = wrap(f"{sign} {text}", "", "  ", width=width)
        if lines[-1] and sum(len(t) for _, t in lines[-1]) + len(_GAP + first) > width:
            lines.append([])
        elif lines[-1]:
            lines[-1].append(("plain", _GAP))
        lines[-1] += [(_ROLES[tone], sign), ("plain", first.removeprefix(sign))]
        lines += [[("plain", line)] for line in rest]
    yield from ([("plain", " " * indent), *line] for line in lines)


def scale_lines(marks: Marks, screen: Screen = PAPER, margin: int = 0) -> Iterator[str]:
    """The same as painted lines, `margin` columns from the left."""
    inner = screen._replace(width=screen.width - margin)
    for pieces in scale_pieces(marks, inner, margin):
        yield " " * margin + "".join(screen.paint(role, safe(text)) for role, text in pieces)
