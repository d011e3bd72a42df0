"""One finding as lines of text."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from .lines import Piece, caret_lines, finding_headline, safe, wrap
from .screen import PAPER, Screen

if TYPE_CHECKING:
    from ..documents.blocks import FindingBlock


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
