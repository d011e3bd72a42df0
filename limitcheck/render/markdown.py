"""Any document as Markdown, with the tables of GitHub's flavour; all of the record."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator

from ..charts.svg import Drawing
from ..documents.blocks import (
    Blanks,
    Block,
    Bullets,
    Document,
    Facts,
    FindingBlock,
    Table,
    Text,
    ToType,
)
from .lines import safe
from .scale_text import scale_lines
from .screen import Screen

_SPECIAL = re.compile(r"[\\`*\[\]<>|~&#$]|(?<![^\W_])_|_(?![^\W_])|^[-+=]")
_NUMBERED = re.compile(r"^(\d+)([.)])(?=\s|$)")
_LINE = r"\_" * 30
_CODE = Screen(width=76, signs=False)
"""What a block of code is drawn for: any font, on any page."""


def render(document: Document) -> str:
    """The Markdown of a document."""
    return "\n\n".join(_document(document)) + "\n"


def _document(document: Document) -> Iterator[str]:
    yield f"# {_escaped(document.title)}"
    for block in document.summary:
        yield _drawn(block)
    for chapter in document.chapters:
        yield f"## {_escaped(chapter.heading)}"
        for section in chapter.sections:
            if section.heading:
                yield f"### {_escaped(section.heading)}"
            yield from map(_drawn, section.blocks)
    if document.cautions:
        yield "## Cautions"
        yield _drawn(Bullets(document.cautions))
    yield f"Made by limitcheck {_escaped(document.version)} on {document.day}."


def _drawn(block: Block) -> str:
    match block:
        case Text():
            text = _escaped(block.text)
            return f"**{text}**" if block.strong else text
        case ToType():
            return f"**{_escaped(block.text)}**"
        case Bullets():
            signs = (f"{n}." if block.numbered else "-" for n in range(1, len(block.items) + 1))
            return _list(
                f"{sign} {_escaped(item)}" for sign, item in zip(signs, block.items, strict=True)
            )
        case Facts():
            return _list(f"* {_escaped(label)}: {_escaped(value)}" for label, value in block.rows)
        case Table():
            return "\n".join(_table(block))
        case Drawing():
            told = f"{_escaped(block.caption)}: {_escaped(block.description)}"
            lines = [*block.sketch, *(scale_lines(block.marks, _CODE) if block.marks else ())]
            sketch = ["", "```text", *map(safe, lines), "```"] if lines else []
            return "\n".join([told, *sketch])
        case FindingBlock():
            return "\n\n".join(_finding(block))
        case Blanks():
            return _list(f"+ {_escaped(label)}: {_LINE}" for label in block.labels)


def _finding(block: FindingBlock) -> Iterator[str]:
    sure = f", {block.sure}" if block.sure else ""
    yield f"**{_escaped(f'{block.grade}: {block.check}{sure}')}** ({_escaped(block.place)})"
    if block.source_line.strip():
        yield f"> {_escaped(block.source_line)}"
    yield _escaped(block.message)
    if block.advice:
        yield f"**Do:** {_escaped(block.advice)}"
    yield from (f"**{_escaped(item.line)}**" for item in block.to_type)
    if block.remarks:
        yield _drawn(Bullets(block.remarks))


def _table(table: Table) -> Iterator[str]:
    if table.caption:
        yield f"{_escaped(table.caption)}\n"
    yield _row(map(_escaped, table.columns))
    figures = range(len(table.columns))
    yield f"|{'|'.join(' ---: ' if n in table.figures else ' --- ' for n in figures)}|"
    for number, row in enumerate(table.rows):
        bold = [n for at, n in table.marked if at == number]
        cells = (f"**{c}**" if n in bold and c else c for n, c in enumerate(map(_escaped, row)))
        yield _row(cells)


def _row(cells: Iterable[str]) -> str:
    """Cells that are escaped."""
    return f"| {' | '.join(cells)} |"


def _list(lines: Iterable[str]) -> str:
    return "\n".join(lines)


def _escaped(text: str) -> str:
    """Plain text that Markdown shows as it is."""
    return _NUMBERED.sub(r"\1\\\2", _SPECIAL.sub(r"\\\g<0>", safe(text).strip()))
