"""One finding as lines of text, and the pressure scale under it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING

from .lines import Piece, caret_lines, finding_headline, safe, wrap
from .screen import PAPER, Role, Screen

if TYPE_CHECKING:
    from ..checking.marks import Marks
    from ..documents.blocks import FindingBlock


def scale_lines(marks: Marks, screen: Screen) -> Iterator[str]:
    """The pressure scale and its legend, painted."""
    from ..charts.scale_line import ASCII, SIGNS, joined, scale_line

    found = scale_line(marks, screen.width - 2, SIGNS if screen.signs else ASCII)
    if found is None:
        return
    roles: dict[str, Role] = {"band": "band", "cutoff": "warning", "rating": "rating"}
    yield "  " + "".join(screen.paint(roles.get(tone, "plain"), text) for tone, text in found.line)
    signs = {sign: screen.paint(roles[tone], sign) for tone, sign, _ in found.legend}
    for line in joined([f"{sign} {text}" for _, sign, text in found.legend], screen.width - 4):
        yield "    " + "".join(signs.get(letter, letter) for letter in line)


def finding_text(block: FindingBlock, screen: Screen = PAPER) -> str:
    """One finding: where, what, the line with a caret, what it means, what to do, what to type."""
    lines = [_painted(finding_headline(block), screen)]
    lines += (_painted(pieces, screen) for pieces in caret_lines(block, screen.width))
    lines += paragraph(block.message, screen)
    if block.advice:
        lines += paragraph(block.advice, screen, "Do:")
    for item in block.to_type:
        lead, _, typed = safe(item.line).partition(" ")
        lines.append(f"  {screen.paint('strong', lead)} {screen.paint('type', typed)}")
    for remark in block.remarks:
        lines += wrap(remark, "  ", "    ", width=screen.width)
    return "\n".join(lines) + "\n"


def _painted(pieces: Iterable[Piece], screen: Screen) -> str:
    return "".join(screen.paint(role, text) for role, text in pieces)


def paragraph(text: str, screen: Screen, label: str = "") -> list[str]:
    """Lines of a text below a headline; `label` stands out before it."""
    lines = wrap(text, f"  {label} " if label else "  ", "  ", width=screen.width)
    if label and lines:
        lines[0] = lines[0].replace(label, screen.paint("strong", label), 1)
    return lines
