"""Text that a workbook shows crossed out, or raised or lowered as a mark of a footnote is.

What somebody crossed out is not in force, and the 1 of 260¹ is no digit of the number. The library
that reads the values tells neither; both stand in the styles, in the shared strings and in the
sheet. Whether a conditional format applies is not worked out: it is said where one may cross out.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from io import BytesIO
from typing import NamedTuple
from xml.etree import ElementTree
from zipfile import ZipFile

from .grid import MOST_COLUMNS, MOST_ROWS, cell_numbers

STRUCK, PARTLY = "is crossed out", "is crossed out in part"
RAISED = "has signs that are raised or lowered, as a mark of a footnote is"
_STRINGS = "xl/sharedStrings.xml"
_MADE_BY = (b"strike", b"vertAlign")
"""Without these in its XML, nothing of a part is crossed out, raised or lowered."""


class Marks(NamedTuple):
    """How cells are shown, by style and by shared string; conditional formats that cross out."""

    styles: Mapping[int, str]
    strings: Mapping[int, str]
    conditions: frozenset[int]


def marks_of(archive: ZipFile, styles: ElementTree.Element | None) -> Marks:
    """What the styles and the shared strings of a workbook say."""
    strings: dict[int, str] = {}
    if _STRINGS in archive.namelist():
        xml = archive.read(_STRINGS)
        if b"<!DOCTYPE" in xml:  # none of a workbook has one; entities are never expanded
            raise ValueError(f"{_STRINGS} declares a document type")
        if any(word in xml for word in _MADE_BY):
            strings = dict(_of_strings(xml))
    if styles is None:
        return Marks({}, strings, frozenset())
    return Marks(dict(_of_styles(styles)), strings, frozenset(_conditions(styles)))


def marked_cells(xml: bytes, marks: Marks) -> dict[tuple[int, int], str]:
    """How cells of a sheet are shown, by row and column from 0."""
    if not marks.styles and not marks.strings and not any(word in xml for word in _MADE_BY):
        return {}
    return {
        place: mark
        for place, cell in _cells(xml)
        if place[0] < MOST_ROWS and place[1] < MOST_COLUMNS and (mark := _of_cell(cell, marks))
    }


def struck_by_condition(xml: bytes, marks: Marks) -> list[str]:
    """The ranges of a sheet in which a conditional format crosses out some cells."""
    if not marks.conditions or b"conditionalFormatting" not in xml:
        return []
    found = []
    for _, element in ElementTree.iterparse(BytesIO(xml)):
        if _name(element) == "conditionalFormatting":
            ids = (rule.get("dxfId", "") for rule in element if _name(rule) == "cfRule")
            if any(one.isdigit() and int(one) in marks.conditions for one in ids):
                found.append(element.get("sqref", "").replace(" ", ", "))
    return found


def _cells(xml: bytes) -> Iterator[tuple[tuple[int, int], ElementTree.Element]]:
    """Each cell with its row and column; both may be left out where they follow on."""
    row = column = -1
    for event, element in ElementTree.iterparse(BytesIO(xml), ("start", "end")):
        name = _name(element)
        if name == "row" and event == "start":
            row, column = int(element.get("r", row + 2)) - 1, -1
        elif name == "row":
            element.clear()
        elif name == "c" and event == "end":
            place = element.get("r")
            column = column + 1 if place is None else cell_numbers(place)[1]
            yield (row, column), element


def _of_cell(cell: ElementTree.Element, marks: Marks) -> str:
    style = cell.get("s", "0")
    whole = marks.styles.get(int(style), "") if style.isdigit() else ""
    if whole == STRUCK:
        return whole
    text = next((part for part in cell if _name(part) in ("v", "is")), None)
    if text is None:
        return whole
    if _name(text) == "is":
        return _of_runs(text) or whole
    value = (text.text or "").strip()
    shared = cell.get("t") == "s" and value.isdigit()
    return (marks.strings.get(int(value), "") if shared else "") or whole


def _of_strings(xml: bytes) -> Iterator[tuple[int, str]]:
    number = 0
    for _, element in ElementTree.iterparse(BytesIO(xml)):
        if _name(element) == "si":
            if mark := _of_runs(element):
                yield number, mark
            number += 1
            element.clear()


def _of_runs(text: ElementTree.Element) -> str:
    """How a text of several runs is shown."""
    said = []
    for run in text:
        if _name(run) != "r":
            continue
        shown = next((part.text or "" for part in run if _name(part) == "t"), "")
        if shown.strip():
            said.append(next((_of_font(p) for p in run if _name(p) == "rPr"), ""))
    if said and all(mark == STRUCK for mark in said):
        return STRUCK
    return PARTLY if STRUCK in said else next(filter(None, said), "")


def _of_styles(styles: ElementTree.Element) -> Iterator[tuple[int, str]]:
    fonts: list[str] = []
    for table in styles:
        if _name(table) == "fonts":
            fonts = [_of_font(font) for font in table]
    for table in styles:
        if _name(table) == "cellXfs":
            for number, style in enumerate(table):
                font = style.get("fontId", "0")
                at = int(font) if font.isdigit() else 0
                if at < len(fonts) and fonts[at] == STRUCK:  # a whole cell that is raised is read
                    yield number, STRUCK


def _conditions(styles: ElementTree.Element) -> Iterator[int]:
    for table in styles:
        if _name(table) == "dxfs":
            for number, style in enumerate(table):
                if any(_of_font(font) == STRUCK for font in style if _name(font) == "font"):
                    yield number


def _of_font(font: ElementTree.Element) -> str:
    for part in font:
        if _name(part) == "strike" and part.get("val", "1") not in ("0", "false", "off"):
            return STRUCK
    raised = (part.get("val") for part in font if _name(part) == "vertAlign")
    return RAISED if any(one in ("superscript", "subscript") for one in raised) else ""


def _name(element: ElementTree.Element) -> str:
    return element.tag.rpartition("}")[2]
