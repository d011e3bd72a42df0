"""Questions written as a table, filled in and read back."""

from __future__ import annotations

from pathlib import Path

import pytest

from limitcheck.errors import LimitcheckError
from limitcheck.tables.questions import questions_csv, questions_xlsx

from .imports import HEADER, ROWS, answered, asked, imported, tables


def test_an_ambiguous_header_keeps_all_rows_until_it_is_answered(tmp_path: Path) -> None:
    header = HEADER.replace("High cutoff (bar)", "Max pressure (bar)")
    found = imported(header=header)
    assert asked(found) == [("C1", "header")]
    assert not found.ready
    again = imported(header=header, answers=answered(found, tmp_path, "cutoffs.high"))
    assert not again.questions
    assert tables(again, "kb-1-lc-3.toml")["cutoffs"]["high"] == 260
    left = imported(header=header, answers=answered(found, tmp_path, "leave out"))
    assert tables(left, "kb-1-lc-3.toml")["cutoffs"] == {"low": 60}


def test_decimals_that_no_cell_decides_are_asked(tmp_path: Path) -> None:
    rows = ["KB-1;LC-9;3.800;;;;6.000;"]
    header = HEADER.replace("(bar)", "(psi)")
    found = imported(rows, header)
    assert ("C1", "decimal sign") in asked(found)
    again = imported(rows, header, answered(found, tmp_path, *["comma"] * len(found.questions)))
    assert tables(again, "kb-1-lc-9.toml")["cutoffs"] == {"high": 3800}


@pytest.mark.parametrize("as_workbook", [False, True])
def test_answers_are_read_back(tmp_path: Path, as_workbook: bool) -> None:
    rows = [*ROWS, "KB-3;LC-3;3800;60;120;200;400;400", "KB-4;LC-3;=2+2;60;120;200;400;400"]
    found = imported(rows)
    assert {cell for cell, _ in asked(found)} == {"C4", "C5"}
    by_cell = {"C4": "262", "C5": "leave out"}
    given = [by_cell[question.cell] for question in found.questions]
    answers = answered(found, tmp_path, *given, workbook=as_workbook)
    again = imported(rows, answers=answers)
    assert not again.questions
    assert not again.unused_answers
    assert tables(again, "kb-3-lc-3.toml")["cutoffs"]["high"] == 262
    assert tables(again, "kb-4-lc-3.toml")["cutoffs"] == {"low": 60}


def test_as_it_stands_is_taken(tmp_path: Path) -> None:
    rows = [*ROWS, "KB-3;LC-3;3800;60;120;200;400;400"]
    answers = answered(imported(rows), tmp_path, "as it stands")
    again = imported(rows, answers=answers)
    assert tables(again, "kb-3-lc-3.toml")["cutoffs"]["high"] == 3800


def test_an_answer_to_another_value_is_refused(tmp_path: Path) -> None:
    rows = [*ROWS, "KB-3;LC-3;3800;60;120;200;400;400"]
    answers = answered(imported(rows), tmp_path, "262")
    with pytest.raises(LimitcheckError, match='to "3800", and "4100" stands there now'):
        imported([*ROWS, "KB-3;LC-3;4100;60;120;200;400;400"], answers=answers)


def test_a_text_that_a_spreadsheet_runs_is_inert_in_the_questions(tmp_path: Path) -> None:
    found = imported([*ROWS, '=cmd|"/c x"!A1;LC-3;@SUM(1);60;120;200;400;400'])
    text = questions_csv(found.questions)
    assert "'@SUM(1)" in text
    assert "'=cmd" in text
    from openpyxl import load_workbook

    path = tmp_path / "q.xlsx"
    path.write_bytes(questions_xlsx(found.questions))
    cells = [cell for row in load_workbook(path)["Questions"].rows for cell in row]
    assert {cell.data_type for cell in cells if cell.value is not None} == {"s"}
    assert "@SUM(1)" in [cell.value for cell in cells]
