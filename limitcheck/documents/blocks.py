"""A report as plain records, from which HTML and PDF are both drawn: they can't differ.

A document has chapters (one a profile), a chapter has sections, a section has blocks. Texts are
plain; whoever draws them escapes them.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, TypeAlias

from ..version import __version__


@dataclass(frozen=True, slots=True)
class Text:
    """A paragraph; a strong one stands out: a verdict, a decision."""

    text: str
    strong: bool = False
    kind: Literal["text"] = "text"


@dataclass(frozen=True, slots=True)
class Bullets:
    """A list; numbered where the order counts."""

    items: tuple[str, ...]
    numbered: bool = False
    kind: Literal["bullets"] = "bullets"


@dataclass(frozen=True, slots=True)
class Facts:
    """Labels with their values."""

    rows: tuple[tuple[str, str], ...]
    kind: Literal["facts"] = "facts"


@dataclass(frozen=True, slots=True)
class Table:
    """A table: the first column names the row; `figures` are the columns of numbers."""

    caption: str
    columns: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    figures: tuple[int, ...] = ()
    kind: Literal["table"] = "table"


@dataclass(frozen=True, slots=True)
class Drawing:
    """An SVG of plain shapes and text, with words that say what it shows."""

    svg: str
    caption: str
    description: str
    kind: Literal["drawing"] = "drawing"


@dataclass(frozen=True, slots=True)
class Flaw:
    """A finding: its grade (error, warning, note, accepted, known) is said in words."""

    grade: str
    check: str
    place: str
    source_line: str
    message: str
    advice: str
    remarks: tuple[str, ...] = ()
    kind: Literal["flaw"] = "flaw"


@dataclass(frozen=True, slots=True)
class Blanks:
    """Places to fill in by hand."""

    labels: tuple[str, ...]
    kind: Literal["blanks"] = "blanks"


Block: TypeAlias = Text | Bullets | Facts | Table | Drawing | Flaw | Blanks


@dataclass(frozen=True, slots=True)
class Section:
    """A heading with what stands under it."""

    heading: str
    blocks: tuple[Block, ...]


@dataclass(frozen=True, slots=True)
class Chapter:
    """The part of a document about one thing; printed from a new page."""

    heading: str
    sections: tuple[Section, ...]


@dataclass(frozen=True, slots=True)
class Document:
    """A whole report, made on a day (ISO 8601) by a version of the tool; `cautions` end it."""

    title: str
    summary: tuple[Block, ...]
    chapters: tuple[Chapter, ...]
    cautions: tuple[str, ...]
    day: str
    version: str = __version__
