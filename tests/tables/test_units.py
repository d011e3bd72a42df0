"""The unit of bare numbers: inferred by instrument, or asked."""

from __future__ import annotations

from pathlib import Path

import pytest

from limitcheck.errors import LimitcheckError

from .imports import HEADER, answered, asked, imported, tables

BARE = HEADER.replace("cutoff (bar)", "cutoff").replace("low (bar)", "low").replace(
    "high (bar)", "high"
)  # fmt: skip


def test_the_unit_of_bare_numbers_is_inferred_by_instrument() -> None:
    column = "1;150 x 4.6 mm, 3 um;water;acetonitrile;60;30"
    rows = [
        *(f"KB-{n};LC-3;{150 + n};30;60;{90 + n};400;400;{column}" for n in range(1, 4)),
        *(f"HM-{n};LC-9;{2200 + n};440;870;{1400 + n};400;400;{column}" for n in range(1, 4)),
        *(f"HM-{n};LC-5;15.{n};3;6;9.{n};400;400;{column}" for n in range(5, 8)),
    ]
    more = "Flow (mL/min);Column dimensions;Eluent A;Eluent B;% B;Temp (degC)"
    found = imported(rows, f"{BARE};{more}")
    assert not found.questions
    units = {name: thing.unit for name, thing in found.joined.instruments.items()}
    assert units == {"LC-3": "bar", "LC-9": "psi", "LC-5": "MPa"}
    assert "inferred from 3 rows" in found.joined.instruments["LC-9"].unit_from


def test_a_unit_that_nothing_decides_is_asked(tmp_path: Path) -> None:
    header, rows = "Method;Instrument;High cutoff", ["KB-1;LC-3;300", "KB-2;LC-3;280"]
    found = imported(rows, header)
    assert asked(found) == [("C1", "unit")]
    assert found.questions[0].instrument == "LC-3"
    assert not found.ready
    again = imported(rows, header, answered(found, tmp_path, "psi"))
    assert tables(again, "instruments/lc-3.toml")["instrument"]["pressure_unit"] == "psi"
    with pytest.raises(LimitcheckError, match="not a known unit"):
        imported(rows, header, answered(found, tmp_path, "stone"))


def test_a_unit_that_the_numbers_contradict_is_asked() -> None:
    rows = [f"KB-{n};LC-3;{3700 + n};900;1700;2900;400;400;bar" for n in range(3)]
    found = imported(rows, BARE + ";Pressure unit")
    assert ("C1", "unit") in asked(found)
    assert found.questions[0].meant == "psi"
    assert not found.ready


def test_a_number_far_from_its_neighbours_is_asked() -> None:
    rows = [f"KB-{n};LC-3;{280 + n}" for n in range(12)]
    clean = imported(rows, "Method;Instrument;High cutoff (bar)")
    assert not clean.questions
    found = imported([*rows, "KB-99;LC-3;4060"], "Method;Instrument;High cutoff (bar)")
    assert asked(found) == [("C14", "cell")]
    assert found.questions[0].meant == "4060 psi"
