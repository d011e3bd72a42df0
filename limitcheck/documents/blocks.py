"""What a command says, as plain records: text, HTML, PDF and Markdown are all drawn from them.

A document begins with its summary: the verdict, what to do, what to type. Chapters (one a profile)
have sections, sections have blocks: why, and the record. Texts are plain, one paragraph each;
whoever draws them escapes them.
"""

from __future__ import annotations

from typing import Literal, NamedTuple, TypeAlias

from ..charts.svg import Drawing
from ..version import __version__


class Text(NamedTuple):
    """A paragraph; a strong one stands out: a verdict, a decision."""

    text: str
    strong: bool = False
    kind: Literal["text"] = "text"


class ToType(NamedTuple):
    """What to type, alone on its line: a number into the field `label`, in `unit`.

    Without a unit it is a value to write in the profile. `sure` is how sure that is, where it is
    not certain: likely, possible. `text` is all of it, as in "high = 280 (bar), likely", and
    `line` the same after "Type: " or "Write: ".
    """

    label: str
    number: str
    unit: str = ""
    sure: str = ""
    kind: Literal["to type"] = "to type"

    @property
    def text(self) -> str:
        """All of it."""
        unit = f" ({self.unit})" if self.unit else ""
        return f"{self.label} = {self.number}{unit}{f', {self.sure}' if self.sure else ''}"

    @property
    def line(self) -> str:
        """The same after "Type: " or "Write: "."""
        return f"{'Type' if self.unit else 'Write'}: {self.text}"


class Bullets(NamedTuple):
    """A list; numbered where the order counts."""

    items: tuple[str, ...]
    numbered: bool = False
    kind: Literal["bullets"] = "bullets"


class Facts(NamedTuple):
    """Labels with their values."""

    rows: tuple[tuple[str, str], ...]
    kind: Literal["facts"] = "facts"


class Table(NamedTuple):
    """A table: the first column names the row; `figures` are the columns of numbers.

    `marked` are cells (row, column, from 0) that something is wrong with; a cell says what. A
    screen that is too narrow leaves out the columns that are `spare`, one after the other.
    """

    caption: str
    columns: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    figures: tuple[int, ...] = ()
    marked: tuple[tuple[int, int], ...] = ()
    spare: tuple[int, ...] = ()
    kind: Literal["table"] = "table"

    def without(self, number: int) -> Table:
        """The same without one column."""

        def moved(columns: tuple[int, ...]) -> tuple[int, ...]:
            return tuple(n - (n > number) for n in columns if n != number)

        return self._replace(
            columns=(*self.columns[:number], *self.columns[number + 1 :]),
            rows=tuple((*row[:number], *row[number + 1 :]) for row in self.rows),
            figures=moved(self.figures),
            marked=tuple((row, n - (n > number)) for row, n in self.marked if n != number),
            spare=moved(self.spare),
        )


class FindingBlock(NamedTuple):
    """A finding: its grade (error, warning, note, accepted, known) is said in words.

    `sure` is likely or possible, empty for certain. `marked` is the stretch of the source line
    that is meant, from and up to a column counted from 0.
    """

    grade: str
    check: str
    sure: str
    place: str
    message: str
    advice: str = ""
    to_type: tuple[ToType, ...] = ()
    remarks: tuple[str, ...] = ()
    line: int = 0
    source_line: str = ""
    marked: tuple[int, int] = (0, 0)
    about_cutoff: bool = False
    kind: Literal["finding"] = "finding"


class Blanks(NamedTuple):
    """Places to fill in by hand."""

    labels: tuple[str, ...]
    kind: Literal["blanks"] = "blanks"


Block: TypeAlias = Text | ToType | Bullets | Facts | Table | Drawing | FindingBlock | Blanks


class Section(NamedTuple):
    """A heading with what stands under it.

    One `in_record` belongs to the record (HTML, PDF, Markdown, --verbose) and is left out of the
    answer on a terminal.
    """

    heading: str
    blocks: tuple[Block, ...]
    in_record: bool = False


class Chapter(NamedTuple):
    """The part of a document about one thing; printed from a new page."""

    heading: str
    sections: tuple[Section, ...]


class Document(NamedTuple):
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
    attachment: str = ""
    """The same as JSON text, which HTML and PDF carry with them."""
    large: bool = False
    """Whether it is printed large, to be read from a step away."""

    @property
    def blocks(self) -> tuple[Block, ...]:
        """Every block of every section, without headings: what a screen of one answer shows."""
        sections = (section for chapter in self.chapters for section in chapter.sections)
        return tuple(block for section in sections for block in section.blocks)
