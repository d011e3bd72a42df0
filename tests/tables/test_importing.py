"""Rows to profiles: what is written, what is asked, and that nothing doubtful is written."""

from __future__ import annotations

import tomllib
from collections.abc import Sequence
from pathlib import Path

import pytest

from limitcheck.errors import LimitcheckError
from limitcheck.tables.grid import grid_of
from limitcheck.tables.importing import Import, import_grid
from limitcheck.tables.mapping import NOTHING, HeaderMap, mapping_text, read_mapping
from limitcheck.tables.questions import Answers, questions_csv, questions_xlsx, read_answers

from .workbooks import Book, Formula, workbook

HEADER = (
    "Method;Instrument;High cutoff (bar);Low cutoff (bar);Expected low (bar);Expected high (bar);"
    "Pump rating (bar);Column rating (bar)"
)
ROWS = ("KB-1;LC-3;260;60;120;200;400;400", "KB-2;LC-3;280;60;130;210;400;400")


def imported(
    rows: Sequence[str] = ROWS,
    header: str = HEADER,
    answers: Answers | None = None,
    mapping: HeaderMap = NOTHING,
) -> Import:
    content = "\n".join([header, *rows, ""]).encode()
    return import_grid(grid_of(content, "dir/t.csv", ";"), mapping, answers)


def asked(found: Import) -> list[tuple[str, str]]:
    return [(question.cell, question.about) for question in found.questions]


def answered(found: Import, tmp_path: Path, *answers: str, workbook: bool = False) -> Answers:
    """The table of questions as it is written, filled in and read back."""
    assert len(found.questions) == len(answers)
    if workbook:
        from openpyxl import load_workbook

        path = tmp_path / "q.xlsx"
        path.write_bytes(questions_xlsx(found.questions))
        book = load_workbook(path)
        for row, answer in enumerate(answers, 2):
            book["Questions"].cell(row, 10).value = answer
        book.save(path)
    else:
        path = tmp_path / "q.csv"
        first, *lines = questions_csv(found.questions).splitlines()
        filled = [line + answer for line, answer in zip(lines, answers, strict=True)]
        path.write_text("\r\n".join([first, *filled]), "utf-8")
    return read_answers(str(path))


def tables(found: Import, path: str) -> dict:
    return tomllib.loads({**dict(found.profiles()), **dict(found.shared())}[path])


def test_each_row_gives_a_profile_with_shared_instrument() -> None:
    found = imported()
    assert not found.questions
    assert [path for path, _ in found.profiles()] == ["kb-1-lc-3.toml", "kb-2-lc-3.toml"]
    first = tables(found, "kb-1-lc-3.toml")
    assert first["cutoffs"] == {"high": 260, "low": 60}
    assert first["expected"] == {"low": 120, "high": 200}
    assert first["flow_path"] == [
        {"use": "instruments/lc-3.toml#pump"},
        {"part": "column", "rating": "400 bar"},
    ]
    shared = tables(found, "instruments/lc-3.toml")
    assert shared["instrument"] == {"id": "LC-3", "pressure_unit": "bar"}
    assert shared["flow_path"] == [{"part": "pump", "rating": "400 bar"}]


def test_files_name_the_table_the_row_and_its_sha256() -> None:
    found = imported()
    text = dict(found.profiles())["kb-2-lc-3.toml"]
    assert text.startswith(f"# Imported from t.csv, row 3.\n# SHA-256 {found.grid.sha256}\n")


def test_numbers_keep_their_digits() -> None:
    found = imported(["KB-1;LC-3;413.6854;60.50;120;200;689.48;689.48"])
    text = dict(found.profiles())["kb-1-lc-3.toml"]
    assert "high = 413.6854\nlow = 60.50\n" in text
    assert 'rating = "689.48 bar"' in text


def test_a_workbook_of_three_sheets() -> None:
    book = {
        "Methods": [
            ["Method", "System", "Column", "High cutoff", "Low cutoff", "Expected"],
            ["KB-1", "LC-3", "C-1", 260, 60, "120-200"],
            ["KB-2", "LC-9", "C-1", 3800, 900, "1700 – 2900 psi"],
        ],
        "Instruments": [
            ["ID", "Pressure unit", "Rating (bar)", "Display step"],
            ["LC-3", "bar", 400, 1],
            ["LC-9", "psi", 600, 1],
        ],
        "Columns": [
            ["Name", "Length (mm)", "ID (mm)", "Particle size (um)", "Max pressure (bar)"],
            ["C-1", 150, 4.6, 5, 400],
        ],
    }
    found = import_grid(grid_of(workbook(book), "t.xlsx"))
    assert not found.questions
    assert tables(found, "kb-2-lc-9.toml")["cutoffs"] == {"high": 3800, "low": 900}
    assert tables(found, "kb-2-lc-9.toml")["expected"] == {"low": 1700, "high": 2900}
    assert tables(found, "kb-1-lc-3.toml")["flow_path"][1] == {"use": "columns/c-1.toml#C-1"}
    assert tables(found, "columns/c-1.toml")["flow_path"] == [
        {
            **{"part": "column", "label": "C-1", "length": "150 mm", "bore": "4.6 mm"},
            **{"particle_size": "5 um", "rating": "400 bar"},
        }
    ]
    assert tables(found, "instruments/lc-9.toml")["instrument"]["display_step"] == 1


@pytest.mark.parametrize(
    ("row", "cell", "words"),
    [
        ("KB-3;LC-3;about 260;60;120;200;400;400", "C4", '"about 260" is not a number'),
        ("KB-3;LC-3;260 (was 240);60;120;200;400;400", "C4", "more than a number and its unit"),
        ("KB-3;LC-3;260 mPa;60;120;200;400;400", "C4", "millipascal"),
        ("KB-3;LC-3;-260;60;120;200;400;400", "C4", "below zero"),
        ("KB-3;LC-3;26O;60;120;200;400;400", "C4", "not a known unit"),
        (";LC-3;260;60;120;200;400;400", "A4", "names no method"),
        ("KB-3;;260;60;120;200;400;400", "B4", "names no instrument"),
        ("KB-1;LC-3;260;60;120;200;400;400", "A2", "another row has the same method"),
        ("KB-3;LC-3;260;60;120;200;600;400", "G4", "other rows say otherwise"),
        ("KB-3;lc-3;260;60;120;200;400;400", "B4", '"lc-3" and "LC-3" are one?'),
        ("KB-3;LC-3;3800 psi;60;120;200;400;400", "C4", "LC-3 shows bar"),
        ("KB-3;LC-3;3800;60;120;200;400;400", "C4", "contradicts the other numbers"),
        ("KB-3;LC-3;260;60;1740;2900;400;400", "E4", "contradicts the other numbers"),
    ],
)
def test_what_is_doubtful_is_asked_and_not_written(row: str, cell: str, words: str) -> None:
    found = imported([*ROWS, row])
    told = {question.cell: question.text for question in found.questions}
    assert words in told[cell]
    assert "kb-3-lc-3.toml" not in dict(found.profiles())
    assert found.waiting >= 1
    if cell != "A2":
        assert "kb-2-lc-3.toml" in dict(found.profiles()) or cell == "G4"


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


BARE = HEADER.replace("cutoff (bar)", "cutoff").replace("low (bar)", "low").replace(
    "high (bar)", "high"
)  # fmt: skip


def test_the_unit_of_bare_numbers_is_inferred_by_instrument() -> None:
    column = "1;150 x 4.6 mm, 3 um;water;acetonitrile;60;30"
    rows = [
        *(f"KB-{n};LC-3;{150 + n};30;60;{90 + n};400;400;{column}" for n in range(1, 4)),
        *(f"HM-{n};LC-9;{2200 + n};440;870;{1400 + n};400;400;{column}" for n in range(1, 4)),
        *(f"HM-{n};LC-5;15.{n};3;6;9.{n};400;400;{column}" for n in range(5, 8)),
    ]
    more = "Flow (mL/min);Column dimensions;Eluent A;Eluent B;% B;Temp (degC)"
    found = imported(rows, f"{BARE};{more}")
    assert not found.questions
    units = {name: thing.unit for name, thing in found.joined.instruments.items()}
    assert units == {"LC-3": "bar", "LC-9": "psi", "LC-5": "MPa"}
    assert "inferred from 3 rows" in found.joined.instruments["LC-9"].unit_from


def test_a_unit_that_nothing_decides_is_asked(tmp_path: Path) -> None:
    header, rows = "Method;Instrument;High cutoff", ["KB-1;LC-3;300", "KB-2;LC-3;280"]
    found = imported(rows, header)
    assert asked(found) == [("C1", "unit")]
    assert found.questions[0].instrument == "LC-3"
    assert not found.ready
    again = imported(rows, header, answered(found, tmp_path, "psi"))
    assert tables(again, "instruments/lc-3.toml")["instrument"]["pressure_unit"] == "psi"
    with pytest.raises(LimitcheckError, match="not a known unit"):
        imported(rows, header, answered(found, tmp_path, "stone"))


def test_a_unit_that_the_numbers_contradict_is_asked() -> None:
    rows = [f"KB-{n};LC-3;{3700 + n};900;1700;2900;400;400;bar" for n in range(3)]
    found = imported(rows, BARE + ";Pressure unit")
    assert ("C1", "unit") in asked(found)
    assert found.questions[0].meant == "psi"
    assert not found.ready


def test_a_number_far_from_its_neighbours_is_asked() -> None:
    rows = [f"KB-{n};LC-3;{280 + n}" for n in range(12)]
    clean = imported(rows, "Method;Instrument;High cutoff (bar)")
    assert not clean.questions
    found = imported([*rows, "KB-99;LC-3;4060"], "Method;Instrument;High cutoff (bar)")
    assert asked(found) == [("C14", "cell")]
    assert found.questions[0].meant == "4060 psi"


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


def test_a_mapping_is_written_and_read_back(tmp_path: Path) -> None:
    header = "Meth;LC;Pmax;Remarks"
    rows = ["KB-1;LC-3;260;x", "KB-2;LC-3;280;y"]
    path = tmp_path / "map.toml"
    path.write_text(
        'mapping = 1\n[headers]\nMeth = "method.id"\nPmax = "cutoffs.high"\n'
        'LC = "instrument.id"\nRemarks = "leave out"\n[units]\nPmax = "bar"\n',
        "utf-8",
    )
    mapping = read_mapping(str(path))
    found = imported(rows, header, mapping=mapping)
    assert tables(found, "kb-1-lc-3.toml")["cutoffs"] == {"high": 260}
    again = tmp_path / "again.toml"
    again.write_text(mapping_text([read.header for read in found.reads], None), "utf-8")
    assert read_mapping(str(again)) == mapping


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("mapping = 2", "no mapping = 1"),
        ("mapping = 1\ndecimal = 3", "decimal is"),
        ("mapping = 1\n[header]\n", 'did you mean "headers"'),
        ('mapping = 1\n[headers]\nA = "cutoff.high"', 'did you mean "cutoffs.high"'),
        ('mapping = 1\n[units]\nA = "brr"', '"brr" is no unit'),
        ("mapping = 1\nheaders = 3", "not a table of texts"),
        ("mapping", "map.toml: "),
    ],
)
def test_a_faulty_mapping_is_refused(tmp_path: Path, text: str, words: str) -> None:
    path = tmp_path / "map.toml"
    path.write_text(text, "utf-8")
    with pytest.raises(LimitcheckError) as refused:
        read_mapping(str(path))
    assert words in f"{refused.value.message} {refused.value.advice}"


@pytest.mark.parametrize(
    "header", ["Method;High cutoff (bar)", "Instrument;High cutoff (bar)", "Column;Length (mm)"]
)
def test_a_table_that_names_no_method_or_instrument_is_refused(header: str) -> None:
    with pytest.raises(LimitcheckError) as refused:
        imported(["KB-1;260"], header)
    assert "--map" in refused.value.advice


def test_what_is_not_in_the_table_is_not_invented() -> None:
    found = imported(["KB-1;LC-3;260"], "Method;Instrument;High cutoff (bar)")
    assert tables(found, "kb-1-lc-3.toml")["flow_path"] == [
        {"use": "instruments/lc-3.toml#pump"},
        {"part": "column"},
    ]
    assert tables(found, "instruments/lc-3.toml")["flow_path"] == [{"part": "pump"}]
