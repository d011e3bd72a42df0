"""Workbooks that nobody typed: refused or asked, within the time and room of a small table."""

from __future__ import annotations

import io
import tracemalloc
import zipfile
import zlib
from random import Random

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
    from limitcheck.tables.header import Chosen, find_header
    from limitcheck.tables.merged import Merged

    try:
        sheets, _ = sheets_of(workbook({"Methods": Book(ROWS, merged=[area])}), "register.xlsx")
    except LimitcheckError:
        return
    header = find_header(sheets[0], Chosen({}, {}))
    assert header is not None
    assert len(Merged(header).areas) <= len(ROWS)


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


def test_a_document_type_is_refused() -> None:
    """Entities are never expanded: none of a workbook has any."""
    made = io.BytesIO()
    before = zipfile.ZipFile(io.BytesIO(workbook({"Methods": ROWS})))
    with zipfile.ZipFile(made, "w") as archive:
        for item in before.infolist():
            text = before.read(item)
            if item.filename == "xl/styles.xml":
                text = b'<!DOCTYPE x [<!ENTITY e "e">]>' + text
            archive.writestr(item.filename, text)
    with pytest.raises(LimitcheckError, match="declares a document type"):
        sheets_of(made.getvalue(), "register.xlsx")


def _bomb(member: str, content: bytes, *, state: int | None = None) -> bytes:
    """The workbook with a member that unpacks to much; `state` is the size that it states."""
    made = io.BytesIO()
    before = zipfile.ZipFile(io.BytesIO(workbook({"Methods": ROWS})))
    with zipfile.ZipFile(made, "w", zipfile.ZIP_DEFLATED) as archive:
        for item in before.infolist():
            if item.filename != member:
                archive.writestr(item.filename, before.read(item))
        archive.writestr(member, content)
        info = archive.getinfo(member)
        if state is not None:  # the directory is written when the archive is closed
            info.file_size, info.CRC = state, zlib.crc32(content[:state])
    return made.getvalue()


_BLANKS = b"<sst>" + b" " * 40_000_000 + b"</sst>"


@pytest.mark.parametrize(
    ("member", "content", "state", "told"),
    [
        ("xl/sharedStrings.xml", _BLANKS, None, "unpacks to 40,00"),
        ("xl/sharedStrings.xml", b"<sst>" + b"<si/>" * 8_000_000, None, "unpacks to 40,00"),
        ("xl/worksheets/sheet1.xml", _BLANKS, None, "unpacks to 40,00"),
        ("xl/media/much.bin", _BLANKS, None, "unpacks to 40,00"),
        ("xl/sharedStrings.xml", _BLANKS, 5, "holds more than the size it states"),
        ("xl/worksheets/sheet1.xml", _BLANKS, 1_000_000, "holds more than the size it states"),
    ],
)
def test_a_small_file_that_unpacks_to_much_is_refused_in_little_room(
    member: str, content: bytes, state: int | None, told: str
) -> None:
    bomb = _bomb(member, content, state=state)
    assert len(bomb) < 100_000
    tracemalloc.start()
    try:
        with pytest.raises(LimitcheckError, match=told):
            sheets_of(bomb, "register.xlsx")
        assert tracemalloc.get_traced_memory()[1] < 8_000_000
    finally:
        tracemalloc.stop()


def test_what_unpacks_to_more_than_a_table_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("limitcheck.tables.unpacking.LARGEST_UNPACKED", 1_000_000)
    noise = Random(1).randbytes(1_000_000)
    with pytest.raises(LimitcheckError, match="unpacks to 1,00"):
        sheets_of(_bomb("xl/media/photo.jpg", noise), "register.xlsx")


def test_styles_too_large_to_be_parsed_whole_are_refused() -> None:
    noise = Random(1).randbytes(400_000).hex().encode()
    styles = b"<styleSheet>" + b"<!-- " + noise * 22 + b" --></styleSheet>"
    with pytest.raises(LimitcheckError, match=r"styles\.xml has 17,6"):
        sheets_of(_bomb("xl/styles.xml", styles), "register.xlsx")


def test_blanks_that_stay_small_are_no_bomb() -> None:
    sheets, _ = sheets_of(_bomb("xl/media/logo.bin", b" " * 10_000_000), "register.xlsx")
    assert sheets[0].at(1, 2) == "280"


def test_more_sheets_than_a_register_has_are_refused() -> None:
    many = {f"Sheet {n}": ROWS for n in range(101)}
    with pytest.raises(LimitcheckError, match="101 sheets"):
        sheets_of(workbook(many), "register.xlsx")
    assert len(sheets_of(workbook(dict(list(many.items())[:100])), "register.xlsx")[0]) == 100
