"""Workbooks whose cells show another text than the number stored, or hold no value."""

from __future__ import annotations

import io
import re
import zipfile
from collections.abc import Callable, Mapping
from pathlib import Path

import pytest
from openpyxl import Workbook

from limitcheck.tables.answers import Answers
from limitcheck.tables.grid import grid_of
from limitcheck.tables.importing import Import, import_grid

from .imports import answered, tables

HEADER = ["Method", "Instrument", "High cutoff (bar)", "Low cutoff (bar)", "Pump rating (bar)"]
ROW = ["KB-1", "LC-3", 280, 30, 400]


def content(row: list[object], formats: Mapping[str, str], header: list[str] = HEADER) -> bytes:
    """A workbook as openpyxl writes it: the header, one good row, and a row with formats."""
    book = Workbook()
    sheet = book.active
    assert sheet is not None
    sheet.title = "Methods"
    for line in (header, ROW, row):
        sheet.append(line)
    for cell, code in formats.items():
        sheet[cell].number_format = code
    file = io.BytesIO()
    book.save(file)
    return file.getvalue()


def read(made: bytes, answers: Answers | None = None) -> Import:
    return import_grid(grid_of(made, "t.xlsx"), answers=answers)


@pytest.mark.parametrize("column", [2, 3, 4])
@pytest.mark.parametrize(
    ("value", "words"),
    [
        ("=4061/14.5", "not stored"),
        ("#REF!", "gives an error"),
        ("#DIV/0!", "gives an error"),
        ("#N/A", "gives an error"),
    ],
)
def test_a_formula_without_value_and_an_error_are_not_empty(
    column: int, value: str, words: str
) -> None:
    row: list[object] = ["KB-2", "LC-4", 270, 30, 400]
    row[column] = value
    found = read(content(row, {}))
    assert {one.cell for one in found.questions} == {f"Methods!{'ABCDE'[column]}3"}
    assert words in found.questions[0].text
    assert [path for path, _ in found.profiles()] == ["kb-1-lc-3.toml"]


@pytest.mark.parametrize(
    ("code", "words"),
    [
        ('[>1000]0" psi";0" bar"', "has a condition"),
        ('[<1000]0" bar";0" psi"', "has a condition"),
        ('"psi" 0', 'writes "psi" before it'),
        ('0" psi"', "the cell shows psi, and bar stands in the header"),
        (";;;", "shows nothing"),
        ("0,", "shows thousands"),
    ],
)
def test_a_number_of_which_it_is_not_sure_what_it_shows_is_asked(
    code: str, words: str, tmp_path: Path
) -> None:
    found = read(content(["KB-2", "LC-3", 270, 30, 400], {"C3": code}))
    assert [one.cell for one in found.questions] == ["Methods!C3"]
    assert words in found.questions[0].text
    answers = answered(found, tmp_path, "as it stands")
    found = read(content(["KB-2", "LC-3", 270, 30, 400], {"C3": code}), answers)
    assert bool(found.ready[1:]) is ("in the header" not in words)


@pytest.mark.parametrize("code", ['[Red][>300]0" bar";0" bar"', '#,##0" bar"', "0_)", '0" bar";;'])
def test_a_format_that_shows_the_number_and_its_unit_is_no_question(code: str) -> None:
    found = read(content(["KB-2", "LC-3", 270, 30, 400], {"C3": code}))
    assert not found.questions
    assert tables(found, "kb-2-lc-3.toml")["cutoffs"]["high"] == 270


def test_names_are_as_the_cell_shows_them() -> None:
    header = [*HEADER, "Revision"]
    made = content(
        [7, 3, 270, 30, 400, 1.1], {"A3": '"KB-TEA-"000', "B3": '"LC-"0', "F3": "0.00"}, header
    )
    found = read(made)
    assert not found.questions
    method = tables(found, "kb-tea-007-lc-3-1.10.toml")["method"]
    assert method == {"id": "KB-TEA-007", "revision": "1.10"}


def test_a_rounded_number_is_the_one_that_is_shown() -> None:
    row: list[object] = ["KB-2", "LC-3", 279.9955873633117, 30, 400]
    found = read(content(row, {"C3": "0"}))
    assert not found.questions
    assert tables(found, "kb-2-lc-3.toml")["cutoffs"]["high"] == 280
    found = read(content(row, {}))
    assert "more digits than a front panel takes" in found.questions[0].text
    row[2] = 1.4
    found = read(content(row, {"C3": "0"}))
    assert "shows 1" in found.questions[0].text


@pytest.mark.parametrize(
    "spell",
    [
        lambda xml: re.sub(rb' (r|hidden|s|t)="([^"]*)"', rb" \1='\2'", xml),
        lambda xml: re.sub(rb'<c r="[A-Z]+\d+"', b"<c", xml),
        lambda xml: xml.replace(b'hidden="1"', b'hidden = "1"'),
    ],
)
def test_the_same_sheet_is_read_however_its_xml_is_spelled(spell: Callable[[bytes], bytes]) -> None:
    book = Workbook()
    sheet = book.active
    assert sheet is not None
    for line in (["Method", "Instrument", "High cutoff"], ["A", "LC", 280], ["B", "LC", 1]):
        sheet.append(line)
    sheet["C2"].number_format = '0" psi"'
    sheet.row_dimensions[3].hidden = True
    file, other = io.BytesIO(), io.BytesIO()
    book.save(file)
    with zipfile.ZipFile(file) as old, zipfile.ZipFile(other, "w") as new:
        for item in old.infolist():
            part = old.read(item)
            new.writestr(item, spell(part) if "sheet1.xml" in item.filename else part)
    found = read(other.getvalue())
    assert [path for path, _ in found.profiles()] == ["a-lc.toml"]
    assert tables(found, "instruments/lc.toml")["instrument"]["pressure_unit"] == "psi"
