"""One thing said in one cell and in several, or in two units: taken where it is one, else asked."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.tables.imports import answered, asked, imported, tables

_BAND = "Method;Instrument;High cutoff (bar);Low cutoff (bar)"
_RATED = "Column;Column rating (bar);Pump rating (bar)"


@pytest.mark.parametrize(
    ("header", "cells", "place"),
    [
        ("Normal low (bar);Normal high (bar);Normal range (bar)", "120;180;100-200", "G2"),
        ("Normal range (bar);Normal low (bar);Normal high (bar)", "100-200;120;180", "E2"),
        ("Working pressure (bar);Normal low (bar);Normal high (bar)", "100-240;120;180", "E2"),
        ("Normal range (bar);Normal high (bar)", "100-200;180", "E2"),
        ("Column size;Column length (mm)", "150 x 4.6 mm, 5 um;250", "E2"),
        ("Column ID (mm);Column size", "2.1;150 x 4.6 mm, 5 um", "F2"),
        ("Column size;Particle size (um)", "150 x 4.6 mm, 5 um;3", "E2"),
    ],
)
def test_one_cell_that_several_contradict_is_asked(header: str, cells: str, place: str) -> None:
    found = imported((f"KB-0;LC-3;250;40;{cells};C-12;400;600",), f"{_BAND};{header};{_RATED}")
    assert asked(found) == [(place, "cell")]
    assert not found.ready


@pytest.mark.parametrize(
    ("header", "cells"),
    [
        ("Normal low (bar);Normal high (MPa);Normal range (bar)", "120;18;120-180"),
        ("Normal low (bar);Normal range (bar)", "120.0;120-180"),
        ("Column size;Column length (cm);Particle size (um)", "150 x 4.6 mm, 5 um;15;5"),
        ("Column size;Particle size (um)", "150 x 4.6 mm;5"),
    ],
)
def test_what_agrees_is_taken(header: str, cells: str) -> None:
    found = imported((f"KB-0;LC-3;250;40;{cells};C-12;400;600",), f"{_BAND};{header};{_RATED}")
    assert not found.questions
    assert len(found.ready) == 1


@pytest.mark.parametrize(
    ("answer", "band"),
    [
        ("as it stands", {"low": 100, "high": 200}),
        ("leave out", {"low": 120, "high": 180}),
        ("120-180", {"low": 120, "high": 180}),
    ],
)
def test_the_answer_decides(answer: str, band: dict[str, int], tmp_path: Path) -> None:
    header = f"{_BAND};Normal low (bar);Normal high (bar);Normal range (bar);{_RATED}"
    rows = ("KB-0;LC-3;250;40;120;180;100-200;C-12;400;600",)
    answers = answered(imported(rows, header), tmp_path, answer)
    (ready,) = imported(rows, header, answers).ready
    assert ready.data["expected"] == band


def test_the_size_that_is_confirmed_is_written(tmp_path: Path) -> None:
    header = f"{_BAND};Column size;Column length (mm);{_RATED}"
    rows = ('KB-0;LC-3;250;40;"150 x 4.6 mm, 5 um";250;C-12;400;600',)
    found = imported(rows, header, answered(imported(rows, header), tmp_path, "as it stands"))
    (column,) = tables(found, "columns/c-12.toml")["flow_path"]
    assert column["length"] == "150 mm"


@pytest.mark.parametrize(
    ("one", "other", "cells"),
    [
        ("Solvent A", "Eluent A", "water;methanol"),
        ("Solvent A", "Mobile phase A", "A1;water"),
        ("Chemistry", "Column chemistry", "C18;C8"),
    ],
)
def test_two_matters_are_asked(one: str, other: str, cells: str) -> None:
    found = imported((f"KB-0;LC-3;250;40;{cells};C;400;600",), f"{_BAND};{one};{other};{_RATED}")
    assert asked(found) == [("E1", "header"), ("F1", "header")]
    same = cells.partition(";")[0]
    rows = (f"KB-0;LC-3;250;40;{same};{same};C;400;600",)
    assert not imported(rows, f"{_BAND};{one};{other};{_RATED}").questions


@pytest.mark.parametrize(
    ("header", "key", "high"),
    [
        ("Old high cutoff (psi)", "cutoffs.high", "3600"),
        ("Site high cutoff (MPa)", "cutoffs.high", "25"),
        ("Site pressure limit [psi]", "cutoffs.high", "3600"),
    ],
)
def test_a_header_that_was_asked_keeps_its_unit(
    header: str, key: str, high: str, tmp_path: Path
) -> None:
    whole = f"Method;Instrument;{header};Low cutoff (bar);{_RATED}"
    rows = (f"KB-0;LC-3;{high};40;C-12;400;600",)
    found = imported(rows, whole)
    assert asked(found) == [("C1", "header")]
    again = imported(rows, whole, answered(found, tmp_path, key))
    (column,) = [c for c in again.reads[0].header.columns if c.key == key]
    assert column.unit == header.rstrip(")]").rpartition(" ")[2][1:]
    assert [(one.about, "stand in" in one.text) for one in again.questions] == [("cell", True)] or (
        [one.about for one in again.questions] == ["unit"]
    )


def test_a_unit_that_may_be_misspelt_is_asked_when_the_key_is_answered(tmp_path: Path) -> None:
    header = f"{_BAND.replace('High cutoff (bar)', 'Old high cutoff (mPa)')};{_RATED}"
    rows = ("KB-0;LC;25;40;C;400;600",)
    again = imported(rows, header, answered(imported(rows, header), tmp_path, "cutoffs.high"))
    assert ("C1", "unit") in asked(again)


@pytest.mark.parametrize(
    "header",
    [
        *("Old guard column rating (bar)", "Rating (bar)", "Injection valve rating"),
        *("PEEK tubing rating", "Detector flow cell rating", "Outlet fitting rating"),
        *("Weakest part rating", "Tubing rating (bar) at 25 C"),
    ],
)
def test_a_rating_of_an_unknown_word_is_asked(header: str) -> None:
    found = imported(("KB-0;LC-3;250;40;C-12;400;600;200",), f"{_BAND};{_RATED};{header}")
    assert asked(found) == [("H1", "header")]
    assert not found.ready


def test_a_rating_without_numbers_is_none() -> None:
    found = imported(("KB-0;LC-3;250;40;C-12;400;600;good",), f"{_BAND};{_RATED};Supplier rating")
    assert not found.questions


def test_a_limit_of_a_part_is_its_rating() -> None:
    rows = ("KB-0;LC-3;250;40;C-12;400;600;500;100",)
    found = imported(rows, f"{_BAND};{_RATED};Tubing limit (bar);Cell limit (bar)")
    assert not found.questions
    parts = tables(found, "instruments/lc-3.toml")["flow_path"]
    assert [part.get("rating") for part in parts] == ["600 bar", "500 bar", "100 bar"]
