"""What the names of columns say."""

from __future__ import annotations

import pytest

from limitcheck.history.columns import name_and_unit, roles_of


@pytest.mark.parametrize(
    ("name", "expected"),
    [
        ("pressure", ("pressure", None)),
        ("pressure (bar)", ("pressure", "bar")),
        ("Pressure [kgf/cm2]", ("Pressure", "kgf/cm2")),
        ("pressure(psi)", ("pressure", "psi")),
        ("pressure [ MPa ]", ("pressure", "MPa")),
        ("pressure in bar", ("pressure", "bar")),
        ("pump pressure  in  bar", ("pump pressure", "bar")),
        ("pressure, bar", ("pressure", "bar")),
        ("pressure ,bar", ("pressure", "bar")),
        ("pressure,bar", ("pressure", "bar")),
        ("pump pressure,bar", ("pump pressure", "bar")),
        ("pressure_bar", ("pressure", "bar")),
        ("pressure_PSI", ("pressure", "PSI")),
        ("pressure_kbar", ("pressure_kbar", None)),
        ("pressure ()", ("pressure ()", None)),
        ("(bar)", ("(bar)", None)),
        ("in bar", ("in bar", None)),
        (", bar", (", bar", None)),
        ("begin bar", ("begin bar", None)),
        ("_bar", ("_bar", None)),
        ("", ("", None)),
    ],
)
def test_a_name_and_its_unit(name: str, expected: tuple[str, str | None]) -> None:
    assert name_and_unit(name) == expected
    assert name_and_unit(f" {name} ") == expected


def test_a_chosen_column_takes_the_role_alone() -> None:
    header = ["Time", "Pressure (bar)", "P2"]
    assert roles_of(header, {}) == {"time": [0], "pressure": [1]}
    assert roles_of(header, {"pressure": "p2 "}) == {"time": [0], "pressure": [2]}


@pytest.mark.parametrize(
    "text", [" ", "(", ")", "()", ",", " in ", "_bar", ".", '"', "9", "\u00a0"]
)
def test_a_name_of_a_million_characters(text: str) -> None:
    """It must end: a search that tries every pair of places does a million times a million."""
    name, unit = name_and_unit(f"a{text * 300_000}b")
    assert len(name) + len(unit or "") <= 300_000 * len(text) + 2
