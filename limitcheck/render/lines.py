"""Lines of text that fit a terminal of 80 columns and cannot steer it."""

from __future__ import annotations

import os
import re
from typing import TYPE_CHECKING

from ..errors import UNSEEN

if TYPE_CHECKING:
    from ..documents.blocks import FindingBlock

WIDTH, NARROWEST = 80, 60
_UNSAFE = re.compile(rf"[\x00-\x1f\x7f-\x9f{UNSEEN}\ud800-\udfff\U000e0000-\U000e007f]")


def terminal_width() -> int:
    """COLUMNS of the environment, at least 60; else 80."""
    try:
        return max(NARROWEST, int(os.environ["COLUMNS"]))
    except (KeyError, ValueError):
        return WIDTH


def safe(text: str) -> str:
    """Text with every character that could steer a terminal or not be seen written as an escape.

    >>> safe("a" + chr(27) + "[2J")
    'a\\\\x1b[2J'
    """
    if text.isascii() and text.isprintable():  # nearly always, and quick to ask
        return text
    return _UNSAFE.sub(lambda match: ascii(match[0])[1:-1], text)


def wrap(text: str, first: str = "", rest: str | None = None) -> list[str]:
    """Lines that fit the terminal, safe to print; `rest` begins every line but the first.

    Broken at spaces only; a word too long for a line stands alone on it, whole.
    """
    text, width, lines, indent = safe(text), terminal_width(), [], first
    while text:
        room = max(0, width - len(indent))
        end = len(text) if len(text) <= room else text.rfind(" ", 0, room + 1)
        if end < 0:
            end = text.find(" ") if " " in text else len(text)
        if line := text[:end].rstrip(" "):
            lines.append(indent + line)
            indent = first if rest is None else rest
        text = text[end:].lstrip(" ")
    return lines


def finding_headline(block: FindingBlock) -> str:
    """Place, grade and check of a finding, safe to print."""
    sure = f", {block.sure}" if block.sure else ""
    return safe(f"{block.place}: {block.grade}: {block.check}{sure}")


def caret_lines(block: FindingBlock, width: int | None = None) -> list[str]:
    """The source line of a finding, and carets under the stretch that is meant."""
    line, (start, end) = block.source_line, block.marked
    if not line.strip():
        return []
    prefix = f"  {block.line} | "
    room = (width or terminal_width()) - len(prefix)
    before, marked, after = safe(line[:start]), safe(line[start:end]), safe(line[end:])
    if len(before) > room // 2:
        before = "..." + before[-(room // 2) + 3 :]
    carets = " " * _columns(before) + "^" * max(1, min(_columns(marked), room - _columns(before)))
    shown = (before + marked + after)[:room]
    return [f"{prefix}{shown}".rstrip(), f"{' ' * (len(prefix) - 2)}| {carets}"]


def _columns(text: str) -> int:
    """Terminal columns: wide characters take two, combining marks none."""
    if text.isascii():
        return len(text)
    import unicodedata

    return sum(
        0 if unicodedata.combining(c) else 2 if unicodedata.east_asian_width(c) in "WF" else 1
        for c in text
    )
