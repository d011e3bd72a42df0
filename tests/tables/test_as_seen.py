"""What somebody sees of a workbook beside its texts: crossed out, merged, commented, hidden.

The workbooks are written by openpyxl, which the import does not use.
"""

from __future__ import annotations

import io
from collections.abc import Callable
from pathlib import Path

import pytest
from openpyxl import Workbook
from openpyxl.cell.rich_text import CellRichText, TextBlock
from openpyxl.cell.text import InlineFont
from openpyxl.comments import Comment
from openpyxl.formatting.rule import CellIsRule
from openpyxl.styles import Font
from openpyxl.worksheet.worksheet import Worksheet

from limitcheck.errors import Refused
from limitcheck.tables.answers import Answers
from limitcheck.tables.grid import grid_of
from limitcheck.tables.importing import Import, import_grid

from .imports import HEADER, answered, tables

NAMES = HEADER.split(";")
ROWS = [
    ["KB-1", "LC-3", 260, 60, 120, 200, 400, 400],
    ["KB-2", "LC-3", 280, 60, 130, 210, 400, 400],
    ["KB-3", "LC-5", 250, 50, 110, 190, 400, 400],
]
STRUCK = Font(strike=True)
Change = Callable[[Worksheet], None]


def read(
    change: Change,
    *,
    above: list[list[object]] | None = None,
    names: list[str] = NAMES,
    title: str = "Methods",
    answers: Answers | None = None,
) -> Import:
    """The three rows under their header, changed, as a workbook that is imported."""
    book = Workbook()
    sheet = book.active
    assert isinstance(sheet, Worksheet)
    sheet.title = title
    for row in [*(above or []), names, *ROWS]:
        sheet.append(row)
    change(sheet)
    packed = io.BytesIO()
    book.save(packed)
    return import_grid(grid_of(packed.getvalue(), "t.xlsx"), answers=answers)


def asked(found: Import) -> list[tuple[str, str]]:
    return [(one.cell.partition("!")[2], one.about) for one in found.questions]


def written(found: Import) -> list[str]:
    return [one.record.text("method.id") for one in found.ready]


def nothing(_: Worksheet) -> None:
    pass


def test_the_rows_are_clean_without_a_change() -> None:
    found = read(nothing)
    assert (asked(found), written(found)) == ([], ["KB-1", "KB-2", "KB-3"])


def strike(cell: str, *pieces: tuple[str, bool]) -> Change:
    """A cell crossed out, or one of several pieces of which some are."""

    def change(sheet: Worksheet) -> None:
        if not pieces:
            sheet[cell].font = STRUCK
            return
        font = InlineFont(strike=True)
        made = [TextBlock(font if out else InlineFont(), text) for text, out in pieces]
        sheet[cell] = CellRichText(*made)

    return change


@pytest.mark.parametrize(
    "change",
    [
        strike("C2"),
        strike("C2", ("230", True)),
        strike("C2", ("2", True), ("60", False)),
        strike("C2", ("230", True), (" 260", False)),
        strike("B2", ("LC-5", True), ("LC-3", False)),
        strike("H2"),
    ],
)
def test_what_is_crossed_out_is_never_taken(change: Change) -> None:
    found = read(change)
    assert len(found.questions) == 1
    assert "is crossed out" in found.questions[0].text
    assert "KB-1" not in written(found)


def test_an_answer_says_what_is_in_force(tmp_path: Path) -> None:
    found = read(strike("C2"))
    again = read(strike("C2"), answers=answered(found, tmp_path, "240"))
    assert not again.questions
    assert tables(again, "kb-1-lc-3.toml")["cutoffs"]["high"] == 240
    again = read(strike("C2"), answers=answered(found, tmp_path, "leave out"))
    assert "high" not in tables(again, "kb-1-lc-3.toml")["cutoffs"]


def strike_row(sheet: Worksheet) -> None:
    for cell in sheet[3]:
        cell.font = STRUCK


@pytest.mark.parametrize(("answer", "rows"), [("leave out", 2), ("as it stands", 3)])
def test_a_row_that_is_crossed_out_is_asked_once(answer: str, rows: int, tmp_path: Path) -> None:
    found = read(strike_row)
    assert asked(found) == [("A3", "cell")]
    assert written(found) == ["KB-1", "KB-3"]
    again = read(strike_row, answers=answered(found, tmp_path, answer))
    assert (len(again.ready), again.questions) == (rows, ())


def test_a_header_that_is_crossed_out_is_asked(tmp_path: Path) -> None:
    found = read(strike("D1"))
    assert asked(found) == [("D1", "header")]
    again = read(strike("D1"), answers=answered(found, tmp_path, "cutoffs.low"))
    assert (asked(again), len(again.ready)) == ([], 3)


def test_the_mark_of_a_footnote_is_no_digit() -> None:
    def change(sheet: Worksheet) -> None:
        sheet["D2"] = CellRichText("6", TextBlock(InlineFont(vertAlign="superscript"), "0"))

    found = read(change)
    assert asked(found) == [("D2", "cell")]
    assert "footnote" in found.questions[0].text


def test_a_conditional_format_that_may_cross_out_is_said() -> None:
    def change(sheet: Worksheet) -> None:
        sheet.conditional_formatting.add("C2:C4", CellIsRule("greaterThan", ["9"], font=STRUCK))

    told = list(read(change).not_looked_at())
    assert any("Methods!C2:C4" in text and "cross out" in text for text in told)


@pytest.mark.parametrize("area", ["C2:D2", "C2:D3", "D2:E2"])
def test_one_text_merged_over_several_columns_is_asked(area: str) -> None:
    found = read(lambda sheet: sheet.merge_cells(area))
    assert "KB-1" not in written(found)
    assert {"merged over" in one.text for one in found.questions} == {True}
    assert len(found.questions) == (4 if area == "C2:D3" else 2)


def test_a_cell_merged_downwards_holds_in_each_row() -> None:
    found = read(lambda sheet: sheet.merge_cells("C2:C3"))
    assert tables(found, "kb-2-lc-3.toml")["cutoffs"]["high"] == 260


@pytest.mark.parametrize(
    ("cell", "comment", "is_asked"),
    [
        ("C2", "psi, not bar", True),
        ("A2", "withdrawn in May", True),
        ("C2", "typed by the method owner", False),
        ("C2", "in bar", False),
    ],
)
def test_a_comment_is_told_and_asked_where_it_may_change_its_row(
    cell: str, comment: str, is_asked: bool
) -> None:
    def change(sheet: Worksheet) -> None:
        sheet[cell].comment = Comment(comment, "KB")

    found = read(change)
    assert any(comment in text for text in found.not_looked_at())
    assert asked(found) == ([(cell, "cell")] if is_asked else [])


def test_a_text_beside_a_row_that_names_another_unit_is_asked(tmp_path: Path) -> None:
    def change(sheet: Worksheet) -> None:
        sheet["J3"] = "in psi!"

    found = read(change)
    assert (asked(found), written(found)) == ([("J3", "cell")], ["KB-1", "KB-3"])
    again = read(change, answers=answered(found, tmp_path, "as it stands"))
    assert (asked(again), len(again.ready)) == ([], 3)


@pytest.mark.parametrize(
    "title",
    ["DRAFT - not approved", "OBSOLETE, see the new register", "All pressures in psi", "Entwurf"],
)
def test_a_title_that_its_table_may_not_be_read_under_is_asked(title: str, tmp_path: Path) -> None:
    above = [[title], []]
    found = read(nothing, above=above)
    assert (asked(found), found.ready) == ([("A1", "title")], ())
    again = read(nothing, above=above, answers=answered(found, tmp_path, "as it stands"))
    assert (asked(again), len(again.ready)) == ([], 3)
    again = read(nothing, above=above, answers=answered(found, tmp_path, "leave out"))
    assert (asked(again), again.ready) == ([], ())
    assert any("the table is left out" in text for text in again.not_looked_at())
    with pytest.raises(Refused, match="is no answer to it"):
        read(nothing, above=above, answers=answered(found, tmp_path, "260"))


@pytest.mark.parametrize("title", ["Register of methods", "All pressures in bar", "Before: in psi"])
def test_a_plain_title_is_not_asked(title: str) -> None:
    found = read(nothing, above=[[title], []])
    assert (asked(found), len(found.ready)) == ([], 3)


@pytest.mark.parametrize("name", ["Draft", "Old - do not use", "Archive_2023", "psi"])
def test_the_name_of_a_sheet_that_contradicts_its_table_is_asked(name: str) -> None:
    found = read(nothing, title=name)
    assert (asked(found), found.ready) == ([("A1", "title")], ())


def test_a_title_that_nobody_sees_gives_no_unit() -> None:
    bare = [name.removesuffix(" (bar)") if at < 6 else name for at, name in enumerate(NAMES)]

    def hide(sheet: Worksheet) -> None:
        sheet.row_dimensions[1].hidden = True

    found = read(hide, above=[["All pressures in psi"]], names=bare)
    assert {one.about for one in found.questions} == {"unit"}
    assert not found.ready


def test_a_header_that_nobody_sees_is_named() -> None:
    def hide(sheet: Worksheet) -> None:
        sheet.row_dimensions[1].hidden = True

    with pytest.raises(Refused, match="row 1 is hidden"):
        read(hide)


def test_a_hidden_row_of_units_or_headers_is_asked() -> None:
    def hide(sheet: Worksheet) -> None:
        sheet.insert_rows(3)
        for at, name in enumerate(NAMES, 1):
            sheet.cell(3, at).value = name.replace("bar", "psi")
        sheet.row_dimensions[3].hidden = True

    found = read(hide)
    assert written(found) == ["KB-1"]
    assert asked(found) == [("A3", "cell")]


def test_units_under_two_rows_of_headers_are_read() -> None:
    def change(sheet: Worksheet) -> None:
        sheet.delete_rows(1)
        sheet.insert_rows(1, 3)
        upper = [
            "Method",
            "Instrument",
            "Cutoffs",
            None,
            "Expected pressure",
            None,
            "Ratings",
            None,
        ]
        lower = [None, None, "High", "Low", "Low", "High", "Pump", "Column"]
        units = [None, None, "psi", "psi", "psi", "psi", "bar", "bar"]
        for row, texts in enumerate((upper, lower, units), 1):
            for at, text in enumerate(texts, 1):
                sheet.cell(row, at).value = text
        for area in ("A1:A3", "B1:B3", "C1:D1", "E1:F1", "G1:H1"):
            sheet.merge_cells(area)

    found = read(change)
    assert asked(found) == []
    assert tables(found, "instruments/lc-3.toml")["instrument"]["pressure_unit"] == "psi"


def test_a_header_that_is_an_error_over_numbers_is_asked() -> None:
    def change(sheet: Worksheet) -> None:
        sheet["D1"] = "#REF!"
        sheet["D1"].data_type = "e"

    found = read(change)
    assert (asked(found), found.ready) == ([("D1", "header")], ())


def test_a_header_that_is_a_formula_without_a_value_is_asked() -> None:
    def change(sheet: Worksheet) -> None:
        sheet["D1"] = '="Low"&" cutoff"'

    found = read(change)
    assert (asked(found), found.ready) == ([("D1", "header")], ())


def test_a_row_that_counts_the_columns_is_no_method() -> None:
    def change(sheet: Worksheet) -> None:
        sheet.insert_rows(2)
        for at in range(1, len(NAMES) + 1):
            sheet.cell(2, at).value = f"({at})" if at % 2 else at

    found = read(change)
    assert (asked(found), len(found.ready)) == ([], 3)
    assert "Methods!A2: the numbers of the columns" in list(found.not_looked_at())
