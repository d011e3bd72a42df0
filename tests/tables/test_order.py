"""Numbers of one row that cannot both be right, where nothing says which was mistaken."""

from __future__ import annotations

import pytest

from limitcheck.tables.grid import grid_of
from limitcheck.tables.importing import import_grid


@pytest.mark.parametrize(
    ("numbers", "cells"),
    [
        ("280;90;230;180", ("E2", "F2")),  # an exchanged band
        ("280;200;180;230", ("D2", "E2")),  # stops every run as if it leaked
        ("200;90;180;230", ("C2", "F2")),  # stops every run
        ("280;300;;", ("C2", "D2")),
    ],
)
def test_two_numbers_that_cannot_both_be_right_are_asked(
    numbers: str, cells: tuple[str, ...]
) -> None:
    heads = "Method;Instrument;High cutoff (bar);Low cutoff (bar);Expected low (bar)"
    rating = "Expected high (bar);Unit;Pump rating (bar);Column rating (bar)"
    table = f"{heads};{rating}\nKB-1;KB-LC-03;{numbers};bar;400;400\n"
    found = import_grid(grid_of(table.encode(), "order.csv", ";"))
    assert not found.ready
    asked = {one.cell for one in found.questions}
    assert asked
    assert asked <= set(cells)
