"""Units that stand in the number format of a cell, as in `0" bar"`: the cell shows "250 bar"."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from xml.etree import ElementTree

_CELL = re.compile(rb"<(?:\w+:)?c\s([^>]*)>")
_REFERENCE = re.compile(rb"\br=\"([A-Z]{1,3})([0-9]{1,7})\"")
_STYLE = re.compile(rb"\bs=\"([0-9]{1,6})\"")
_AFTER_NUMBER = re.compile(r"[0#?]([^0#?]*)$")
_LITERAL = re.compile(r"\"([^\"]*)\"|\\(.)|\[\$([^\]-]*)[^\]]*\]")


def units_of_styles(styles: ElementTree.Element) -> Mapping[int, str]:
    """What each style of cells writes after its number, where that has letters."""
    formats: dict[str, str] = {}
    units: dict[int, str] = {}
    for element in styles.iter():
        name = element.tag.rpartition("}")[2]
        if name == "numFmt":
            formats[element.get("numFmtId", "")] = element.get("formatCode", "")
        elif name == "cellXfs":
            for at, style in enumerate(element):
                if text := unit_of_format(formats.get(style.get("numFmtId", ""), "")):
                    units[at] = text
    return units


def unit_of_format(code: str) -> str:
    r"""The text after the number in a number format; empty where it has no letters.

    >>> unit_of_format('#,##0.0" bar";-0" bar"'), unit_of_format(r'0\ \p\s\i')
    ('bar', 'psi')
    >>> unit_of_format("0.00%"), unit_of_format("yyyy-mm-dd")
    ('', '')
    """
    after = _AFTER_NUMBER.search(re.split(r";(?=(?:[^\"]*\"[^\"]*\")*[^\"]*$)", code)[0])
    if after is None:
        return ""
    text = "".join("".join(found) for found in _LITERAL.findall(after[1])).strip()
    return text if any(map(str.isalpha, text)) else ""


def cells_with_units(xml: bytes, units: Mapping[int, str]) -> Iterator[tuple[int, int, str]]:
    """Row and column, from 0, of each cell of a sheet whose style writes a unit, and that."""
    if not units:
        return
    for attributes in _CELL.findall(xml):
        style, reference = _STYLE.search(attributes), _REFERENCE.search(attributes)
        if style is None or reference is None or int(style[1]) not in units:
            continue
        column = 0
        for letter in reference[1]:
            column = 26 * column + letter - 64
        yield int(reference[2]) - 1, column - 1, units[int(style[1])]
