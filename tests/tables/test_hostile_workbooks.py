"""Workbooks that nobody typed: refused or asked, within the time and room of a small table."""

from __future__ import annotations

import io
import zipfile

import pytest

from limitcheck.errors import LimitcheckError
from limitcheck.tables.workbook import sheets_of

from .workbooks import Book, workbook

ROWS = [["Method", "Instrument", "High cutoff (bar)"], ["M1", "LC-1", 280], ["M2", "LC-1", 260]]


def changed(old: str, new: str, content: bytes | None = None) -> bytes:
    """The workbook with other words in the XML of its sheet."""
    made = io.BytesIO()
    before = zipfile.ZipFile(io.BytesIO(content or workbook({"Methods": ROWS})))
    with zipfile.ZipFile(made, "w") as archive:
        for item in before.infolist():
            text = before.read(item)
            if item.filename == "xl/worksheets/sheet1.xml":
                assert old.encode() in text
                text = text.replace(old.encode(), new.encode())
            archive.writestr(item.filename, text)
    return made.getvalue()


@pytest.mark.parametrize("quote", ['"', "'"])
@pytest.mark.parametrize("name", ["XFD1048576", "XFD2", "A1048576", "SF100000", "ZZZZZZ1"])
def test_a_cell_far_away_is_refused_before_room_is_made_for_it(name: str, quote: str) -> None:
    far = f"<row><c r={quote}{name}{quote}><v>1</v></c></row></sheetData>"
    with pytest.raises(LimitcheckError, match="cells of sheet Methods reach to row") as error:
        sheets_of(changed("</sheetData>", far), "register.xlsx")
    assert "far away" in error.value.advice


@pytest.mark.parametrize("area", ["A2:A1048576", "A2:A4294967295"])
def test_an_area_merged_down_to_the_end_takes_no_time(area: str) -> None:
    from limitcheck.tables.merged import filled_by_merging

    try:
        sheets, _ = sheets_of(workbook({"Methods": Book(ROWS, merged=[area])}), "register.xlsx")
    except LimitcheckError:
        return
    assert len(filled_by_merging(sheets[0])) <= len(ROWS)


@pytest.mark.parametrize("number", ["NaN", "1e999", "-INF"])
def test_what_is_no_number_is_a_word(number: str) -> None:
    try:
        sheets, _ = sheets_of(changed("<v>280</v>", f"<v>{number}</v>"), "register.xlsx")
    except LimitcheckError:
        return
    cell = sheets[0].rows[1][2]
    assert type(cell) is str
    assert not cell.isdigit()


def test_an_encrypted_member_is_refused() -> None:
    content = bytearray(workbook({"Methods": ROWS}))
    for sign, at in ((b"PK\x01\x02", 8), (b"PK\x03\x04", 6)):
        start = content.find(sign)
        while start >= 0:
            content[start + at] |= 1
            start = content.find(sign, start + 1)
    with pytest.raises(LimitcheckError, match="no workbook that can be read"):
        sheets_of(bytes(content), "register.xlsx")
