"""Tables for spreadsheets: real numbers and dates, text that is never run."""

from __future__ import annotations

import csv
import io
from datetime import date, datetime
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st
from openpyxl import load_workbook
from openpyxl.utils.escape import unescape

from limitcheck.errors import Refused
from limitcheck.tables.inert import as_meant
from limitcheck.tables.spreadsheet import STYLES, WrittenTable, csv_style, csv_text, workbook

TABLE = WrittenTable(
    "Fleet",
    (("Name", 20), ("High [bar]", 12), ("Count", 8), ("Day", 12)),
    [
        ("KB-TEA-014", Fraction(2068427, 5000), 3, date(2026, 11, 27)),
        ("=HYPERLINK(1)", Fraction(1, 3), 0, None),
        ("-5, '@x'", None, None, None),
        ("#N/A", Fraction(-1, 10**7), 1, None),
    ],
)


def read(text: str, delimiter: str = ",") -> list[list[str]]:
    rows = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter)
    return [[as_meant(cell) for cell in row] for row in rows]


def test_csv_has_plain_numbers_and_reads_back() -> None:
    assert read(csv_text(TABLE)) == [
        ["Name", "High [bar]", "Count", "Day"],
        ["KB-TEA-014", "413.6854", "3", "2026-11-27"],
        ["=HYPERLINK(1)", "0.333333333333333", "0", ""],
        ["-5, '@x'", "", "", ""],
        ["#N/A", "-0.0000001", "1", ""],
    ]
    assert csv_text(TABLE).splitlines()[2].startswith("'=HYPERLINK")


def test_csv_for_a_decimal_comma() -> None:
    text = csv_text(TABLE, STYLES["semicolon"])
    assert text.splitlines()[1] == "KB-TEA-014;413,6854;3;2026-11-27"
    assert read(text, ";")[2][0] == "=HYPERLINK(1)"
    with pytest.raises(Refused, match="--csv tab: there is no such style"):
        csv_style("tab", ("csv",))


def test_a_workbook_has_numbers_dates_and_text_of_their_own_kind() -> None:
    sheet = load_workbook(io.BytesIO(workbook(TABLE))).active
    assert sheet is not None
    assert (sheet.title, sheet.freeze_panes) == ("Fleet", "A2")
    assert sheet.column_dimensions["A"].width == 20
    assert sheet.auto_filter.ref == "A1:D5"
    assert [cell.font.bold for cell in sheet[1]] == [True] * 4
    rows = [[cell.value for cell in row] for row in sheet.iter_rows(min_row=2)]
    assert rows == [
        ["KB-TEA-014", 413.6854, 3, datetime(2026, 11, 27)],
        ["=HYPERLINK(1)", 1 / 3, 0, None],
        ["-5, '@x'", None, None, None],
        ["#N/A", -1e-7, 1, None],
    ]
    assert [cell.data_type for cell in sheet["A"]] == ["s"] * 5
    assert [bool(cell.quotePrefix) for cell in sheet["A"]] == [False, False, True, True, False]
    assert sheet["D2"].is_date


@given(st.lists(st.text(max_size=30), min_size=1, max_size=5))
def test_any_text_goes_through_a_workbook(texts: list[str]) -> None:
    table = WrittenTable("T", (("Text", 10),), [(text,) for text in texts])
    sheet = load_workbook(io.BytesIO(workbook(table))).active
    assert sheet is not None
    found = [sheet.cell(number, 1) for number in range(2, len(texts) + 2)]
    assert all(cell.data_type in ("s", "n") for cell in found)
    assert [unescape(cell.value or "") for cell in found] == texts


def test_a_style_without_a_csv_is_refused() -> None:
    with pytest.raises(Refused, match="no CSV is asked for"):
        csv_style("semicolon", ("text", "xlsx"))
    assert csv_style("comma", ("text",)) == STYLES["comma"]
    assert csv_style("semicolon", ("text", "csv")) == STYLES["semicolon"]
