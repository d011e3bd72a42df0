"""What a person sees in a cell is what is read, or it is asked: number formats of workbooks.

What each format shows is worked out by hand from ECMA-376 part 1, 18.8.30 and 18.8.31.
"""

from __future__ import annotations

import io
from datetime import date

import pytest
from openpyxl import Workbook

from limitcheck.tables.grid import grid_of
from limitcheck.tables.importing import Import, import_grid

HEADER = ["Method", "Instrument", "High cutoff (bar)", "Pump rating (bar)"]
GRADIENT = ["Method", "Instrument", "High cutoff (bar)", "% B", "Solvent A", "Solvent B"]


def read(header: list[str], rows: list[list[object]], formats: dict[str, str]) -> Import:
    book = Workbook()
    sheet = book.active
    assert sheet is not None
    for line in (header, *rows):
        sheet.append(line)
    for cell, code in formats.items():
        sheet[cell].number_format = code
    file = io.BytesIO()
    book.save(file)
    return import_grid(grid_of(file.getvalue(), "t.xlsx"))


def percent(stored: float, code: str) -> tuple[list[str], list[str]]:
    """Percent B of the profile, and what is asked, of one number in a format."""
    found = read(GRADIENT, [["KB-1", "LC-3", 280, stored, "water", "acetonitrile"]], {"D2": code})
    given = [str(one.data["conditions"]["percent_b"]) for one in found.ready]
    return given, [q.text for q in found.questions]


@pytest.mark.parametrize(
    ("stored", "code", "shown"),
    [
        (0.2, "0%", "20"),
        (0.205, "0.0%", "20.5"),
        (0.05, "0.00%", "5"),
        (0.2, '0 "%"', None),  # shows 0 %
        (20, '0 "%"', "20"),
        (0.2, "0\\ %", "20"),
        (0.333333, "0%", None),  # shows 33 %
        (20, "0%", None),  # shows 2000 %
        (1, "0%", "100"),
        (0.2, '0.0" % B"', None),
        (20, "0.0", "20"),
        (0.2, "0.0", None),
    ],
)
def test_a_share_shown_as_a_percentage(stored: float, code: str, shown: str | None) -> None:
    given, asked = percent(stored, code)
    assert given == ([] if shown is None else [shown])
    assert bool(asked) == (shown is None)


def test_a_bare_share_beside_percentages_is_asked() -> None:
    rows: list[list[object]] = [
        [f"KB-{n}", "LC-3", 280, share, "water", "acetonitrile"]
        for n, share in enumerate((0.2, 0.35, 0.3))
    ]
    found = read(GRADIENT, rows, {"D2": "0%", "D3": "0%"})
    assert [q.cell for q in found.questions] == ["Sheet!D4"]
    assert [str(one.data["conditions"]["percent_b"]) for one in found.ready] == ["20", "35"]


@pytest.mark.parametrize(
    ("stored", "code", "shown"),
    [
        (280, '# ##0,0 "psi"', None),  # a comma that is none between thousands
        (280, '0.0" bar"', "280"),
        (280.04, '0.0" bar"', "280"),
        (280, '0.0" MPa"', None),  # bar stands in the header
        (280, "[$-407]0.00", "280"),
        (280, "[$-407]#,##0.0", "280"),
        (280, "[$bar] 0", None),  # a word before the number
        (280000, "0,", None),  # shows 280
        (280, "#,##0,", None),  # shows 0
        (280, "0%", None),  # shows 28000 %
        (280, "yyyy-mm-dd", None),
        (280, "0.00E+00", "280"),
        (284, "0E+00", None),  # shows 3E+02
        (280, "##0.0E+0", "280"),
        (280, "# ?/?", "280"),
        (280.25, "# ?/?", None),  # shows 280 1/4
        (280, "@", "280"),
        (280, '"<"0', None),
        (280, '"~ "0', None),
        (280, "+0;-0", "280"),
        (280, '0"?"', None),
        (280, '0" ±5"', None),
        (280, "#,##0_);(#,##0)", "280"),
        (280, '_-* #,##0_-;-* #,##0_-;_-* "-"??_-;_-@_-', "280"),
        (280, '0;-0;"off"', "280"),
        (280, "[Red]0", "280"),
        (280, "[>300]0;[Red]0", "280"),
        (280, "0 bar", None),  # letters of a date, without quotation marks
        (280, "hh:mm", None),
        (280, ";;;", None),
    ],
)
def test_what_a_format_shows_of_a_cutoff(stored: float, code: str, shown: str | None) -> None:
    found = read(HEADER, [["KB-1", "LC-3", stored, 400]], {"C2": code})
    given = [str(one.data["cutoffs"]["high"]) for one in found.ready]
    assert given == ([] if shown is None else [shown])
    assert [q.cell for q in found.questions] == ([] if shown else ["Sheet!C2"])


@pytest.mark.parametrize("code", ['0;-0;"not read"', "#,##0;-#,##0;", "#,###", "#"])
def test_a_zero_that_is_not_shown_is_asked(code: str) -> None:
    header = ["Method", "Instrument", "High cutoff (bar)", "Low cutoff (bar)"]
    found = read(header, [["KB-1", "LC-3", 280, 0]], {"D2": code})
    assert [q.cell for q in found.questions] == ["Sheet!D2"]
    shown = read(header, [["KB-1", "LC-3", 280, 0]], {"D2": "0;-0;0"})
    assert [one.data["cutoffs"] for one in shown.ready] == [{"high": 280, "low": 0}]


def test_a_date_in_a_column_of_numbers_is_asked() -> None:
    found = read(HEADER, [["KB-1", "LC-3", date(2026, 11, 27), 400]], {})
    assert [q.cell for q in found.questions] == ["Sheet!C2"]


def test_a_number_that_is_stored_as_text_is_read_as_text() -> None:
    found = read(HEADER, [["KB-1", "LC-3", "280", 400]], {"C2": "@"})
    assert [one.data["cutoffs"] for one in found.ready] == [{"high": 280}]
