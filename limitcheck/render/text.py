"""Any document as text for a terminal: no line too long, no figure cut, nothing that steers it."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from io import StringIO
from itertools import pairwise
from typing import Literal

from rich.box import Box
from rich.cells import cell_len
from rich.console import Console, Group, RenderableType
from rich.padding import Padding
from rich.table import Table as Grid
from rich.text import Text as Words

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
from ..units import PRESSURE_UNITS
from .lines import Piece, caret_lines, finding_headline, safe
from .scale_text import scale_pieces
from .screen import PAPER, Role, Screen

_GAP = 2
_READABLE = 16
"""Columns that a text needs at least, if it has that many."""
_RULED = Box("    \n    \n -- \n    \n    \n    \n    \n    \n", ascii=True)
_UNITS = "|".join(map(re.escape, (*PRESSURE_UNITS, "%", "mL/min", "mm", "um", "degC", "min")))
_BEFORE_UNIT = re.compile(rf"(?<=\d) (?=(?:{_UNITS})(?![\w/]))")
_CODE = re.compile(r"\x1b\[[0-9;]*m")
_AT_END = re.compile(rf"(?:\s|{_CODE.pattern})+$")
"""Space at the end of a line, with codes of colour in it or without."""
_GLUE = "\ue000"
"""Stands for the space between a number and its unit, where no line may break."""


def render(document: Document, screen: Screen = PAPER, *, record: bool = False) -> str:
    """The text of a document; as a record with its title and all that belongs to the record."""
    page = _Page(screen)
    if record:
        page.heading(document.title, "=")
    page.blocks(document.summary, 0)
    several = len(document.chapters) > 1
    for chapter in document.chapters:
        shown = [s for s in chapter.sections if s.blocks and (record or not s.in_record)]
        if shown and (several or record):
            page.heading(chapter.heading, "-")
        for section in shown:
            page.section(section.heading, section.blocks)
    if document.cautions:
        page.section("Cautions", (Bullets(document.cautions),))
    if record:
        page.blocks([Text(f"Made by limitcheck {document.version} on {document.day}.")], 0)
    return page.text()


class _Page:
    """Blocks drawn one under the other."""

    def __init__(self, screen: Screen) -> None:
        self._screen, self._width = screen, screen.width
        self._console = Console(
            file=StringIO(),
            width=screen.width,
            color_system="256" if screen.colours >= 256 else "standard" if screen.colours else None,
            force_terminal=bool(screen.colours),
            no_color=False,
            highlight=False,
            force_jupyter=False,
            legacy_windows=False,
        )
        self._lines: list[str] = []

    def text(self) -> str:
        return "\n".join(self._lines) + "\n"

    def heading(self, text: str, rule: str) -> None:
        self._space()
        self._print(_words(text, self._screen.style("strong")), 0)
        self._lines.append(rule * min(self._width, cell_len(safe(text))))

    def section(self, heading: str, blocks: Sequence[Block]) -> None:
        self._space()
        if heading:
            self._print(_words(heading, self._screen.style("strong")), 0)
        self.blocks(blocks, 2 if heading else 0, spaced=False)

    def blocks(self, blocks: Sequence[Block], indent: int, *, spaced: bool = True) -> None:
        for before, block in pairwise([None, *blocks]):
            assert block is not None
            if (before is None and spaced) or (before is not None and not _joined(before, block)):
                self._space()
            if isinstance(block, ToType):  # never broken over lines: it is copied
                typed = self._screen.paint("type", safe(block.text).rstrip())
                self._lines.append(f"{' ' * (indent + 4)}{typed}")
                continue
            for part in _parts(block, self._width - indent, self._screen):
                self._print(part, indent)

    def _space(self) -> None:
        if self._lines and self._lines[-1]:
            self._lines.append("")

    def _print(self, part: RenderableType, indent: int) -> None:
        with self._console.capture() as drawn:
            self._console.print(Padding(part, (0, 0, 0, indent)))
        text = drawn.get().replace(_GLUE, " ").removesuffix("\n")
        self._lines += (_AT_END.sub(_codes, line) for line in text.split("\n"))


def _codes(found: re.Match[str]) -> str:
    return "".join(_CODE.findall(found[0]))


def _joined(before: Block, block: Block) -> bool:
    """Whether a block follows the one before without an empty line."""
    if isinstance(before, Text) and before.text.endswith(":"):
        return True
    return isinstance(block, ToType) and isinstance(before, (Text, ToType))


def _words(text: str, style: str = "") -> Words:
    plain = safe(text).replace(_GLUE, ascii(_GLUE)[1:-1])
    return Words(_BEFORE_UNIT.sub(_GLUE, plain), style, overflow="fold")


def _parts(block: Block, width: int, screen: Screen) -> Iterator[RenderableType]:
    match block:
        case Text():
            yield _words(block.text, screen.style("strong") if block.strong else "")
        case Bullets():
            signs = [f"{n}." if block.numbered else "-" for n in range(1, len(block.items) + 1)]
            yield _two_columns(zip(signs, block.items, strict=True), width, gap=1)
        case Facts():
            yield _two_columns(((f"{label}:", value) for label, value in block.rows), width)
        case Table():
            yield from _table(block, width, screen)
        case Drawing():
            yield from _drawing(block, screen._replace(width=width))
        case FindingBlock():
            yield from _finding(block, width, screen)
        case Blanks():
            for label in block.labels:
                yield _words(f"{label}: {'_' * (width // 2)}")


def _finding(block: FindingBlock, width: int, screen: Screen) -> Iterator[RenderableType]:
    yield _pieces(finding_headline(block), screen)
    for line in caret_lines(block, width):
        yield _pieces(line, screen, no_wrap=True)
    yield _indented(_words(block.message))
    if block.advice:
        yield _indented(_led(f"Do: {block.advice}", "plain", screen))
    for item in block.to_type:
        yield _indented(_led(item.line, "type", screen))
    for remark in block.remarks:
        yield _indented(_words(remark))


def _drawing(block: Drawing, screen: Screen) -> Iterator[RenderableType]:
    scale = [] if block.marks is None else list(scale_pieces(block.marks, screen))
    if scale:
        yield from (_pieces(line, screen) for line in scale)
    else:
        yield from map(_words, block.sketch or (f"{block.caption}: {block.description}",))


def _indented(words: Words) -> RenderableType:
    return Padding(words, (0, 0, 0, 2))


def _pieces(pieces: Sequence[Piece], screen: Screen, *, no_wrap: bool = False) -> Words:
    """A line of pieces, each in the style of its role."""
    plain = "".join(text for _, text in pieces)
    words = Words(plain, no_wrap=True) if no_wrap else _words(plain)
    start = 0
    for role, text in pieces:
        words.stylize(screen.style(role), start, start := start + len(text))
    return words


def _led(text: str, role: Role, screen: Screen) -> Words:
    """A text whose first word says what it is."""
    words, lead = _words(text, screen.style(role)), text.index(" ")
    words.stylize(screen.style("strong"), 0, lead)
    return words


def _two_columns(rows: Iterable[tuple[str, str]], width: int, *, gap: int = _GAP) -> RenderableType:
    """Labels and their texts side by side; labels take two fifths of the width at most."""
    grid = Grid.grid(padding=(0, gap, 0, 0))
    listed = [(_words(label), text) for label, text in rows]
    widest = max((label.cell_len for label, _ in listed), default=1)
    label_width = min(widest, width * 2 // 5)
    grid.add_column(width=label_width)
    grid.add_column(width=width - label_width - gap)
    for label, text in listed:
        grid.add_row(label, _words(text))
    return grid


def _table(table: Table, width: int, screen: Screen) -> Iterator[RenderableType]:
    if table.caption:
        yield _words(table.caption)
    whole, names, left_out = table, (table.columns, *table.rows), []
    sizes = [
        _sizes(column, n in table.figures) for n, column in enumerate(zip(*names, strict=True))
    ]
    while (widths := _widths(sizes, width)) is None and table.spare:
        number = table.spare[0]
        left_out.append(table.columns[number])
        table = table.without(number)
        del sizes[number]
    if widths is None and whole.spare:  # before its rows are taken apart, long names are broken
        folded = [
            size if number in table.figures else (min(size[0], _READABLE), size[1])
            for number, size in enumerate(sizes)
        ]
        widths = _widths(folded, width)
    if widths is None:
        indent = 2 if table.caption else 0
        yield Padding(Group(*_stacked(whole, width - indent)), (0, 0, 0, indent))
        return  # nothing is left out where each value has a line
    yield _ruled(table, widths, screen)
    if left_out:
        yield _words(f"No room here for: {', '.join(reversed(left_out))}.")


def _ruled(table: Table, widths: Sequence[int], screen: Screen) -> Grid:
    """The table with columns of these widths under their headings."""
    grid = Grid(box=_RULED, show_edge=False, pad_edge=False, padding=(0, _GAP - 1, 0, 0))
    for number, width in enumerate(widths):
        justify: Literal["left", "right"] = "right" if number in table.figures else "left"
        grid.add_column(_words(table.columns[number]), width=width, justify=justify)
    marked = set(table.marked)
    for at, row in enumerate(table.rows):
        styles = (screen.style("error") if (at, n) in marked else "" for n in range(len(row)))
        grid.add_row(*map(_words, row, styles))
    return grid


def _sizes(column: Sequence[str], figure: bool) -> tuple[int, int]:
    """How wide a column has to be, and how wide it would be; its heading is the first."""
    cells = [_words(cell) for cell in column]
    widest = max(cell.cell_len for cell in cells)
    if figure:  # only the heading may be broken
        return max(_longest_word(cells[0]), *(cell.cell_len for cell in cells[1:]), 0), widest
    return max(min(widest, _READABLE), *map(_longest_word, cells)), widest


def _widths(sizes: Sequence[tuple[int, int]], width: int) -> list[int] | None:
    """The width of each column; None where no figure or word may be broken and it does not fit."""
    room = width - _GAP * (len(sizes) - 1)
    least, widest = [low for low, _ in sizes], [high for _, high in sizes]
    if sum(widest) <= room:
        return widest
    spare, wanted = room - sum(least), sum(widest) - sum(least)
    if spare < 0:
        return None
    given = [low + spare * (high - low) // wanted for low, high in sizes]
    most = max(range(len(given)), key=lambda number: widest[number] - given[number])
    given[most] += room - sum(given)
    return given


def _longest_word(words: Words) -> int:
    return max(map(cell_len, words.plain.split()), default=0)


def _stacked(table: Table, width: int) -> Iterator[RenderableType]:
    """Each row as its name with its values below, by the names of their columns."""
    for name, *values in table.rows:
        yield _words(name)
        shown = zip(table.columns[1:], values, strict=True)
        rows = [(f"{column}:", value) for column, value in shown if value]
        yield Padding(_two_columns(rows, width - 2), (0, 0, 0, 2))
