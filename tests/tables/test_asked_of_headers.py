"""What a header's unit or word leaves open is asked once, not in each cell below it."""

from __future__ import annotations

from pathlib import Path

import pytest

from limitcheck.units import Pressure, find_unit

from .imports import HEADER, ROWS, answered, asked, imported, tables

GAUGE = ["Bar.", "bar (g)", "bar(g)", "bar rel.", "bar rel", "bar (rel.)", "barg", "bar gauge"]


@pytest.mark.parametrize("unit", ["mPa", "mbar", "hPa", "Mpa", "bar/psi", "bara", "bar(a)", "psia"])
def test_a_unit_that_is_refused_is_asked_once_a_header(unit: str) -> None:
    found = imported(header=HEADER.replace("(bar)", f"({unit})"))
    assert asked(found) == [(f"{letter}1", "unit") for letter in "CDEFGH"]
    assert not found.ready


@pytest.mark.parametrize("unit", GAUGE)
def test_gauge_pressure_is_what_an_instrument_shows(unit: str) -> None:
    assert find_unit(unit, Pressure) == "bar"
    for header in (HEADER.replace("(bar)", f"({unit})"), HEADER.replace("(bar)", unit)):
        found = imported(header=header)
        assert not found.questions
        assert len(found.ready) == 2
    found = imported([f"KB-1;LC-3;260 {unit};60;120;200;400 {unit};400"])
    assert not found.questions


def test_absolute_pressure_in_a_cell_is_asked() -> None:
    found = imported(["KB-1;LC-3;260 bar(a);60;120;200;400;400"])
    assert asked(found) == [("C2", "cell")]


@pytest.mark.parametrize("header", ["% A", "%A", "Eluent A (%)", "% eluent A"])
def test_percent_a_is_asked_and_makes_percent_b(header: str, tmp_path: Path) -> None:
    rows = [f"{row};{share}" for row, share in zip(ROWS, ("80", "72.5 %"), strict=True)]
    found = imported(rows, f"{HEADER};{header}")
    assert asked(found) == [("I1", "header")]
    assert "100 less" in found.questions[0].advice
    assert not found.ready
    again = imported(rows, f"{HEADER};{header}", answered(found, tmp_path, "conditions.percent_a"))
    assert not again.questions
    assert tables(again, "kb-1-lc-3.toml")["conditions"]["percent_b"] == 20
    assert tables(again, "kb-2-lc-3.toml")["conditions"]["percent_b"] == 27.5


def test_percent_a_beside_percent_b_is_left_out_and_said() -> None:
    found = imported([f"{row};80;20" for row in ROWS], f"{HEADER};% A;% B")
    assert not found.questions
    assert tables(found, "kb-1-lc-3.toml")["conditions"]["percent_b"] == 20
    assert any("% A" in told for told in found.not_looked_at())


def test_percent_a_that_is_more_than_all_is_asked() -> None:
    header = HEADER + ";conditions percent a"
    found = imported([f"{row};120" for row in ROWS], header.replace("conditions percent a", "% A"))
    assert not found.ready
