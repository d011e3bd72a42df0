"""Rows to profiles: what is written, and that nothing is invented."""

from __future__ import annotations

import pytest

from limitcheck.errors import LimitcheckError
from limitcheck.tables.grid import grid_of
from limitcheck.tables.importing import import_grid

from .imports import imported, tables
from .workbooks import workbook


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
