"""What is doubtful in a row is asked and not written; what is no row is said."""

from __future__ import annotations

from pathlib import Path

import pytest

from limitcheck.tables.grid import grid_of
from limitcheck.tables.importing import import_grid

from .imports import HEADER, ROWS, answered, asked, imported, tables
from .workbooks import Book, Formula, workbook


@pytest.mark.parametrize(
    ("row", "cell", "words"),
    [
        ("KB-3;LC-3;about 260;60;120;200;400;400", "C4", '"about 260" is not a number'),
        ("KB-3;LC-3;260 (was 240);60;120;200;400;400", "C4", "more than one number"),
        ("KB-3;LC-3;260 mPa;60;120;200;400;400", "C4", "millipascal"),
        ("KB-3;LC-3;-260;60;120;200;400;400", "C4", "below zero"),
        ("KB-3;LC-3;26O;60;120;200;400;400", "C4", "letters among its digits"),
        (";LC-3;260;60;120;200;400;400", "A4", "names no method"),
        ("KB-3;;260;60;120;200;400;400", "B4", "names no instrument"),
        ("KB-1;LC-3;260;60;120;200;400;400", "A2", "another row has the same method"),
        ("KB-3;LC-3;260;60;120;200;600;400", "G4", "other rows say otherwise"),
        ("KB-3;lc-3;260;60;120;200;400;400", "B4", '"lc-3" and "LC-3" are one?'),
        ("KB-3;LC-3;3800 psi;60;120;200;400;400", "C4", "LC-3 shows bar"),
        ("KB-3;LC-3;3800;60;120;200;400;400", "C4", "contradicts the other numbers"),
        ("KB-3;LC-3;260;60;1740;2900;400;400", "E4", "contradicts the other numbers"),
        ("KB-3;LC-4;1580;37;92;122;600;600", "C4", "far above every rating of its row"),
        ("KB-3;LC-4;520;37;;;400;", "C4", "far above every rating of its row"),
        ("KB-3;LC-4;1000000;30;;;;", "C4", "no pump is run at"),
        ("KB-3;LC-4;0.001;;;;;", "C4", "no pump is run at"),
        ("KB-3;ditto;260;60;120;200;400;400", "B4", "a cell is not filled from above"),
        ("KB-3;〃;260;60;120;200;400;400", "B4", "a cell is not filled from above"),
        ("KB-3;TBD;260;60;120;200;400;400", "B4", "names not one instrument"),
        ("all;LC-3;260;60;120;200;400;400", "A4", "names not one method"),
    ],
)
def test_what_is_doubtful_is_asked_and_not_written(row: str, cell: str, words: str) -> None:
    found = imported([*ROWS, row])
    told = {question.cell: question.text for question in found.questions}
    assert words in told[cell]
    assert "kb-3-lc-3.toml" not in dict(found.profiles())
    assert found.waiting >= 1
    if cell != "A2":
        assert (
            "kb-2-lc-3.toml" in dict(found.profiles())
            or cell == "G4"
            or (
                "are one" in words  # then both names wait
            )
        )


def test_a_column_that_is_wider_than_long_is_asked(tmp_path: Path) -> None:
    header = "Method;Instrument;High cutoff (bar);Column size"
    rows = ["A;LC-1;280;150 x 4.6 mm, 3 um", "B;LC-1;280;4.6 x 150 mm, 3 um"]
    found = imported(rows, header)
    assert asked(found) == [("D3", "cell")]
    assert "longer than the column" in found.questions[0].text
    again = imported(rows, header, answered(found, tmp_path, "150 x 4.6 mm"))
    assert tables(again, "b-lc-1.toml")["flow_path"][1]["length"] == "150 mm"


@pytest.mark.parametrize(("answer", "rating"), [("600", "600 bar"), ("as it stands", "")])
def test_nothing_is_written_while_rows_contradict_each_other(
    tmp_path: Path, answer: str, rating: str
) -> None:
    header = "Method;Instrument;High cutoff (bar);Pump rating (bar)"
    rows = ["A;LC-1;300;600", "B;LC-1;310;600", "C;LC-1;270;400"]
    found = imported(rows, header)
    assert asked(found) == [("D4", "cell")]
    assert found.questions[0].meant == "600"
    assert not found.ready
    again = imported(rows, header, answered(found, tmp_path, answer))
    if rating:
        assert tables(again, "instruments/lc-1.toml")["flow_path"][0]["rating"] == rating
        assert len(again.ready) == 3
    else:  # what a person said counts: it is the other rows that are asked then
        assert asked(again) == [("D2", "cell"), ("D3", "cell")]
        assert {question.meant for question in again.questions} == {"400"}


def test_an_empty_cell_is_filled_only_where_the_file_merges_it() -> None:
    rows = [
        ["Method", "Instrument", "High cutoff (bar)"],
        ["KB-1", "LC-3", 260],
        ["", "LC-4", 270],
        ["KB-2", "LC-3", 280],
        ["", "LC-4", 290],
    ]
    found = import_grid(grid_of(workbook({"Methods": Book(rows, merged=["A2:A3"])}), "t.xlsx"))
    assert "kb-1-lc-4.toml" in dict(found.profiles())
    assert asked(found) == [("Methods!A5", "cell")]
    assert found.waiting == 1


def test_a_formula_without_a_value_is_asked() -> None:
    rows = [["Method", "Instrument", "High cutoff (bar)"], ["KB-1", "LC-3", Formula("1+1")]]
    found = import_grid(grid_of(workbook({"Methods": rows}), "t.xlsx"))
    assert "not stored" in found.questions[0].text
    assert not found.ready


def test_percentages_that_a_spreadsheet_holds_as_shares_are_asked() -> None:
    rows = [
        ["Method", "Instrument", "High cutoff (bar)", "% B"],
        ["KB-1", "LC-3", 260, 0.18],
        ["KB-2", "LC-3", 260, 1],
    ]
    found = import_grid(grid_of(workbook({"Methods": rows}), "t.xlsx"))
    assert asked(found) == [("Methods!D2", "cell"), ("Methods!D3", "cell")]


def test_totals_notes_blank_rows_and_a_header_again_are_no_methods() -> None:
    extra = ["", ";;;;;;;", "Total;2;540;;;;;", "Confirmed by QA, see binder;;;;;;;", HEADER]
    found = imported([ROWS[0], *extra, ROWS[1]])
    assert len(found.ready) == 2
    assert not found.questions
    assert [text.partition(":")[0] for text in found.reads[0].skipped] == ["A5", "A6", "A7"]


def test_hidden_rows_columns_and_sheets_are_left_out_and_said() -> None:
    rows = [
        ["Method", "Instrument", "High cutoff (bar)", "Low cutoff (bar)"],
        ["KB-1", "LC-3", 260, 60],
        ["KB-2", "LC-3", 280, 60],
    ]
    book = {
        "Methods": Book(rows, hidden_columns=[3], hidden_rows=[2]),
        "Old": Book(rows, hidden=True),
    }
    found = import_grid(grid_of(workbook(book), "t.xlsx"))
    assert [path for path, _ in found.profiles()] == ["kb-1-lc-3.toml"]
    assert tables(found, "kb-1-lc-3.toml")["cutoffs"] == {"high": 260}
    assert "hidden" in found.reads[0].skipped[0]
    assert found.left_out == ("Old: hidden; unhide it to have it read",)
