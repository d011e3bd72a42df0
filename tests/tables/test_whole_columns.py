"""What is decided of a whole column, asked once, and answered once."""

from __future__ import annotations

from pathlib import Path

import pytest

from limitcheck.errors import Refused
from limitcheck.tables.grid import grid_of
from limitcheck.tables.importing import Import, import_grid
from tests.tables.imports import answered, asked, imported
from tests.tables.workbooks import workbook

_HEADER = "Method;Instrument;High cutoff (bar);Low cutoff (bar);Normal pressure (bar)"
_ROWS = ("KB-1;LC-3;280;30;150", "KB-2;LC-3;260;30;120-180", "KB-3;LC-3;290;30;160")


def _bands(found: Import) -> list[object]:
    return [one.data.get("expected") for one in found.ready]


def test_one_usual_pressure_is_asked_once_and_bands_beside_it_go_on() -> None:
    found = imported(_ROWS, _HEADER)
    assert asked(found) == [("E1", "around")]
    assert _bands(found) == [{"low": 120, "high": 180}]


@pytest.mark.parametrize(
    ("answer", "bands"),
    [
        ("10 %", [("135", "165"), ("120", "180"), ("144", "176")]),
        ("± 15 bar", [("135", "165"), ("120", "180"), ("145", "175")]),
        ("+/- 12.5%", [("131.25", "168.75"), ("120", "180"), ("140", "180")]),
    ],
)
def test_how_far_around_is_normal_makes_the_band(
    tmp_path: Path, answer: str, bands: list[tuple[str, str]]
) -> None:
    answers = answered(imported(_ROWS, _HEADER), tmp_path, answer)
    found = imported(_ROWS, _HEADER, answers)
    assert not found.questions
    told = [one.data["expected"] for one in found.ready]
    assert [(str(band["low"]), str(band["high"])) for band in told] == bands
    text = dict(found.profiles())["kb-1-lc-3.toml"]
    assert "# E2: 150 bar, and" in text


def test_single_pressures_left_out_leave_the_rows_without_a_band(tmp_path: Path) -> None:
    answers = answered(imported(_ROWS, _HEADER), tmp_path, "leave out")
    found = imported(_ROWS, _HEADER, answers)
    assert not found.questions
    assert _bands(found) == [None, {"low": 120, "high": 180}, None]


@pytest.mark.parametrize("answer", ["15", "0 %", "100 %", "1.5 MPa", "-10 %", "some"])
def test_an_answer_that_is_no_width_is_refused(tmp_path: Path, answer: str) -> None:
    answers = answered(imported(_ROWS, _HEADER), tmp_path, answer)
    with pytest.raises(Refused):
        imported(_ROWS, _HEADER, answers)


def test_a_width_that_reaches_no_pressure_is_asked_of_its_cell(tmp_path: Path) -> None:
    answers = answered(imported(_ROWS, _HEADER), tmp_path, "152 bar")
    found = imported(_ROWS, _HEADER, answers)
    question = next(q for q in found.questions if q.cell == "E2")
    assert question.text == "152 bar around 150 reaches down to no pressure"
    assert not any(one.record.text("method.id") == "KB-1" for one in found.ready)


def test_two_numbers_with_a_space_are_not_one_pressure() -> None:
    assert asked(imported(("KB-1;LC-3;280;30;120 200",), _HEADER)) == [("E2", "cell")]


@pytest.mark.parametrize("band", ["from 120 to 200", "120 à 200", "von 120 bis 200", "120 … 200"])
def test_bands_as_they_are_written(band: str) -> None:
    found = imported((f"KB-1;LC-3;280;30;{band}",), _HEADER)
    assert _bands(found) == [{"low": 120, "high": 200}]


_PSI = "Method;Instrument;High cutoff (psi);Normal low (psi);Normal high (psi);Pump rating (psi)"


def _psi_rows(*cutoffs: str) -> list[str]:
    return [f"K{n};LC;{cutoff};1700;2800;5800" for n, cutoff in enumerate(cutoffs)]


def test_a_decimal_sign_that_one_cell_decides_is_asked_where_rows_contradict_it(
    tmp_path: Path,
) -> None:
    rows = _psi_rows("4.061", "3.900", "3.800", "28.5", "3.950")
    found = imported(rows, _PSI)
    assert asked(found) == [("C1", "decimal sign"), ("C5", "cell")]
    assert not found.ready
    answers = answered(found, tmp_path, "comma", "")
    told = imported(rows, _PSI, answers)
    assert asked(told) == [("C5", "cell")]
    highs = [str(one.data["cutoffs"]["high"]) for one in told.ready]
    assert highs == ["4061", "3900", "3800", "3950"]


def test_an_answered_decimal_sign_is_not_asked_again(tmp_path: Path) -> None:
    rows = _psi_rows("4.061", "3.900", "3.800", "28.5")
    answers = answered(imported(rows, _PSI), tmp_path, "point", "")
    told = imported(rows, _PSI, answers)
    assert {("C2", "cell"), ("C3", "cell"), ("C4", "cell")} <= set(asked(told))
    assert {about for _, about in asked(told)} == {"cell"}


def test_an_answer_has_the_decimal_sign_that_was_answered_for_its_column(tmp_path: Path) -> None:
    rows = _psi_rows("4.061", "3.900", "3.800", "28.5")
    first = imported(rows, _PSI)
    answers = answered(first, tmp_path, "comma", "4.010")
    found = imported(rows, _PSI, answers)
    assert not found.questions
    highs = [str(one.data["cutoffs"]["high"]) for one in found.ready]
    assert highs == ["4061", "3900", "3800", "4010"]


def test_a_decimal_sign_that_most_rows_bear_out_is_not_asked() -> None:
    fits = [f"K{n};LC;{3 + n / 100:.3f};1.700;2.300;5.800" for n in range(10, 20)]
    slips = [f"S{n};LC;{1 + n / 1000:.3f};1.700;2.300;5.800" for n in range(1, 4)]
    header = _PSI.replace("psi", "MPa")
    found = imported([*fits, "K0;LC;3.5;1.75;2.3;5.75", *slips], header)
    assert not any(about == "decimal sign" for _, about in asked(found))
    assert any(about == "cell" for _, about in asked(found))


def test_cells_that_can_be_read_one_way_are_asked_each() -> None:
    rows = _psi_rows("28.5", "27.5", "26.5")
    assert {about for _, about in asked(imported(rows, _PSI))} == {"cell"}


@pytest.mark.parametrize(
    ("cell", "told"),
    [
        ("200-120", "has its highest pressure before its lowest"),
        ("2026-03-05", "is a date"),
        ("05.03.2026", "is a date"),
        ("1.5e2", "has an exponent"),
    ],
)
def test_what_is_said_of_a_cell_that_is_no_pressure(cell: str, told: str) -> None:
    found = imported((f"KB-1;LC-3;280;30;{cell}",), _HEADER)
    assert [one.cell for one in found.questions] == ["E2"]
    assert told in found.questions[0].text


def test_what_a_band_in_another_unit_probably_was() -> None:
    rows = ("K1;LC;280;30;120 - 200 psi", "K2;LC;280;30;120-200")
    asked_of_band = [q.meant for q in imported(rows, _HEADER).questions if q.cell == "E2"]
    assert asked_of_band == ["120-200 bar"]


def test_an_option_that_changes_nothing_is_told() -> None:
    rows = [["Method", "Instrument", "High cutoff (bar)"], ["M1", "LC-1", 280]]
    grid = grid_of(workbook({"Methods": rows}), "t.xlsx", ";")
    told = import_grid(grid, decimal="comma").grid.remarks
    assert "Delimiter ';': it separates nothing in a workbook." in told
    assert "Decimal comma: no column needs it; its own cells decide each." in told
    assert not import_grid(grid_of(workbook({"Methods": rows}), "t.xlsx")).grid.remarks


def test_a_decimal_sign_that_is_needed_is_not_told() -> None:
    grid = grid_of(b"Method;Instrument;High cutoff (psi)\nM1;LC-1;4.061\n", "t.csv", ";")
    found = import_grid(grid, decimal="comma")
    assert not any("Decimal" in told for told in found.grid.remarks)
    assert found.ready[0].data["cutoffs"] == {"high": 4061}
