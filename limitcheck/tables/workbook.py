"""XLSX: the values that are stored in it. Formulas, macros and links are never followed.

The values are read by python-calamine. What it does not tell stands in the XML of the sheets:
formulas without a stored value, errors, number formats, and hidden rows and columns.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, datetime, time, timedelta
from decimal import Decimal
from io import BytesIO
from posixpath import join, normpath
from typing import TYPE_CHECKING, Any
from xml.etree import ElementTree
from zipfile import BadZipFile, ZipFile

from ..errors import MissingExtra, Refused
from .comments import comments_of
from .crossed_out import Marks, marked_cells, marks_of, struck_by_condition
from .far_cells import refuse_far_cells
from .formats import Format, formats_of_styles
from .grid import (
    MOST_COLUMNS,
    MOST_ROWS,
    Area,
    DateCell,
    NumberCell,
    Sheet,
    TableError,
    UnstoredCell,
    refuse_long_cells,
)
from .sheet_xml import CellSaid, read_sheet_xml
from .unpacking import refuse_bombs

if TYPE_CHECKING:
    from python_calamine import CalamineSheet

_MOST_SHEETS = 100
_LARGEST_PART = 16 * 1024 * 1024
"""Bytes of the styles, or the list of sheets; these are parsed whole."""
_STYLES = "xl/styles.xml"
_OTHERS = {
    "xl/workbook.bin": "a binary workbook (XLSB)",
    "content.xml": "an OpenDocument spreadsheet (ODS)",
}
"""By a member of the archive: what else it is. What such cells show, by their number formats, and
what is hidden in them is not told by the library, so they are not read."""


def sheets_of(content: bytes, path: str) -> tuple[tuple[Sheet, ...], tuple[str, ...]]:
    """The sheets of a workbook, and remarks; raises Refused, TableError and MissingExtra."""
    try:
        import python_calamine
    except ImportError:
        raise MissingExtra("reading a workbook", "tables") from None
    try:
        with ZipFile(BytesIO(content)) as archive:
            _judge(archive, content, path)
            parts = _sheet_parts(archive)
            formats: Mapping[int, Format] = {}
            styles = _xml(archive, _STYLES) if _STYLES in archive.namelist() else None
            if styles is not None:
                formats = formats_of_styles(styles)
            marks = marks_of(archive, styles)
            for name, part in parts.items():
                refuse_far_cells(archive, part, path, name)
            book = python_calamine.load_workbook(BytesIO(content))
            sheets = tuple(
                _sheet(
                    book.get_sheet_by_name(meta.name),
                    archive.read(parts[meta.name]),
                    path,
                    formats,
                    marks,
                    comments_of(archive, parts[meta.name]),
                    hidden=meta.visible != python_calamine.SheetVisibleEnum.Visible,
                )
                for meta in book.sheets_metadata
                if meta.typ == python_calamine.SheetTypeEnum.WorkSheet and meta.name in parts
            )
    except python_calamine.PasswordError:
        raise Refused(f"{path} has a password", "save a copy without one") from None
    except (python_calamine.CalamineError, BadZipFile, KeyError, ElementTree.ParseError,
            OSError, ValueError, NotImplementedError, EOFError,
            RuntimeError) as error:  # fmt: skip  # the last of a member that is encrypted
        raise Refused(
            f"{path} is no workbook that can be read: {error}",
            "open it in a spreadsheet program and save it as XLSX, or save the sheet as CSV",
        ) from None
    if not sheets:
        raise Refused(f"{path} has no sheet of cells", "name a workbook with a table in it")
    macros = any(name.endswith("vbaProject.bin") for name in archive.namelist())
    return sheets, ("It has macros, which are not run.",) if macros else ()


def _judge(archive: ZipFile, content: bytes, path: str) -> None:
    names = archive.namelist()
    if "xl/workbook.xml" not in names:
        known = (name for member, name in _OTHERS.items() if member in names)
        raise Refused(
            f"{path} is {next(known, 'an archive')}, but no XLSX workbook",
            "save the table as XLSX or CSV in a spreadsheet program",
        )
    refuse_bombs(content, archive.infolist(), path)


def _sheet_parts(archive: ZipFile) -> Mapping[str, str]:
    """The XML of each sheet, by the sheet's name."""
    kept = {}
    for element in _xml(archive, "xl/_rels/workbook.xml.rels").iter():
        if target := element.get("Target"):
            name = target.lstrip("/") if target.startswith("/") else normpath(join("xl", target))
            kept[element.get("Id")] = name
    found = {}
    for element in _xml(archive, "xl/workbook.xml").iter():
        if element.tag.rpartition("}")[2] == "sheet":
            ids = [value for key, value in element.items() if key.rpartition("}")[2] == "id"]
            found[element.get("name", "")] = kept[ids[0]] if ids else ""
    if len(found) > _MOST_SHEETS:
        raise ValueError(f"{len(found)} sheets")
    return {name: part for name, part in found.items() if part in archive.namelist()}


def _xml(archive: ZipFile, name: str) -> ElementTree.Element:
    if archive.getinfo(name).file_size > _LARGEST_PART:
        raise ValueError(f"{name} has {archive.getinfo(name).file_size:,} bytes")
    content = archive.read(name)
    if b"<!DOCTYPE" in content:  # none of a workbook has one; entities are never expanded
        raise ValueError(f"{name} declares a document type")
    return ElementTree.fromstring(content)


def _sheet(
    sheet: CalamineSheet,
    xml: bytes,
    path: str,
    formats: Mapping[int, Format],
    marks: Marks,
    comments: Mapping[tuple[int, int], str],
    *,
    hidden: bool,
) -> Sheet:
    if sheet.total_height > MOST_ROWS or sheet.total_width > MOST_COLUMNS:  # cells without a place
        raise TableError(
            f"{path}: sheet {sheet.name} has {sheet.total_height:,} rows and "
            f"{sheet.total_width:,} columns",
            "import a table of methods, in parts",
        )
    rows = [[cell_text(value) for value in row] for row in sheet.to_python(skip_empty_area=False)]
    for number, row in enumerate(rows, 1):
        refuse_long_cells(row, path, str(number))
    said = read_sheet_xml(xml, formats, MOST_COLUMNS)
    for cell in said.cells:
        if 0 <= cell.row < MOST_ROWS and 0 <= cell.column < MOST_COLUMNS:
            _put(rows, cell, formats.get(cell.style))
    merged = tuple(Area(*start, *end) for start, end in sheet.merged_cell_ranges or ())
    columns, hidden_rows = frozenset(said.hidden_columns), frozenset(said.hidden_rows)
    conditions = struck_by_condition(xml, marks)
    told = "a conditional format may cross out cells here; it is not worked out"
    return Sheet(
        *(sheet.name, rows, merged, columns, hidden_rows, hidden),
        marks=marked_cells(xml, marks),
        comments=comments,
        not_worked_out=tuple(f"{sheet.name}!{area}: {told}" for area in conditions),
    )


def _put(rows: list[list[str]], said: CellSaid, shown: Format | None) -> None:
    """Put in its place what the XML says of a cell: no value, an error, or how it is shown."""
    row, column = said.row, said.column
    if said.unstored or said.error:
        while len(rows) <= row:
            rows.append([])
        rows[row] += [""] * (column + 1 - len(rows[row]))
        if said.error or not rows[row][column]:
            rows[row][column] = UnstoredCell(said.error)
        return
    cell = rows[row][column] if row < len(rows) and column < len(rows[row]) else ""
    if isinstance(cell, NumberCell) and shown is not None:
        rows[row][column] = cell.as_shown(shown)


def cell_text(value: Any) -> str:
    """A cell as text; a number as its shortest decimal text.

    >>> cell_text(413.6854), cell_text(400.0), cell_text(1e-05)
    ('413.6854', '400', '0.00001')
    """
    if isinstance(value, str):
        return value.strip()
    if isinstance(value, bool):
        return "TRUE" if value else "FALSE"
    if isinstance(value, int | float):
        # A spreadsheet keeps and shows 15 digits: 0.1 + 0.2 is 0.3.
        number = Decimal(repr(value) if isinstance(value, int) else f"{value:.15g}")
        if not number.is_finite():
            return str(number)  # as a word: asked, since it is no number
        whole = number == number.to_integral_value()
        return NumberCell(f"{number.to_integral_value() if whole else number:f}")
    if isinstance(value, datetime | date | time):
        return DateCell(value.isoformat())
    if isinstance(value, timedelta):
        return DateCell(str(value))
    return str(value)
