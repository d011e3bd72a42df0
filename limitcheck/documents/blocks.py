"""What a command says, as plain records: text, HTML, PDF and Markdown are all drawn from them.

A document begins with its summary: the verdict, what to do, what to type. Chapters (one a profile)
have sections, sections have blocks: why, and the record. Texts are plain, one paragraph each;
whoever draws them escapes them.
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
class ToType:
    """What to type, alone on its line: a number into the field `label`, in `unit`.

    `sure` is how sure that is, where it is not certain: likely, possible.
    """

    label: str
    number: str
    unit: str = ""
    sure: str = ""
    kind: Literal["to type"] = "to type"

    @property
    def text(self) -> str:
        """As one line: "high = 280 (bar), likely"."""
        unit = f" ({self.unit})" if self.unit else ""
        return f"{self.label} = {self.number}{unit}{f', {self.sure}' if self.sure else ''}"


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
class FindingBlock:
    """A finding: its grade (error, warning, note, accepted, known) is said in words."""

    grade: str
    check: str
    place: str
    source_line: str
    message: str
    advice: str
    remarks: tuple[str, ...] = ()
    to_type: tuple[ToType, ...] = ()
    kind: Literal["finding"] = "finding"


@dataclass(frozen=True, slots=True)
class Blanks:
    """Places to fill in by hand."""

    labels: tuple[str, ...]
    kind: Literal["blanks"] = "blanks"


Block: TypeAlias = Text | ToType | Bullets | Facts | Table | Drawing | FindingBlock | Blanks


@dataclass(frozen=True, slots=True)
class Section:
    """A heading with what stands under it.

    One `in_record` belongs to the record (HTML, PDF, Markdown, --verbose) and is left out of the
    answer on a terminal.
    """

    heading: str
    blocks: tuple[Block, ...]
    in_record: bool = False


@dataclass(frozen=True, slots=True)
class Chapter:
    """The part of a document about one thing; printed from a new page."""

    heading: str
    sections: tuple[Section, ...]


@dataclass(frozen=True, slots=True)
class Document:
    """A whole answer or record, made on a day (ISO 8601); `cautions` end it.

    `summary` is the verdict first, then what to do and what to type. The title is not printed
    on a terminal, so the verdict says what it is about.
    """

    title: str
    summary: tuple[Block, ...]
    chapters: tuple[Chapter, ...]
    cautions: tuple[str, ...]
    day: str
    version: str = __version__

    @property
    def blocks(self) -> tuple[Block, ...]:
        """Every block of every section, without headings: what a screen of one answer shows."""
        sections = (section for chapter in self.chapters for section in chapter.sections)
        return tuple(block for section in sections for block in section.blocks)
