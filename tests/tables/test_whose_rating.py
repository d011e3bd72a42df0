"""Every rating is put to the part it is said of, or it is asked: never assumed the pump's."""

from __future__ import annotations

import pytest

from limitcheck.tables.grid import grid_of
from limitcheck.tables.importing import Import, import_grid

from .workbooks import Book, workbook

METHODS = [["Method", "Instrument", "High cutoff (bar)"], ["A", "LC-1", 250]]


def imported(text: str) -> Import:
    return import_grid(grid_of(text.encode(), "table.csv", ";"))


def of_sheets(name: str, rows: list[list]) -> Import:
    books = {"Methods": Book(METHODS), name: Book(rows)}
    return import_grid(grid_of(workbook(books), "t.xlsx"))


def headers_asked(found: Import) -> list[str]:
    asked = (q.cell for q in found.questions if q.about == "header")
    return [cell.rpartition("!")[2] for cell in asked]


def ratings(found: Import) -> dict[str, str]:
    return {
        path: str(given.value[0])
        for read in found.reads
        for record in read.records
        for path, given in record.given.items()
        if path.endswith(".rating")
    }


@pytest.mark.parametrize("header", ["Part", "Component", "Module", "Limiting part", "Limited by"])
@pytest.mark.parametrize("over", ["Rating (bar)", "Max. pressure (bar)"])
def test_a_part_and_its_rating_in_each_row(header: str, over: str) -> None:
    rows = [["Instrument", header, over], ["LC-1", "Detector cell", 300]]
    found = of_sheets("Instruments", rows)
    (question,) = (q for q in found.questions if q.about == "header")
    assert headers_asked(found) == ["C1"]
    assert "detector cell.rating" in question.text
    assert not ratings(found)
    assert not found.ready


def test_parts_under_a_header_that_is_not_known() -> None:
    rows = [
        ["Instrument", "What", "Rating (bar)"],
        ["LC-1", "pump", 600],
        ["LC-1", "fittings", 350],
    ]
    found = of_sheets("Instruments", rows)
    assert headers_asked(found) == ["C1"]
    assert not ratings(found)


@pytest.mark.parametrize("name", ["Detectors", "Fittings", "Capillaries", "Detector cells"])
def test_a_sheet_of_parts(name: str) -> None:
    found = of_sheets(name, [["Instrument", "Serial no.", "Rating (bar)"], ["LC-1", "D7", 300]])
    assert headers_asked(found) == ["C1"]
    assert not ratings(found)


def test_a_title_that_names_parts() -> None:
    rows = [["Ratings of the detector cells"], ["Instrument", "Rating (bar)"], ["LC-1", 300]]
    found = of_sheets("Instruments", rows)
    assert headers_asked(found) == ["B2"]
    assert not ratings(found)


@pytest.mark.parametrize(
    "rows",
    [
        [["Instrument", "Rating (bar)"], ["LC-1", 600]],
        [["Instrument", "Pump", "Rating (bar)"], ["LC-1", "Binary pump", 600]],
        [["Instrument", "Detector", "Rating (bar)"], ["LC-1", "UV detector", 600]],
        [["Instrument", "Module", "Rating (bar)"], ["LC-1", "Pump", 600]],
    ],
)
def test_the_rating_of_an_instrument_is_its_pump_s(rows: list[list]) -> None:
    found = of_sheets("Instruments", rows)
    assert ratings(found) == {"pump.rating": "600"}
    assert found.ready


@pytest.mark.parametrize(
    "cell",
    [
        *("400 bar (column)", "350 bar (fittings)", "400 (column), 600 (pump)", "400 [column]"),
        *("column 400, fittings 350, pump 600", "400 / 350 / 600", "600 (column 400)"),
        *("400 bar column", "600 pump", "400 (oven)", "600 (min)", "400 (cell)"),
    ],
)
def test_parts_in_the_cell_of_a_pump_s_rating(cell: str) -> None:
    table = "Method;Instrument;High cutoff (bar);Pump rating (bar)"
    found = imported(f"{table}\nA;LC-1;250;{cell}\n")
    assert [q.cell for q in found.questions] == ["D2"]
    assert not ratings(found)
    assert not found.ready


@pytest.mark.parametrize(
    ("header", "cell"),
    [
        ("High cutoff (bar)", "20 (low)"),
        ("High cutoff (bar)", "400 (rating)"),
        ("Low cutoff (bar)", "250 (max)"),
        ("Flow (mL/min)", "1.0 (initial)"),
        ("Flow (mL/min)", "0.2 (end)"),
        ("% B", "40 (start)"),
        ("Expected high (bar)", "180 (limit)"),
        ("Column rating (bar)", "400 (pump)"),
    ],
)
def test_a_note_that_says_another_key_is_asked(header: str, cell: str) -> None:
    found = imported(f"Method;Instrument;Unit;{header}\nA;LC-1;bar;{cell}\n")
    assert "D2" in {q.cell for q in found.questions}
    assert not found.ready


@pytest.mark.parametrize(
    ("header", "cell"),
    [
        ("High cutoff (bar)", "250 (max)"),
        ("High cutoff (bar)", "250 (pump)"),
        ("Temperature (°C)", "40 (oven)"),
        ("Pump rating (bar)", "600 (rated)"),
        ("% B", "40 (isocratic)"),
    ],
)
def test_a_note_that_says_the_same_is_none(header: str, cell: str) -> None:
    found = imported(f"Method;Instrument;Unit;{header}\nA;LC-1;bar;{cell}\n")
    assert not [q for q in found.questions if q.cell == "D2"]


@pytest.mark.parametrize(
    "header",
    ["Ratings of parts (bar)", "Weakest rating (bar)", "Max. pressure of pump and column (bar)"],
)
def test_a_header_over_the_ratings_of_several_parts_is_asked(header: str) -> None:
    found = imported(f"Method;Instrument;High cutoff (bar);{header}\nA;LC-1;250;400\n")
    assert [q.cell for q in found.questions] == ["D1"]
    assert not ratings(found)
