"""Tables that are written for spreadsheets: CSV and XLSX, with real numbers and real dates.

XLSX needs the extra `tables`. Text is never run: in CSV it is made inert, in a workbook it is typed
as text and marked as quoted, so that it stays text when somebody edits the cell.
"""

from __future__ import annotations

import csv
import re
from collections.abc import Iterable, Sequence
from datetime import date
from fractions import Fraction
from io import BytesIO, StringIO
from typing import TYPE_CHECKING, Any, NamedTuple, TypeAlias

from ..errors import MissingExtra, Refused
from ..units import plain_or_rounded
from .inert import inert

if TYPE_CHECKING:
    from openpyxl.cell import Cell as BookCell

Cell: TypeAlias = str | int | Fraction | date | None
"""A number is a Fraction or an int; None is an empty cell."""
_DIGITS = 15
"""What a spreadsheet keeps of a number."""
_NOT_IN_XML = re.compile(r"[\x00-\x08\x0b-\x1f\ud800-\udfff\ufffe\uffff]")
_ESCAPE_LIKE = re.compile(r"_(?=x[0-9A-Fa-f]{4}_)")
_SCALE = 75
"""Of print [%]: 170 characters across A4 or letter."""
_LONGEST_TEXT = 32_767
"""Characters of a cell of a workbook."""
MARK = "\ufeff"
"""Before a CSV in a file: spreadsheets on Windows read UTF-8 only with it."""


class CsvStyle(NamedTuple):
    """What separates cells, and what stands before decimals."""

    separator: str = ","
    decimal: str = "."


STYLES = {"comma": CsvStyle(), "semicolon": CsvStyle(";", ",")}
"""Semicolon: for spreadsheets of countries that write a decimal comma."""


class Printed(NamedTuple):
    """How a workbook prints: columns that stand on every page, as in "A:C", and the one after
    which a new page begins, counted from 1."""

    repeated: str
    first_page: int


class WrittenTable(NamedTuple):
    """A table with a header row; `columns` are headings with their widths in characters."""

    name: str
    columns: Sequence[tuple[str, int]]
    rows: Iterable[Sequence[Cell]]
    printed: Printed | None = None


def csv_style(name: str, asked: Iterable[str]) -> CsvStyle:
    """A style by its name; raises Refused for another name, and where no CSV is `asked` for."""
    if name not in STYLES:
        raise Refused(f"--csv {name}: there is no such style", f"write {' or '.join(STYLES)}")
    if STYLES[name] != CsvStyle() and "csv" not in asked:
        raise Refused(f"--csv {name}: no CSV is asked for", "write --format csv, or -o FILE.csv")
    return STYLES[name]


def csv_text(table: WrittenTable, style: CsvStyle = STYLES["comma"]) -> str:
    """The table as CSV, one line a row; `inert.as_meant` reads its text back."""
    text = StringIO()
    writer = csv.writer(text, delimiter=style.separator, lineterminator="\n")
    writer.writerow([inert(heading) for heading, _ in table.columns])
    for row in table.rows:
        writer.writerow([_csv_cell(cell, style) for cell in row])
    return text.getvalue()


def _csv_cell(cell: Cell, style: CsvStyle) -> str:
    if cell is None:
        return ""
    if isinstance(cell, str):
        return inert(cell)
    if isinstance(cell, date):
        return cell.isoformat()
    return plain_or_rounded(Fraction(cell), _DIGITS).replace(".", style.decimal)


def need_workbooks() -> None:
    """Raises MissingExtra where no workbook can be written."""
    try:
        import openpyxl  # noqa: F401 - asked for before a long run
    except ImportError:
        raise MissingExtra("a workbook", "tables") from None


def workbook(table: WrittenTable) -> bytes:
    """The table as XLSX with a header that stays in sight; raises MissingExtra."""
    need_workbooks()
    from openpyxl import Workbook
    from openpyxl.styles import Alignment, Font
    from openpyxl.utils import get_column_letter

    book = Workbook(write_only=True)
    sheet: Any = book.create_sheet(table.name)  # the stubs lack what it shares with other sheets
    sheet.freeze_panes = "A2"
    for number, (_, width) in enumerate(table.columns, 1):
        sheet.column_dimensions[get_column_letter(number)].width = width
    if table.printed is not None:
        _print_as(sheet, table.printed)
    header = [_text_cell(sheet, heading) for heading, _ in table.columns]
    for cell in header:
        cell.font, cell.alignment = Font(bold=True), Alignment(wrap_text=True, vertical="top")
    sheet.append(header)
    count = 1
    for row in table.rows:
        cells = [_workbook_cell(sheet, cell) for cell in row]
        if table.printed is not None:
            for at, (value, (_, width)) in enumerate(zip(row, table.columns, strict=True)):
                if isinstance(value, str) and len(value) > width:  # on paper it would be cut off
                    cells[at] = long = _text_cell(sheet, value)
                    long.alignment = Alignment(wrap_text=True, vertical="top")
        sheet.append(cells)
        count += 1
    sheet.auto_filter.ref = f"A1:{get_column_letter(len(table.columns))}{count}"
    made = BytesIO()
    book.save(made)
    return made.getvalue()


def _print_as(sheet: Any, printed: Printed) -> None:
    """Lie the page down and keep names and numbers on one, whatever the paper is."""
    from openpyxl.worksheet.pagebreak import Break

    sheet.page_setup.orientation, sheet.page_setup.scale = "landscape", _SCALE
    sheet.page_margins.left = sheet.page_margins.right = 0.4
    sheet.print_title_rows, sheet.print_title_cols = "1:1", printed.repeated
    sheet.col_breaks.append(Break(id=printed.first_page))


def _text_cell(sheet: Any, text: str) -> BookCell:
    from openpyxl.cell import WriteOnlyCell

    cell: BookCell = WriteOnlyCell(sheet, xml_text(text))
    cell.data_type = "s"  # the library takes what begins with = for a formula, #N/A for an error
    if inert(text) != text:
        cell.quotePrefix = True
    return cell


def _workbook_cell(sheet: Any, cell: Cell) -> object:
    if isinstance(cell, Fraction):
        return float(cell)
    if isinstance(cell, str):
        plain = cell[:1].isalpha() and cell.isprintable() and inert(cell) == cell
        return cell if plain and "_x" not in cell else _text_cell(sheet, cell) if cell else None
    return cell


def xml_text(text: str) -> str:
    """The text as a workbook can hold it: what XML cannot, as OOXML escapes it.

    >>> xml_text("a" + chr(7)), xml_text("_x0041_")
    ('a_x0007_', '_x005F_x0041_')
    """
    text = _ESCAPE_LIKE.sub("_x005F_", text)
    text = _NOT_IN_XML.sub(lambda found: f"_x{ord(found[0]):04X}_", text)
    return text[:_LONGEST_TEXT]
