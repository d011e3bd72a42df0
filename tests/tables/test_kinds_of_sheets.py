"""What stands in a sheet that cannot give it is used, asked or named as left out."""

from __future__ import annotations

import pytest

from limitcheck.tables.grid import grid_of
from limitcheck.tables.importing import Import, import_grid

from .imports import imported, tables
from .workbooks import workbook

METHODS = [["Method", "Instrument", "Column", "High cutoff"], ["KB-1", "LC-3", "C-12", 280]]
INSTRUMENTS = [["Instrument", "Display", "Max pressure (bar)"], ["LC-3", "bar", 400]]


def read(**sheets: list[list[object]]) -> Import:
    return import_grid(grid_of(workbook(sheets), "t.xlsx"))


@pytest.mark.parametrize("word", ["operating", "working", "normal"])
def test_the_most_that_a_column_works_at_is_its_rating(word: str) -> None:
    columns = [["Column", f"Max {word} pressure (bar)"], ["C-12", 300]]
    found = read(Methods=METHODS, Instruments=INSTRUMENTS, Columns=columns)
    assert not found.questions
    assert tables(found, "columns/c-12.toml")["flow_path"][0]["rating"] == "300 bar"


def test_cutoffs_of_an_instrument_are_named_as_left_out() -> None:
    instruments = [[*INSTRUMENTS[0], "Low cutoff (bar)", "Flow"], ["LC-3", "bar", 400, 20, "1 mL"]]
    found = read(Methods=METHODS, Instruments=instruments)
    told = list(found.not_looked_at())
    assert 'Instruments!D1: "Low cutoff (bar)": a table of instruments gives no' in told[0]
    assert all(column.key != "cutoffs.low" for column in found.reads[1].header.columns)


def test_a_rating_of_which_nothing_says_whose_it_is_is_named_as_left_out() -> None:
    instruments = [[*INSTRUMENTS[0], "Column rating (bar)"], ["LC-3", "bar", 400, 300]]
    found = read(Methods=METHODS, Instruments=instruments)
    assert any("no column says of which column" in text for text in found.not_looked_at())


def test_a_max_operating_pressure_beside_a_method_is_asked_unless_the_least_stands_there() -> None:
    header = "Method;Instrument;Unit;High cutoff;Normal low (bar);Max operating pressure (bar)"
    found = imported(["A;LC-1;bar;350;120;300"], header)
    assert ("F1", "header") in [(one.cell, one.about) for one in found.questions]
    assert not found.ready
    header = header.replace("Normal low", "Min operating pressure")
    found = imported(["A;LC-1;bar;350;120;300"], header)
    assert tables(found, "a-lc-1.toml")["expected"] == {"low": 120, "high": 300}


@pytest.mark.parametrize(
    "header", ["Stop time (min)", "Wavelength range (nm)", "Detection limit", "Run time limit"]
)
def test_a_header_of_another_quantity_is_no_pressure(header: str) -> None:
    found = imported(["A;LC-1;bar;350;30"], f"Method;Instrument;Unit;High cutoff;{header}")
    assert not found.questions
    assert f'E1: "{header}" is no key of a profile' in found.not_looked_at()


@pytest.mark.parametrize("header", ["Stop (min)", "Stop min", "Alarm [min]"])
def test_a_header_that_may_be_of_minutes_is_asked(header: str) -> None:
    found = imported(["A;LC-1;bar;350;30"], f"Method;Instrument;Unit;High cutoff;{header}")
    assert [(one.cell, one.about) for one in found.questions] == [("E1", "header")]
    both = f"Method;Instrument;Unit;{header};{header.replace('min', 'max')}"
    found = imported(["A;LC-1;bar;30;350"], both)
    assert found.ready[0].data["cutoffs"] == {"high": 350, "low": 30}
