"""Blocks that several documents share."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date

from ..findings import KeyPath, path_text
from ..profile.load import ProfileFile
from ..profile.model import Profile
from ..units import COMMON_UNITS, Pressure, show
from .blocks import Blanks, Block, Chapter, Document, Section, Table
from .cautions import IN_A_RECORD, texts

FACTORS = "The factors are exact; figures of more than nine digits are rounded."
SIGNED = ("Reviewed by", "Date", "Signature")


def answer(
    title: str,
    summary: Iterable[Block],
    sections: Iterable[Section],
    files: Sequence[ProfileFile],
    day: date,
    *,
    others: Sequence[tuple[str, str]] = (),
    chapters: Sequence[Chapter] = (),
    cautions: tuple[str, ...] = IN_A_RECORD,
    signed: bool = False,
) -> Document:
    """A document of some chapters and a last one, which ends with the files it rests on."""
    last = [*sections, Section("Inputs", (inputs(files, others),), in_record=True)]
    if signed:
        last.append(signature())
    all_chapters = (*chapters, Chapter("Record", tuple(last)))
    return Document(title, tuple(summary), all_chapters, tuple(texts(cautions)), day.isoformat())


def capital(text: str) -> str:
    """The text with a capital first letter."""
    return text[:1].upper() + text[1:]


def named(profile: Profile) -> str:
    """Method, revision and instrument in a few words."""
    revision = f" revision {profile.method.revision}" if profile.method.revision else ""
    return f"{profile.method.id}{revision} on {profile.instrument.id}"


def inputs(files: Sequence[ProfileFile], others: Sequence[tuple[str, str]] = ()) -> Table:
    """Every file that was read, with its SHA-256; `others` are no profiles."""
    rows = [*others, *((file.path, file.sha256) for file in files)]
    rows += [(used.path, used.sha256) for file in files for used in file.uses]
    return Table("Files read", ("File", "SHA-256"), tuple(dict.fromkeys(rows)))


def pressure_table(
    pressures: Sequence[tuple[KeyPath, Pressure]],
    profile: Profile,
    caption: str,
    units: tuple[str, ...] = COMMON_UNITS,
) -> Table:
    """Each pressure as typed and in these units."""
    rows = tuple(
        (where(path, profile), str(pressure), *(_bare(pressure, unit) for unit in units))
        for path, pressure in pressures
    )
    figures = tuple(range(2, 2 + len(units)))
    return Table(f"{caption}. {FACTORS}", ("Where", "As typed", *units), rows, figures)


def _bare(pressure: Pressure, unit: str) -> str:
    return show(pressure, unit, digits=9).removesuffix(f" {unit}")


def where(path: KeyPath, profile: Profile) -> str:
    """A key path in words: a part by its name, with the key."""
    if path[:1] in (("cutoffs",), ("expected",)) and len(path) == 2:
        return f"{path[1]} cutoff" if path[0] == "cutoffs" else f"expected {path[1]}"
    if path[:1] == ("flow_path",) and len(path) > 1 and isinstance(path[1], int):
        rest = path_text(path[2:])
        return f"{profile.flow_path[path[1]].name}{f': {rest}' if rest else ''}"
    return path_text(path)


def signature() -> Section:
    """Blank places for the reviewer."""
    return Section("Review", (Blanks(SIGNED),), in_record=True)


def picture(document: Document) -> str:
    """The drawings of a document as one SVG."""
    from ..charts.svg import Drawing, stacked

    sections = [section for chapter in document.chapters for section in chapter.sections]
    drawings = [b for section in sections for b in section.blocks if isinstance(b, Drawing)]
    return stacked(drawings, document.title)
