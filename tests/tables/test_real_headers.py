"""Tables as laboratories have them: the right profile or a question, never a wrong number."""

from __future__ import annotations

import pytest

from limitcheck.tables.grid import grid_of
from limitcheck.tables.importing import Import, import_grid


def imported(text: str) -> Import:
    return import_grid(grid_of(text.encode(), "table.csv", ";"))


@pytest.mark.parametrize(
    "header",
    [
        "Methode;Gerät;Obere Abschaltgrenze (bar);Untere Abschaltgrenze (bar)",
        "Méthode;Système;Limite haute (bar);Limite basse (bar)",
        "Method;Instrument;Alarm hi (bar);Alarm lo (bar)",
        "Method;Instrument;Upper limit (bar);Lower limit (bar)",
    ],
)
def test_headers_that_are_cutoffs(header: str) -> None:
    found = imported(f"{header}\nA;LC-1;250;30\n")
    assert not found.questions
    assert found.ready[0].data["cutoffs"] == {"high": 250, "low": 30}


@pytest.mark.parametrize(
    ("header", "cells"),
    [
        ("max P;min P", {"D1", "E1"}),
        ("Pmax;Pmin", {"D1", "E1"}),
        ("Max. Druck;Min. Druck", {"D1", "E1"}),
        ("Pression max;Pression min", {"D1", "E1"}),
        ("HPL;LPL", {"D1", "E1"}),
        ("Old high cutoff;New high cutoff", {"D1", "E1"}),
        ("Pressure range;Note", {"D1"}),
        ("High/Low cutoff;Note", {"D1"}),
    ],
)
def test_headers_that_may_be_pressures_are_asked(header: str, cells: set[str]) -> None:
    found = imported(f"Method;Instrument;Unit;{header}\nA;LC-1;bar;250;30\n")
    assert {one.cell for one in found.questions if one.about == "header"} == cells
    assert not found.ready


@pytest.mark.parametrize("share", ["0,18", "0.18"])
def test_a_share_of_b_is_not_a_percentage(share: str) -> None:
    found = imported(f"Method;Instrument;Unit;High cutoff;% B\nA;LC-1;bar;250;{share}\n")
    assert [one.cell for one in found.questions] == ["E2"]
    assert "0.18, or 18" in found.questions[0].advice
    assert not found.ready
    told = imported(f"Method;Instrument;Unit;High cutoff;% B\nA;LC-1;bar;250;{share} %\n")
    assert told.ready


@pytest.mark.parametrize("name", ["LC-1, LC-2", "LC-1/LC-2", "LC-1 & LC-2", "LC-1 and LC-2"])
def test_several_instruments_in_a_cell_are_asked(name: str) -> None:
    found = imported(f"Method;Instrument;Unit;High cutoff\nA;{name};bar;250\n")
    assert [one.cell for one in found.questions] == ["B2"]
    assert not found.ready


def test_names_that_differ_by_what_stands_between_are_asked() -> None:
    rows = "\n".join(f"{n};{name};bar;250" for n, name in enumerate(["LC-1", "lc 1", "LC-11"]))
    found = imported(f"Method;Instrument;Unit;High cutoff\n{rows}\n")
    assert [one.cell for one in found.questions] == ["B3"]
    assert [one.record.text("instrument.id") for one in found.ready] == ["LC-11"]
