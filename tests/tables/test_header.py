"""What a header says: keys and units by the trade's words, nothing guessed."""

from __future__ import annotations

import pytest

from limitcheck.tables.columns import unit_problem
from limitcheck.tables.grid import grid_of
from limitcheck.tables.header import Chosen, Header, find_header
from limitcheck.tables.header_text import header_of
from limitcheck.tables.importing import import_grid
from limitcheck.tables.words import KEYS

from .workbooks import Book, workbook

NOTHING = Chosen({}, {})


def header(text: str, chosen: Chosen = NOTHING) -> Header:
    found = find_header(grid_of(text.encode(), "t.csv", ";").sheets[0], chosen)
    assert found is not None
    return found


def keys(found: Header) -> dict[str, str | None]:
    return {column.text: column.key for column in found.columns}


@pytest.mark.parametrize(
    ("text", "paths", "unit"),
    [
        ("High cut-off (bar)", ("cutoffs.high",), "bar"),
        ("Upper pressure limit, psi", ("cutoffs.high",), "psi"),
        ("Pressure limit max. in MPa", ("cutoffs.high",), "MPa"),
        ("low_cutoff_bar", ("cutoffs.low",), "bar"),
        ("Min. pressure limit [kPa]", ("cutoffs.low",), "kPa"),
        ("Flow rate (mL/min)", ("conditions.flow",), "mL/min"),
        ("Column i.d. (mm)", ("column.bore",), "mm"),
        ("% B", ("conditions.percent_b",), ""),
        ("Oven temp. (°C)", ("conditions.temperature",), "°C"),
        ("Particle size [µm]", ("column.particle_size",), "µm"),
        ("Mobile phase A", ("conditions.solvent_a",), ""),
        ("Column rating", ("column.rating",), ""),
        ("High cutoff as of 2019", (), ""),
        ("Analyst", (), ""),
        ("Pressure", (), ""),
    ],
)
def test_words_of_the_trade(text: str, paths: tuple[str, ...], unit: str) -> None:
    assert header_of(text) == (paths, unit)


def test_no_two_keys_share_a_name_but_those_that_are_asked() -> None:
    shared = {
        frozenset(name): [key.path for key in KEYS.values() if name in key.names]
        for key in KEYS.values()
        for name in key.names
        if sum(name in other.names for other in KEYS.values()) > 1
    }
    assert shared == {
        frozenset({"column", "id"}): ["column.label", "column.bore"],
        frozenset({"max", "operating"}): ["expected.high", "pump.rating", "column.rating"],
    }


def test_a_header_of_two_rows_is_put_together() -> None:
    found = header("Register;;;;\nMethod;Cutoffs (bar);;Expected;\n;High;Low;Low;High\nA;4;1;2;3\n")
    assert (found.first, found.last) == (1, 2)
    assert [column.key for column in found.columns] == [
        *("method.id", "cutoffs.high", "cutoffs.low", "expected.low", "expected.high")
    ]
    assert [column.unit for column in found.columns] == ["", "bar", "bar", "", ""]


def test_a_merged_header_reaches_as_far_as_the_file_says() -> None:
    rows = [["Method", "Cutoffs", "", "Site"], ["", "High", "Low", ""], ["A", 400, 20, "KB"]]
    book = Book(rows, merged=["B1:C1", "A1:A2", "D1:D2"])
    found = find_header(grid_of(workbook({"Methods": book}), "t.xlsx").sheets[0], NOTHING)
    assert found is not None
    assert [c.key for c in found.columns] == [
        *("method.id", "cutoffs.high", "cutoffs.low", "method.site")
    ]


def test_a_second_row_of_units() -> None:
    found = header("Method;High cutoff;Flow\n;bar;mL/min\nA;400;1\n")
    assert [(c.key, c.unit) for c in found.columns][1:] == [
        ("cutoffs.high", "bar"),
        ("conditions.flow", "mL/min"),
    ]
    assert found.last == 1


def test_a_unit_only_in_the_title_is_that_of_pressures() -> None:
    found = header("Pressure cutoffs, all in psi;;\nMethod;High cutoff;Flow\nA;5800;1\n")
    assert [(c.unit, c.unit_from) for c in found.columns] == [
        *(("", ""), ("psi", "the title"), ("", ""))
    ]


def test_what_may_be_two_keys_is_asked_and_the_unknown_left_out() -> None:
    found = header("Method;Instrument;Max pressure;Analyst\nA;L;400;N. N.\n")
    asked, left = found.columns[2:]
    assert asked.key is None
    assert set(asked.paths) == {"cutoffs.high", "expected.high"}
    assert (left.key, left.paths) == (None, ())


def test_a_column_id_is_what_its_cells_allow() -> None:
    named = header("Method;Column ID;High cutoff\nA;KB-C-12;400\n")
    bored = header("Method;Column ID;High cutoff\nA;4.6 mm;400\n")
    asked = header("Method;Column ID;High cutoff\nA;12;400\n")
    assert keys(named)["Column ID"] == "column.label"
    assert keys(bored)["Column ID"] == "column.bore"
    assert asked.columns[1].paths


def test_two_columns_of_one_key_are_both_asked() -> None:
    found = header("Method;High cutoff (bar);Upper limit (psi)\nA;400;5800\n")
    assert [c.key for c in found.columns] == ["method.id", None, None]
    assert found.columns[1].paths == ("cutoffs.high",)


def test_a_mapping_says_what_a_header_is() -> None:
    chosen = Chosen({"pmax": "cutoffs.high", "rev": "leave out"}, {"pmax": "MPa"})
    found = header("Method;Pmax;Rev\nA;40;B\n", chosen)
    assert [c.key for c in found.columns] == ["method.id", "cutoffs.high", None]
    assert found.columns[1].unit == "MPa"


def test_a_unit_that_is_refused_is_told() -> None:
    found = header("Method;High cutoff (mPa)\nA;40\n")
    problem = unit_problem(found.columns[1])
    assert problem is not None
    assert "millipascal" in problem.message


@pytest.mark.parametrize(
    ("header_row", "kind"),
    [
        ("Instrument;Pressure unit;Rating", "instruments"),
        ("Column;Length (mm);Rating (bar)", "columns"),
        ("Method;Instrument;High limit", "methods"),
    ],
)
def test_what_a_sheet_lists(header_row: str, kind: str) -> None:
    found = header(f"{header_row}\nA;bar;1\n")
    assert found.kind == kind
    assert all(column.key for column in found.columns)


@pytest.mark.parametrize("name", ["Column", "System"])
def test_a_pressure_of_a_column_is_no_name(name: str) -> None:
    text = f"Method;Instrument;High cutoff (bar);{name} pressure (bar)\nKB-1;LC-3;260;155\n"
    found = import_grid(grid_of(text.encode(), "t.csv", ";"))
    assert [(q.cell, q.about) for q in found.questions] == [("D1", "header")]
    assert not found.ready
