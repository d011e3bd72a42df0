"""Tables in which not every row is under the first header, or a cell says more than a number."""

from __future__ import annotations

from pathlib import Path

import pytest

from limitcheck.tables.answers import Answers
from limitcheck.tables.grid import grid_of
from limitcheck.tables.importing import Import, import_grid

from .imports import HEADER, ROWS, answered, imported, tables

_IN_MPA = HEADER.replace("bar", "MPa")


def read(*lines: str, delimiter: str = ";", answers: Answers | None = None) -> Import:
    content = "\n".join([*lines, ""]).encode()
    return import_grid(grid_of(content, "t.csv", delimiter), answers=answers)


def told(found: Import) -> dict[str, str]:
    return {question.cell: question.text for question in found.questions}


def test_a_second_header_gives_its_own_units_and_order() -> None:
    swapped = _IN_MPA.replace("High cutoff (MPa);Low", "Low cutoff (MPa);High")
    found = read(HEADER, *ROWS, "", swapped, "KB-3;LC-4;6;28;12;20;40;40")
    assert not found.questions
    assert tables(found, "kb-3-lc-4.toml")["cutoffs"] == {"high": 28, "low": 6}
    made = tables(found, "instruments/lc-4.toml")
    assert made["instrument"]["pressure_unit"] == "MPa"
    assert made["flow_path"][0]["rating"] == "40 MPa"
    assert tables(found, "instruments/lc-3.toml")["instrument"]["pressure_unit"] == "bar"


def test_a_second_header_in_two_rows_is_read_with_the_note_above_it() -> None:
    upper = "Method;Instrument;Cutoffs;;Expected;;Pump rating;Column rating"
    lower = ";;High;Low;Low;High;;"
    lines = [HEADER, *ROWS, "All pressures in MPa", upper, lower, "KB-3;LC-4;28;6;12;20;40;40"]
    found = read(*lines)
    assert not found.questions
    assert tables(found, "kb-3-lc-4.toml")["cutoffs"] == {"high": 28, "low": 6}
    assert tables(found, "instruments/lc-4.toml")["instrument"]["pressure_unit"] == "MPa"


def test_a_list_of_instruments_under_the_methods_is_one() -> None:
    lines = ["Method;Instrument;High cutoff;Low cutoff", "KB-1;LC-3;260;60", "", ""]
    found = read(*lines, "Instrument;Unit;Pump rating (bar)", "LC-3;bar;400")
    assert not found.questions
    assert tables(found, "instruments/lc-3.toml")["flow_path"][0]["rating"] == "400 bar"


def test_rows_under_a_header_that_is_not_known_wait() -> None:
    unknown = "Verfahren;Wo;HPL (MPa);LPL (MPa);von (MPa);bis (MPa);Pumpe (MPa);Rohr (MPa)"
    found = read(HEADER, *ROWS, unknown, "KB-3;LC-4;28;6;12;20;40;40")
    assert {path for path, _ in found.profiles()} == {"kb-1-lc-3.toml", "kb-2-lc-3.toml"}


@pytest.mark.parametrize(("note", "cells"), [("Values below in psi", ["A4"]), ("Room 3", [])])
def test_a_note_that_names_another_unit_keeps_the_rows_below(
    note: str, cells: list[str], tmp_path: Path
) -> None:
    lines = [HEADER, *ROWS, note, "KB-3;LC-4;280;60;120;200;400;400"]
    found = read(*lines)
    assert list(told(found)) == cells
    assert ("kb-3-lc-4.toml" in dict(found.profiles())) is not cells
    if cells:
        found = read(*lines, answers=answered(found, tmp_path, "as it stands"))
    assert "kb-3-lc-4.toml" in dict(found.profiles())


@pytest.mark.parametrize(
    ("cell", "words"),
    [
        ("28 (MPa)", "MPa stands there"),
        ("28 [MPa]", "MPa stands there"),
        ("280 bar (psi)", "psi stands there"),
        ("280 (off)", "may change the number"),
        ("280 (deactivated)", "may change the number"),
        ("280; not used", "may change the number"),
        ("280 (?)", "may change the number"),
    ],
)
@pytest.mark.parametrize("at", [2, 6])
def test_a_word_beside_a_number_that_may_change_it_is_asked(cell: str, words: str, at: int) -> None:
    row = ["KB-3", "LC-4", "280", "60", "120", "200", "400", "400"]
    row[at] = f'"{cell}"'
    found = imported([*ROWS, ";".join(row)])
    assert words in told(found)[f"{'ABCDEFGH'[at]}4"]
    assert "kb-3-lc-4.toml" not in dict(found.profiles())


def test_a_unit_in_brackets_is_the_cells_own_and_a_note_that_is_confirmed_is_kept(
    tmp_path: Path,
) -> None:
    header = "Method;Instrument;High cutoff;Low cutoff"
    found = read(header, "KB-1;LC-3;28 (MPa);3 (MPa)", "KB-2;LC-3;27 [MPa]; 3 MPa (see note)")
    assert not found.questions
    assert tables(found, "instruments/lc-3.toml")["instrument"]["pressure_unit"] == "MPa"
    lines = [HEADER, "KB-1;LC-3;280 (proposed);60;120;200;400;400"]
    found = read(*lines)
    assert list(told(found)) == ["C2"]
    found = read(*lines, answers=answered(found, tmp_path, "as it stands"))
    assert tables(found, "kb-1-lc-3.toml")["cutoffs"] == {"high": 280, "low": 60}


@pytest.mark.parametrize(
    ("header", "row", "cell", "number"),
    [
        ("High cutoff (psi),Low cutoff (psi)", "4,000,430", "E2", "4,000"),
        ("High cutoff (MPa),Low cutoff (MPa),Flow (mL/min)", "28,5,3,1,0", "F2", "28,5"),
        ("High cutoff (psi),Low cutoff (psi),Analyst", "4,000,430,AB", "F2", "4,000"),
    ],
)
def test_a_row_with_a_cell_too_many_is_asked(
    header: str, row: str, cell: str, number: str, tmp_path: Path
) -> None:
    lines = [f"Method,Instrument,{header}", f"KB-1,LC-5,{row}"]
    found = read(*lines, delimiter=",")
    assert f"may be one number, {number}" in told(found)[cell]
    assert not found.ready
    answers = answered(found, tmp_path, *["as it stands"] * len(found.questions))
    assert cell not in told(read(*lines, delimiter=",", answers=answers))


def test_a_text_beyond_the_last_header_is_left_out_and_said() -> None:
    found = read(HEADER, ROWS[0] + ";binder 4", ROWS[1])
    assert not found.questions
    assert 'I2: "binder 4" has no header' in found.not_looked_at()


@pytest.mark.parametrize(
    "title", ["Pressures are NOT in psi", "Since 2024 in bar, before in psi", "Not all is in psi"]
)
def test_a_title_that_says_less_than_a_unit_gives_none(title: str) -> None:
    header = "Method;Instrument;High cutoff;Low cutoff;Pump rating"
    found = read(title, header, "KB-1;LC-3;280;30;400", "KB-2;LC-3;270;30;400")
    assert told(found)
    assert not found.ready
