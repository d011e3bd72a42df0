"""Lines of text that fit a terminal and cannot steer it."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, TypeAlias

from ..errors import UNSEEN
from .screen import WIDTH, Role, role_of

if TYPE_CHECKING:
    from ..documents.blocks import FindingBlock

Piece: TypeAlias = tuple[Role, str]
"""A stretch of a line, safe to print, and what it is there for."""
_UNSAFE = re.compile(rf"[\x00-\x1f\x7f-\x9f{UNSEEN}\ud800-\udfff\U000e0000-\U000e007f]")


def safe(text: str) -> str:
    """Text with every character that could steer a terminal or not be seen written as an escape.

    >>> safe("a" + chr(27) + "[2J")
    'a\\\\x1b[2J'
    """
    if text.isascii() and text.isprintable():  # nearly always, and quick to ask
        return text
    return _UNSAFE.sub(lambda match: ascii(match[0])[1:-1], text)


def wrap(text: str, first: str = "", rest: str | None = None, *, width: int = WIDTH) -> list[str]:
    """Lines that fit the width, safe to print; `rest` begins every line but the first.

    Broken at spaces only; a word too long for a line stands alone on it, whole.
    """
    text, lines, indent = safe(text), [], first
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


def finding_headline(block: FindingBlock) -> list[Piece]:
    """Place, grade and check of a finding."""
    sure = f", {block.sure}" if block.sure else ""
    return [
        ("place", safe(f"{block.place}:")),
        ("plain", " "),
        (role_of(block.grade), f"{block.grade}:"),
        ("plain", " "),
        ("strong", safe(block.check)),
        ("plain", sure),
    ]


def caret_lines(block: FindingBlock, width: int = WIDTH) -> list[list[Piece]]:
    """The source line of a finding, and carets under the stretch that is meant."""
    line, (start, end) = block.source_line, block.marked
    if not line.strip():
        return []
    prefix, role = f"  {block.line} | ", role_of(block.grade)
    room = width - len(prefix)
    before, marked, after = safe(line[:start]), safe(line[start:end]), safe(line[end:])
    if len(before) > room // 2:
        before = "..." + before[-(room // 2) + 3 :]
    carets = "^" * max(1, min(_columns(marked), room - _columns(before)))
    marked = marked[: max(0, room - len(before))]
    after = after[: max(0, room - len(before) - len(marked))]
    shown: list[Piece] = [("plain", prefix + before), (role, marked), ("plain", after.rstrip())]
    if not shown[-1][1]:
        shown[1] = (role, marked.rstrip())
    below = f"{' ' * (len(prefix) - 2)}| {' ' * _columns(before)}"
    return [shown, [("plain", below), (role, carets)]]


def _columns(text: str) -> int:
    """Terminal columns: wide characters take two, combining marks none."""
    if text.isascii():
        return len(text)
    import unicodedata

    return sum(
        0 if unicodedata.combining(c) else 2 if unicodedata.east_asian_width(c) in "WF" else 1
        for c in text
    )
