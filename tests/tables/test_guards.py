"""What keeps a number from the wrong cell, row or unit: each guard has a table that needs it."""

from __future__ import annotations

from decimal import Decimal

import pytest

from limitcheck.errors import LimitcheckError
from limitcheck.meant import Predicted
from limitcheck.tables.formats import Format, formats_of_styles
from limitcheck.tables.grid import grid_of
from limitcheck.tables.header import Chosen, find_header
from limitcheck.tables.header_text import header_of
from limitcheck.tables.importing import Import, import_grid
from limitcheck.tables.inert import as_meant, inert
from limitcheck.tables.numbers import decided
from limitcheck.tables.remembered import Remembered
from tests.tables.imports import asked, imported, tables
from tests.tables.workbooks import Book, Formatted, workbook

_HEAD = "Method;Instrument;High cutoff (bar)"


def _book(**sheets: object) -> Import:
    return import_grid(grid_of(workbook(sheets), "t.xlsx"))  # type: ignore[arg-type]


def _cutoffs(found: Import) -> list[object]:
    return [one.data.get("cutoffs") for one in found.ready]


# One text in several cells: what is remembered of one is not said of another.


def test_one_text_in_columns_of_two_kinds() -> None:
    header = "Method;Instrument;Revision;High cutoff (bar);Flow (mL/min);Column temperature (°C)"
    found = imported(("K1;LC;30;30;30;30",), header)
    made = found.ready[0].data
    assert made["method"]["revision"] == "30"
    assert made["cutoffs"] == {"high": 30}
    assert made["conditions"] == {"flow": "30 mL/min", "temperature": "30 degC"}


def test_one_text_in_a_column_of_bands_and_one_of_cutoffs() -> None:
    header = "Method;Instrument;Normal (bar);High cutoff (bar);Low cutoff (bar)"
    found = imported(("K1;LC;120-200;120-200;30",), header)
    assert asked(found) == [("D2", "cell")]


def test_one_text_in_rows_of_two_units() -> None:
    found = _book(
        Methods=[
            ["Method", "Instrument", "High cutoff (bar)", "Column"],
            ["K1", "LC", 280, "C-1"],
            ["K2", "LC", 20, "C-2"],
        ],
        Columns=[["Column", "Rating", "Unit"], ["C-1", 400, "bar"], ["C-2", 400, "psi"]],
    )
    assert [tables(found, f"columns/c-{n}.toml")["flow_path"][0]["rating"] for n in (1, 2)] == [
        *("400 bar", "400 psi")
    ]


def test_a_number_and_a_text_of_one_spelling() -> None:
    rows = [["Method", "Instrument", "High cutoff (bar)"], ["K1", "LC", "1,5"]]
    found = _book(Methods=[*rows, ["K2", "LC", 1.234], ["K3", "LC", "1.234"]])
    assert [str(one["high"]) for one in _cutoffs(found)] == ["1.5", "1.234", "1234"]  # type: ignore[index]


def test_one_number_shown_in_two_formats() -> None:
    rows = [["Method", "Instrument", "High cutoff"], ["K1", "LC-1", Formatted(280)]]
    found = _book(Methods=[*rows, ["K2", "LC-2", 280]])
    assert _cutoffs(found) == [{"high": 280}]
    assert [question.instrument for question in found.questions] == ["LC-2"]


def test_a_note_confirmed_in_one_row_is_asked_in_another() -> None:
    from limitcheck.tables.answers import Answer, Answers, key_of

    rows = ("K1;LC;30 (off)", "K2;LC;30 (off)")
    first, second = imported(rows, _HEAD).questions
    answers = Answers({key_of(first): Answer("as it stands", False, first)})
    found = imported(rows, _HEAD, answers)
    assert [question.cell for question in found.questions] == [second.cell]


def test_what_is_predicted_is_remembered_by_the_whole_flow_path_and_its_conditions() -> None:
    header = f"{_HEAD};Flow (mL/min);Temperature (°C);Mobile phase A;Column size;Pump rating (bar)"
    rows = [("150 x 4.6 mm, 5 um", "1.0"), ("150 x 4.6 mm, 3 um", "1.0")]
    lines = [
        f"K{n};LC;280;{flow};35;water;{column};400"
        for n, (column, flow) in enumerate([*rows, ("150 x 4.6 mm, 5 um", "2.0")])
    ]
    shared = Remembered()
    profiles = [one.profile for one in imported(lines, header).ready]
    assert len(profiles) == 3
    assert len({id(profile.flow_path[0]) for profile in profiles if profile}) == 1
    found = [shared.evidence(profile).prediction for profile in profiles if profile]
    assert found == [Predicted.made_by(profile) for profile in profiles if profile]
    assert len(set(found)) == 3


def test_tables_of_one_number_under_two_keys() -> None:
    header = f"{_HEAD};Low cutoff (bar)"
    found = imported(("K1;LC;300;", "K2;LC;;300"), header)
    assert _cutoffs(found) == [{"high": 300}, {"low": 300}]
    highs = [one.profile.cutoffs.high is not None for one in found.ready if one.profile]
    assert highs == [True, False]


# What is open holds back what rests on it.


def test_an_open_row_of_instruments_holds_the_methods_on_it() -> None:
    rows = [["Method", "Instrument", "High cutoff"], ["K1", "LC-1", 280], ["K2", "LC-2", 280]]
    listed = [["Instrument", "Unit", "Pump rating (bar)"], ["LC-1", "bar", "about 400"]]
    found = _book(Methods=rows, Instruments=[*listed, ["LC-2", "bar", 400]])
    assert asked(found) == [("Instruments!C2", "cell")]
    assert [one.record.text("method.id") for one in found.ready] == ["K2"]


def test_revisions_of_a_method_are_two_methods() -> None:
    found = imported(("K1;LC;280;A", "K1;LC;270;B"), f"{_HEAD};Revision")
    assert not found.questions
    assert len(found.ready) == 2
    twice = imported(("K1;LC;280;A", "K1;LC;270;A"), f"{_HEAD};Revision")
    assert not twice.ready


# Merged cells, totals, notes.


def test_only_what_is_merged_downwards_is_filled() -> None:
    rows = [["Method", "Instrument", "High cutoff (bar)"], ["K1", "LC", 280], ["", "LC", 270]]
    down = _book(Methods=Book([*rows[:2], ["", "LC-2", 270]], merged=["A2:A3"]))
    assert [one.record.text("method.id") for one in down.ready] == ["K1", "K1"]
    across = _book(Methods=Book(rows, merged=["A2:B3"]))
    assert not across.ready
    assert {one.cell for one in across.questions} >= {"Methods!A2", "Methods!B2", "Methods!A3"}


def test_the_unit_that_an_instrument_shows_is_not_that_of_its_ratings() -> None:
    header = "Method;Instrument;Unit;High cutoff;Pump rating"
    found = imported(("K1;LC;psi;4000;400",), header)
    assert ("E1", "unit") in asked(found)
    assert not found.ready


@pytest.mark.parametrize("first", ["Total", "Average"])
def test_a_method_that_is_called_total_is_a_method(first: str) -> None:
    found = imported((f"{first} assay;LC;280", "K2;LC;270"), _HEAD)
    assert len(found.ready) == 2
    assert len(imported((f"{first}: 2 methods;;550", "K2;LC;270"), _HEAD).ready) == 1


def test_a_column_with_its_name_alone_is_listed() -> None:
    found = _book(
        Methods=[["Method", "Instrument", "High cutoff (bar)", "Column"], ["K1", "LC", 280, "C-1"]],
        Columns=[["Column", "Rating (bar)"], ["C-1", ""], ["C-2", 400]],
    )
    assert not found.questions
    assert len(found.ready) == 1


def test_percentages_of_which_one_is_large_are_no_shares() -> None:
    found = imported(("K1;LC;280;0.5", "K2;LC;270;18"), f"{_HEAD};% B")
    assert not found.questions


# Headers and units.


def test_one_known_column_is_no_header() -> None:
    grid = grid_of(b"Notes;Method\nabc;def\n", "t.csv", ";")
    assert find_header(grid.sheets[0], Chosen({}, {})) is None


def test_a_header_of_two_rows_reaches_right_only_where_it_is_merged() -> None:
    top = ["", "", "Cutoffs (bar)", "", ""]
    rows = [top, ["Method", "Instrument", "High", "Low", "Analyst"], ["K1", "LC", 280, 30, "M"]]
    merged = _book(Methods=Book(rows, merged=["C1:D1"]))
    assert _cutoffs(merged) == [{"high": 280, "low": 30}]
    assert [q.cell for q in _book(Methods=rows).questions if q.about == "header"] == ["Methods!D2"]


def test_the_header_wins_over_the_title() -> None:
    rows = "All pressures in psi;;\nMethod;Instrument;High cutoff [bar]\nK1;LC;280\n"
    found = import_grid(grid_of(rows.encode(), "t.csv", ";"))
    assert found.joined.instruments["LC"].unit == "bar"


def test_a_title_with_two_units_names_none() -> None:
    rows = "Pressures in bar;pumps in psi;\nMethod;Instrument;High cutoff\nK1;LC;280\n"
    found = import_grid(grid_of(rows.encode(), "t.csv", ";"))
    assert not found.ready


def test_a_sheet_of_bands_alone_lists_methods() -> None:
    found = imported(("K1;LC;120;200",), "ID;Instrument;Normal low (bar);Normal high (bar)")
    assert found.ready[0].data["expected"] == {"low": 120, "high": 200}


def test_a_cutoff_in_two_words() -> None:
    assert header_of("High cut off (bar)").paths == ("cutoffs.high",)
    assert header_of("Low cut-off").paths == ("cutoffs.low",)


def test_two_signs_that_are_sure_decide_nothing_for_a_third() -> None:
    assert decided(["1,5", "2.5", "1.234"]).sign is None
    assert "can be read two ways" in decided(["1,5", "2.5", "1.234"]).why


# Cells.


@pytest.mark.parametrize("word", ["off", "Off", "not set", "disabled", "unlimited", "not given"])
def test_a_cutoff_that_is_off_is_left_out(word: str) -> None:
    found = imported((f"K1;LC;280;{word}",), f"{_HEAD};Low cutoff (bar)")
    assert _cutoffs(found) == [{"high": 280}]


def test_a_flow_without_a_unit_is_asked() -> None:
    (question,) = imported(("K1;LC;280;1.0",), f"{_HEAD};Flow").questions
    assert (question.cell, question.text) == ("D2", '"1.0" has no unit')


def test_a_number_among_dimensions_is_asked() -> None:
    rows = [["Method", "Instrument", "High cutoff (bar)", "Column size"], ["K1", "LC", 280, 150]]
    assert asked(_book(Methods=rows)) == [("Methods!D2", "cell")]


def test_the_unit_of_a_band_in_its_cell_holds_for_both_ends() -> None:
    found = imported(("K1;LC;280;1740-2900 psi",), f"{_HEAD};Normal (bar)")
    assert found.ready[0].data["expected"] == {"low": "1740 psi", "high": "2900 psi"}


# Number formats and inert texts.


def _format(code: str) -> Format | None:
    text = (
        '<styleSheet><numFmts><numFmt numFmtId="164" formatCode="'
        + code.replace('"', "&quot;")
        + '"/></numFmts><cellXfs><xf numFmtId="164"/></cellXfs></styleSheet>'
    )
    from xml.etree import ElementTree

    return formats_of_styles(ElementTree.fromstring(text)).get(0)


@pytest.mark.parametrize("code", ['0" bar";-0" psi"', '0" bar";@', '0" bar"'])
def test_the_unit_is_that_of_the_section_for_positive_numbers(code: str) -> None:
    found = _format(code)
    assert found is not None
    assert (found.unit, found.doubt) == ("bar", "")


def test_a_sign_that_is_no_word_is_no_unit() -> None:
    found = _format('0" #"')
    assert found is None or not found.unit


@pytest.mark.parametrize("text", ["\r=1+1", "\t=1+1", "a\r=1", "=1+1", "@SUM(1)"])
def test_a_text_that_would_run_comes_back(text: str) -> None:
    assert inert(text) != text
    assert as_meant(inert(text)) == text


def test_a_workbook_with_a_document_type_is_refused_in_every_part() -> None:
    from tests.tables.test_hostile_workbooks import _bomb

    with pytest.raises(LimitcheckError, match="document type"):
        grid_of(_bomb("xl/styles.xml", b"<!DOCTYPE a><styleSheet/>"), "t.xlsx")


def quoted(cell: str) -> str:
    doubled = cell.replace('"', '""')
    return f'"{doubled}"'


@pytest.mark.parametrize("decimal", [None, "comma"])
def test_a_fleet_table_has_points_whatever_is_said(decimal: str | None) -> None:
    from limitcheck.checking.carried import PARTS
    from limitcheck.profile.one_line import one_line
    from limitcheck.tables.fleet import WHOLE, rating_heading

    whole = {
        "format": 1,
        "method": {"id": "K1"},
        "instrument": {"id": "LC", "pressure_unit": "MPa"},
        "cutoffs": {"high": Decimal("1.234")},
        "flow_path": [{"part": "pump"}, {"part": "column"}],
    }
    cells = {
        **{"Method": "K1", "Revision": "", "Site": "", "Instrument": "LC", "Shows": "MPa"},
        **{"High cutoff as typed": "1.234 MPa", "Low cutoff as typed": "off"},
        **{WHOLE: one_line(whole)},
        **{"Expected from as typed": "not given", "Expected to as typed": "not given"},
        **{"Nearness to harm": "", "Headroom is": "", "No rating in force": ""},
        **dict.fromkeys(map(rating_heading, PARTS), ""),
    }
    content = f"{';'.join(cells)}\n{';'.join(map(quoted, cells.values()))}\n".encode()
    found = import_grid(grid_of(content, "fleet.csv"), decimal=decimal)  # type: ignore[arg-type]
    assert [str(one["high"]) for one in _cutoffs(found)] == ["1.234"]  # type: ignore[index]


def test_where_no_value_has_most_rows_all_are_asked() -> None:
    header = f"{_HEAD};Pump rating (bar)"
    ratings = (400, 400, 600, 600, 500)
    rows = tuple(f"K{n};LC;280;{rating}" for n, rating in enumerate(ratings))
    assert asked(imported(rows, header)) == [(f"D{n}", "cell") for n in range(2, 7)]
