"""Workbooks for tests, written part by part: what a spreadsheet program may write, and more."""

from __future__ import annotations

import io
import zipfile
from collections.abc import Mapping, Sequence
from typing import NamedTuple
from xml.sax.saxutils import escape

from limitcheck.tables.grid import column_letters


class Formula(NamedTuple):
    """A formula with the value that is stored for it; None where none is."""

    text: str
    value: float | None = None


class Date(NamedTuple):
    """A day as its serial number."""

    serial: int


class Formatted(NamedTuple):
    """A number in the second number format of the workbook, `0" psi"`."""

    value: float


class Book(NamedTuple):
    """What a sheet holds beside its cells."""

    rows: Sequence[Sequence[object]]
    merged: Sequence[str] = ()
    hidden_columns: Sequence[int] = ()
    hidden_rows: Sequence[int] = ()
    hidden: bool = False


_MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
_REL = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
_PACKAGE = "http://schemas.openxmlformats.org/package/2006"
_STYLES = (
    f'<styleSheet xmlns="{_MAIN}"><numFmts count="1"><numFmt numFmtId="164" '
    'formatCode="0.###&quot; psi&quot;"/></numFmts><fonts count="1"><font/></fonts>'
    '<fills count="1"><fill/></fills>'
    '<borders count="1"><border/></borders><cellStyleXfs count="1"><xf/></cellStyleXfs>'
    '<cellXfs count="3"><xf numFmtId="0"/><xf numFmtId="14" applyNumberFormat="1"/>'
    '<xf numFmtId="164" applyNumberFormat="1"/></cellXfs>'
    "</styleSheet>"
)


def workbook(
    sheets: Mapping[str, Book | Sequence[Sequence[object]]], macros: bool = False
) -> bytes:
    """The bytes of an XLSX file."""
    made = {n: s if isinstance(s, Book) else Book(s) for n, s in sheets.items()}
    numbered = list(enumerate(made.items(), 1))
    listed = "".join(
        f'<sheet name="{escape(name)}" sheetId="{n}" r:id="rId{n}"'
        f"{' state=' + chr(34) + 'hidden' + chr(34) if book.hidden else ''}/>"
        for n, (name, book) in numbered
    )
    related = "".join(
        f'<Relationship Id="rId{n}" Type="{_REL}/worksheet" Target="worksheets/sheet{n}.xml"/>'
        for n, _ in numbered
    )
    types = "".join(
        f'<Override PartName="/xl/worksheets/sheet{n}.xml" ContentType="application/vnd.'
        'openxmlformats-officedocument.spreadsheetml.worksheet+xml"/>'
        for n, _ in numbered
    )
    parts = {
        "[Content_Types].xml": f'<Types xmlns="{_PACKAGE}/content-types"><Default Extension="rels" '
        'ContentType="application/vnd.openxmlformats-package.relationships+xml"/><Default '
        'Extension="xml" ContentType="application/xml"/><Override PartName="/xl/workbook.xml" '
        'ContentType="application/vnd.openxmlformats-officedocument.spreadsheetml.sheet.main+xml"'
        f"/>{types}</Types>",
        "_rels/.rels": f'<Relationships xmlns="{_PACKAGE}/relationships"><Relationship Id="r1" '
        f'Type="{_REL}/officeDocument" Target="xl/workbook.xml"/></Relationships>',
        "xl/workbook.xml": f'<workbook xmlns="{_MAIN}" xmlns:r="{_REL}"><sheets>{listed}</sheets>'
        "</workbook>",
        "xl/_rels/workbook.xml.rels": f'<Relationships xmlns="{_PACKAGE}/relationships">{related}'
        f'<Relationship Id="rIdS" Type="{_REL}/styles" Target="styles.xml"/></Relationships>',
        "xl/styles.xml": _STYLES,
        **{f"xl/worksheets/sheet{n}.xml": _sheet(book) for n, (_, book) in numbered},
    }
    if macros:
        parts["xl/vbaProject.bin"] = "never run"
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, text in parts.items():
            archive.writestr(zipfile.ZipInfo(name, (2026, 1, 1, 0, 0, 0)), text)
    return packed.getvalue()


def _sheet(book: Book) -> str:
    hidden = "".join(
        f'<col min="{c + 1}" max="{c + 1}" width="9" hidden="1"/>' for c in book.hidden_columns
    )
    rows = "".join(
        f'<row r="{r + 1}"{" hidden=" + chr(34) + "1" + chr(34) if r in book.hidden_rows else ""}>'
        + "".join(_cell(f"{column_letters(c)}{r + 1}", value) for c, value in enumerate(row))
        + "</row>"
        for r, row in enumerate(book.rows)
    )
    merged = "".join(f'<mergeCell ref="{area}"/>' for area in book.merged)
    return (
        f'<worksheet xmlns="{_MAIN}">{f"<cols>{hidden}</cols>" if hidden else ""}'
        f"<sheetData>{rows}</sheetData>"
        f"{f'<mergeCells>{merged}</mergeCells>' if merged else ''}</worksheet>"
    )


def _cell(name: str, value: object) -> str:
    if value is None or value == "":
        return ""
    if isinstance(value, Formula):
        stored = "" if value.value is None else f"<v>{value.value!r}</v>"
        return f'<c r="{name}"><f>{escape(value.text)}</f>{stored}</c>'
    if isinstance(value, Date):
        return f'<c r="{name}" s="1"><v>{value.serial}</v></c>'
    if isinstance(value, Formatted):
        return f'<c r="{name}" s="2"><v>{value.value!r}</v></c>'
    if isinstance(value, bool):
        return f'<c r="{name}" t="b"><v>{int(value)}</v></c>'
    if isinstance(value, int | float):
        return f'<c r="{name}"><v>{value!r}</v></c>'
    text = escape(str(value))
    return f'<c r="{name}" t="inlineStr"><is><t xml:space="preserve">{text}</t></is></c>'
