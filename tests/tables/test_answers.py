"""Questions written as a table, filled in and read back."""

from __future__ import annotations

from pathlib import Path

import pytest

from limitcheck.cli.app import run
from limitcheck.errors import LimitcheckError, Refused
from limitcheck.tables.answers import Answers, read_answers, to_fill_in
from limitcheck.tables.importing import Import
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


def test_an_answer_to_another_value_is_not_used(tmp_path: Path) -> None:
    rows = [*ROWS, "KB-3;LC-3;3800;60;120;200;400;400"]
    answers = answered(imported(rows), tmp_path, "262")
    again = imported([*ROWS, "KB-3;LC-3;4100;60;120;200;400;400"], answers=answers)
    assert asked(again) == [("C4", "cell")]
    (unused,) = again.unused_answers
    assert 'has "3800" as High cutoff (bar) now' in unused


def test_an_answer_follows_its_method_when_rows_are_sorted(tmp_path: Path) -> None:
    header = "Method;Instrument;High cutoff;Low cutoff;Normal low;Normal high;Pump rating;Unit"
    a, b, c = (
        "KB-A;KB-LC-05;280;430;1700;2800;5800 psi;psi",
        "KB-B;KB-LC-05;3800;430;1600;2700;5800 psi;psi",
        "KB-C;KB-LC-05;280;430;1600;2700;5800 psi;psi",
    )
    found = imported([a, b, c], header)
    assert asked(found) == [("C2", "cell"), ("C4", "cell")]
    answers = answered(found, tmp_path, "4061", "3900")
    for rows in ([a, b, c], [c, b, a]):
        again = imported(rows, header, answers)
        assert tables(again, "kb-a-kb-lc-05.toml")["cutoffs"]["high"] == 4061
        assert tables(again, "kb-c-kb-lc-05.toml")["cutoffs"]["high"] == 3900
    other = imported([a.replace("KB-A", "KB-D"), b, c], header, answers)
    assert asked(other) == [("C2", "cell")]
    assert "KB-A" in other.unused_answers[0]


def test_twins_are_told_apart_by_their_whole_rows(tmp_path: Path) -> None:
    one, other = "KB-1;LC-3;about 260;60;120;200;400;400", "KB-1;LC-3;about 260;50;120;200;400;400"
    found = imported([one, other])
    texts = {"C2": "261", "C3": "262", "A2": "as it stands", "A3": "KB-9"}
    answers = answered(found, tmp_path, *[texts[q.cell] for q in found.questions])
    again = imported([other, one], answers=answers)
    assert tables(again, "kb-9-lc-3.toml")["cutoffs"] == {"high": 262, "low": 50}
    assert tables(again, "kb-1-lc-3.toml")["cutoffs"] == {"high": 261, "low": 60}


@pytest.mark.parametrize(
    ("flow", "answer", "high"),
    [("1,1", "3.900", 3900), ("1.1", "3,900", 3900), ("1,1", "3900", 3900), ("1", "3.900", None)],
)
def test_numbers_in_answers_have_the_decimal_sign_of_the_table(
    tmp_path: Path, flow: str, answer: str, high: int | None
) -> None:
    header = "Method;Instrument;High cutoff;Low cutoff;Display unit;Flow (mL/min)"
    rows = [f"KB-1;LC;3801;430;psi;{flow}", f"KB-X;LC;about 3900;n/a;psi;{flow}"]
    answers = _by_cell(imported(rows, header), tmp_path, {"C3": f'"{answer}"'})
    again = imported(rows, header, answers)
    if high is None:
        (question,) = again.questions
        assert question.text == 'the answer "3.900" has two readings: 3900, or 3.9'
        assert question.answer == "3.900"
    else:
        assert tables(again, "kb-x-lc.toml")["cutoffs"]["high"] == high


def test_an_answer_is_doubted_once_and_confirmed(tmp_path: Path) -> None:
    rows = [*ROWS, "KB-3;LC-3;about 260;60;120;200;400;400"]
    answers = answered(imported(rows), tmp_path, "2600")
    again = imported(rows, answers=answers)
    (question,) = again.questions
    assert question.text.startswith("the answer: 2600 ")
    assert (question.value, question.answer) == ("about 260", "2600")
    path = tmp_path / "q2.csv"
    path.write_text(questions_csv(to_fill_in(again.questions, answers)), "utf-8")
    text = path.read_text("utf-8")
    path.write_text(text.replace(",2600,", ',2600,"yes, as typed"'), "utf-8")
    third = imported(rows, answers=read_answers(str(path)))
    assert not third.questions
    assert tables(third, "kb-3-lc-3.toml")["cutoffs"]["high"] == 2600
    path.write_text(text.replace(",2600,", ",2600,sure"), "utf-8")
    with pytest.raises(LimitcheckError, match='"sure" in the column `confirm`'):
        read_answers(str(path))


def test_rounds_of_answers_end(tmp_path: Path) -> None:
    """Each table of questions has the answers of the rounds before it."""
    header, rows = (
        "Method;Instrument;Pmax;Low cutoff;Pump rating",
        ["KB-1;LC;280;30;400", "KB-2;LC;270;30;400"],
    )
    given = {"header": "cutoffs.high", "unit": "bar"}
    found, answers, path = imported(rows, header), Answers(), tmp_path / "q.csv"
    for _ in range(3):
        if not found.questions:
            break
        told = [
            q if q.answer else q._replace(answer=given[q.about])
            for q in to_fill_in(found.questions, answers)
        ]
        path.write_text(questions_csv(told), "utf-8")
        answers = read_answers(str(path))
        found = imported(rows, header, answers)
    assert not found.questions
    assert not found.unused_answers
    assert tables(found, "kb-1-lc.toml")["cutoffs"] == {"high": 280, "low": 30}


def test_a_filled_in_table_is_not_written_over(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    table, path = tmp_path / "t.csv", tmp_path / "q.csv"
    table.write_text(f"{HEADER}\nKB-3;LC-3;about 260;60;120;200;400;400\n", "utf-8")
    assert run(["import", str(table), "--questions", str(path)]) == 1
    assert run(["import", str(table), "--questions", str(path)]) == 1  # nothing filled in
    filled = path.read_text("utf-8").rstrip()[:-1] + "260,\n"
    path.write_text(filled, "utf-8")
    assert run(["import", str(table), "--questions", str(path)]) == 2
    assert "answers in it: 1" in capsys.readouterr().err
    assert path.read_text("utf-8") == filled
    path.write_text("something else", "utf-8")
    assert run(["import", str(table), "--questions", str(path)]) == 2
    assert run(["import", str(table), "--write", ""]) == 2


@pytest.mark.parametrize("as_workbook", [False, True])
def test_a_cell_that_begins_with_apostrophes_is_found_again(
    tmp_path: Path, as_workbook: bool
) -> None:
    rows = [*ROWS, "KB-3;LC-3;''=280;60;120;200;400;400"]
    answers = answered(imported(rows), tmp_path, "270", workbook=as_workbook)
    assert not imported(rows, answers=answers).questions


def _by_cell(found: Import, tmp_path: Path, given: dict[str, str]) -> Answers:
    return answered(found, tmp_path, *[given[q.cell] for q in found.questions])


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


def test_an_answer_about_what_is_not_asked_is_refused(tmp_path: Path) -> None:
    found = imported(["KB-1;LC-3;2x60;60;120;200;400;400"])
    answered(found, tmp_path, "260")
    path = tmp_path / "q.csv"
    path.write_text(path.read_text("utf-8").replace(",C2,cell,", ",C2,cells,"), "utf-8")
    with pytest.raises(Refused, match=r"q\.csv:2: .cells. in the column `about`"):
        read_answers(str(path))
