"""A table as it stands in a file: encodings, delimiters, workbooks, and what is refused."""

from __future__ import annotations

import csv
import io
import zipfile
from contextlib import suppress
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from limitcheck.cli.app import run
from limitcheck.errors import LimitcheckError
from limitcheck.tables.grid import DateCell, NumberCell, UnstoredCell, grid_of, read_grid

from .workbooks import Book, Date, Formula, workbook

HEADER = "Method,Instrument,High cutoff (bar)\n"


def cells(content: bytes, delimiter: str | None = None) -> list[list[str]]:
    (sheet,) = grid_of(content, "t.csv", delimiter).sheets
    return [list(row) for row in sheet.rows]


@pytest.mark.parametrize(
    ("encoding", "said"),
    [
        ("utf-8", "UTF-8,"),
        ("utf-8-sig", "UTF-8 with a mark"),
        ("utf-16", "UTF-16"),
        ("cp1252", "Windows-1252"),
    ],
)
def test_the_encoding_is_found_and_said(encoding: str, said: str) -> None:
    content = (HEADER + "KB-1,LC-Süd,400\n").encode(encoding)
    grid = grid_of(content, "t.csv")
    assert grid.sheets[0].at(1, 1) == "LC-Süd"
    assert said in grid.remarks[0]


@given(
    st.sampled_from(",;\t|"),
    st.lists(
        st.tuples(
            *(st.text(st.characters(codec="utf-8", exclude_categories=["C", "Z"]), max_size=8),) * 3
        ),
        max_size=6,
    ),
)
def test_every_delimiter_gives_the_same_cells(sign: str, rows: list[tuple[str, ...]]) -> None:
    out = io.StringIO()
    header = ("Method", "Instrument", "High cutoff (bar)")
    csv.writer(out, delimiter=sign).writerows([header, *rows])
    assert cells(out.getvalue().encode()) == [list(header), *map(list, rows)]


def test_decimal_commas_do_not_make_the_comma_a_delimiter() -> None:
    text = "Method;Instrument;High cutoff\nA;L;41,3\nB;L;40,5\n"
    assert cells(text.encode())[1] == ["A", "L", "41,3"]


def test_a_line_that_says_the_delimiter_stays_a_row() -> None:
    text = "sep=;\r\nMethod;Instrument;High cutoff\r\nA;L;400\r\n"
    (sheet,) = grid_of(text.encode(), "t.csv").sheets
    assert sheet.at(2, 2) == "400"
    assert sheet.cell_name(2, 2) == "C3"


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"a,b\n1,2\n", "no row of the first 40 has headers"),
        (HEADER.encode() + b'"A,L,400\n', "t.csv:2: unexpected end of data"),
        (HEADER.encode() + b"A\0,L,400\n", "t.csv:2: a NUL character"),
        (HEADER.encode() + b"A\x81,L,400\n", "t.csv:2: byte 0x81 is neither"),
        (HEADER.encode() + b"A," + b"x" * 3000 + b",4\n", "B2 has 3,000 characters"),
        (b"\xff\xfeM", "which the file says it is"),
        (b"PK\x03\x04 nothing", "is no workbook that can be read"),
        (b"\xd0\xcf\x11\xe0", "old kind, or one with a password"),
        (b"", "no row of the first 40"),
    ],
)
def test_what_is_no_table_is_refused_with_its_place(content: bytes, words: str) -> None:
    with pytest.raises(LimitcheckError) as refused:
        grid_of(content, "t.csv")
    assert words in refused.value.message
    assert refused.value.advice


def test_a_name_that_is_no_file_is_refused(tmp_path: Path) -> None:
    for path in (tmp_path, tmp_path / "none.csv"):
        with pytest.raises(LimitcheckError, match=r"is (a folder|not a file)"):
            read_grid(str(path))


def test_a_workbook_gives_values_and_what_is_hidden() -> None:
    rows = [
        ["Method", "High cutoff"],
        ["A", 413.6854, Formula("B2*2", 827.3708)],
        ["B", Formula("B2+1"), Date(45000)],
        [" C ", True, "=1+1"],
    ]
    book = Book(rows, merged=["A1:A2"], hidden_columns=[1], hidden_rows=[2])
    grid = grid_of(workbook({"Methods": book, "Old": Book([["x"]], hidden=True)}, True), "t.xlsx")
    sheet, old = grid.sheets
    assert sheet.at(1, 1) == "413.6854"
    assert isinstance(sheet.at(1, 1), NumberCell)
    assert sheet.at(1, 2) == "827.3708"
    assert isinstance(sheet.at(2, 1), UnstoredCell)
    assert isinstance(sheet.at(2, 2), DateCell)
    assert sheet.at(2, 2) == "2023-03-15"
    assert [sheet.at(3, c) for c in range(3)] == ["C", "TRUE", "=1+1"]
    assert (sheet.hidden_columns, sheet.hidden_rows, old.hidden) == ({1}, {2}, True)
    assert tuple(sheet.merged[0]) == (0, 0, 1, 0)
    assert sheet.cell_name(6, 1) == "Methods!B7"
    assert grid.remarks == ("It has macros, which are not run.",)


def test_a_formula_without_a_value_is_found_beyond_the_last_value() -> None:
    grid = grid_of(workbook({"M": [["Method", "High"], ["A"], ["B", Formula("1/0")]]}), "t.xlsx")
    assert isinstance(grid.sheets[0].at(2, 1), UnstoredCell)


def test_an_archive_that_is_no_workbook_is_refused() -> None:
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w") as archive:
        archive.writestr("a.txt", "x")
    with pytest.raises(LimitcheckError, match="no XLSX workbook"):
        grid_of(packed.getvalue(), "t.xlsx")


def archive_of(member: str) -> bytes:
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w") as archive:
        archive.writestr(member, "x")
    return packed.getvalue()


@pytest.mark.parametrize("command", ["import", "check", "fleet"])
@pytest.mark.parametrize(
    ("name", "content", "told"),
    [
        ("r.ods", archive_of("content.xml"), "an OpenDocument spreadsheet (ODS)"),
        ("r.xlsb", archive_of("xl/workbook.bin"), "a binary workbook (XLSB)"),
        ("r.xls", b"\xd0\xcf\x11\xe0" + bytes(600), "a workbook of the old kind"),
        (
            "r.fods",
            b'<?xml version="1.0"?><x a="urn:oasis:names:tc:opendocument:xmlns:office:1.0"/>',
            "an OpenDocument spreadsheet in one file (FODS)",
        ),
    ],
)
def test_another_kind_of_workbook_is_named_with_what_to_do(
    command: str,
    name: str,
    content: bytes,
    told: str,
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
) -> None:
    path = tmp_path / name
    path.write_bytes(content)
    form = ["--format", "json"] if command == "fleet" else []
    assert run([command, str(path), *form]) == 2
    said = capsys.readouterr()
    if command != "fleet":  # a fleet says in its line that the file is unreadable
        shown = " ".join((said.out + said.err).split())
        assert told in shown
        assert "XLSX" in shown
        assert "TOML" not in shown


def test_a_damaged_workbook_is_refused() -> None:
    whole = workbook({"M": [["Method", "High"], ["A", 4]]})
    for at in range(0, len(whole), 97):
        with suppress(LimitcheckError):  # and no other error
            grid_of(whole[:at] + bytes([whole[at] ^ 255]) + whole[at + 1 :], "t.xlsx")
