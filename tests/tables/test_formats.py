"""Units in number formats: what the cell shows is what was meant."""

from __future__ import annotations

from limitcheck.tables.grid import grid_of
from limitcheck.tables.importing import Import, import_grid

from .workbooks import Formatted, workbook

HEADER = ["Method", "Instrument", "Pressure unit", "High cutoff", "Low cutoff"]


def imported(*rows: list[object]) -> Import:
    return import_grid(grid_of(workbook({"Methods": [HEADER, *rows]}), "t.xlsx"))


def test_a_number_is_in_the_unit_that_its_format_writes() -> None:
    found = imported(["A", "LC-1", "", Formatted(3626), Formatted(435)])
    assert not found.questions
    assert found.ready[0].whole["instrument"]["pressure_unit"] == "psi"
    assert found.ready[0].data["cutoffs"] == {"high": 3626, "low": 435}


def test_a_format_in_another_unit_than_the_instrument_shows_is_asked() -> None:
    found = imported(["A", "LC-1", "bar", Formatted(250), 30])
    assert [one.cell for one in found.questions] == ["Methods!D2"]
    assert "shows bar" in found.questions[0].text
    assert not found.ready


def test_a_number_with_three_decimals_is_no_thousands() -> None:
    found = imported(["A", "LC-1", "psi", Formatted(12.345), 1])
    assert str(found.ready[0].data["cutoffs"]["high"]) == "12.345"
