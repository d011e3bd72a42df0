"""Two columns that may be one key: decided by their cells, or asked."""

from __future__ import annotations

import pytest

from tests.tables.imports import imported

_HEADER = "Method;Instrument;High cutoff (bar)"


@pytest.mark.parametrize(
    ("header", "cells", "left_out"),
    [
        ("SOP", ("S-1", "S-1"), "SOP"),
        ("Method No.", ("17", "18"), "Method No."),
        ("Instrument name", ("blue", "blue"), "Instrument name"),
        ("Site;Lab", ("Kestrel Bay;A", "Kestrel Bay;A"), "Lab"),
        ("Description;Title", ("tea;Xanthines", "tea;Caffeine"), "Description"),
        ("Version;Revision", ("1;A", "2;B"), "Version"),
        ("Stop", ("yes", "no"), "Stop"),
        ("Stop", ("25 min", "30 min"), "Stop"),
        ("Oven temp (°C);Column temperature (°C)", ("35;35", "40;40"), "Column temperature (°C)"),
        ("Upper pressure limit (bar)", ("280", "270"), "Upper pressure limit (bar)"),
    ],
)
def test_one_of_two_is_taken_and_the_other_is_named(
    header: str, cells: tuple[str, str], left_out: str
) -> None:
    rows = (f"KB-1;LC;280;{cells[0]}", f"KB-2;LC;270;{cells[1]}")
    found = imported(rows, f"{_HEADER};{header}")
    assert not found.questions
    assert [one.data["method"]["id"] for one in found.ready] == ["KB-1", "KB-2"]
    assert any(f'"{left_out}": ' in told for told in found.not_looked_at())


@pytest.mark.parametrize(
    ("header", "cells", "places"),
    [
        ("Instrument No.", ("17", "18"), ["B1", "D1"]),
        ("Site;Lab", ("Kestrel Bay;A", "Kestrel Bay;B"), ["D1", "E1"]),
        ("Oven temp (°C);Column temperature (°C)", ("35;40", "40;40"), ["D1", "E1"]),
        ("Upper pressure limit (bar)", ("280", "275"), ["C1", "D1"]),
        ("Upper pressure limit (psi)", ("280", "270"), ["C1", "D1"]),
        ("Stop", ("25", "no"), ["C1", "D1"]),
        ("Stop", ("about 250", "no"), ["C1", "D1"]),
    ],
)
def test_what_the_rows_leave_in_doubt_is_asked(
    header: str, cells: tuple[str, str], places: list[str]
) -> None:
    rows = (f"KB-1;LC;280;{cells[0]}", f"KB-2;LC;270;{cells[1]}")
    found = imported(rows, f"{_HEADER};{header}")
    assert [one.cell for one in found.questions if one.about == "header"] == places
    assert not found.ready


def test_where_no_column_has_a_pressure_both_are_asked() -> None:
    found = imported(("KB-1;LC;yes;no",), f"{_HEADER};Stop")
    assert {one.cell for one in found.questions if one.about == "header"} == {"C1", "D1"}
