"""A question about a column keeps the rows that have something in it, and no other."""

from __future__ import annotations

import pytest

from .imports import HEADER, imported

ASKED = f"{HEADER};Max pressure (bar)"


def _ready(rows: list[str], header: str = ASKED) -> set[str]:
    found = imported(rows, header)
    assert [q.about for q in found.questions] == ["header"]
    return {one.record.text("method.id") for one in found.ready}


@pytest.mark.parametrize(
    ("third", "ready"),
    [
        ("KB-3;LC-9;270;60;120;200;400;400;", {"KB-1", "KB-2", "KB-3"}),
        ("KB-3;LC-9;270;60;120;200;400;400;350", {"KB-1", "KB-2"}),
        ("KB-3;LC-3;270;60;120;200;400;400;350", set()),
    ],
)
def test_rows_without_it_go_on(third: str, ready: set[str]) -> None:
    """Unless they share an instrument with a row that has it: it may be the pump's rating."""
    rows = ["KB-1;LC-3;260;60;120;200;400;400;", "KB-2;LC-3;280;60;130;210;400;400;n/a", third]
    assert _ready(rows) == ready


def test_a_decimal_sign_keeps_the_rows_that_have_a_number_there() -> None:
    header = HEADER.replace("(bar)", "(psi)")
    rows = ["KB-1;LC-9;3.800;;;;6000;", "KB-2;LC-8;;430;;;6000;"]
    found = imported(rows, header)
    assert ("C1", "decimal sign") in [(q.cell, q.about) for q in found.questions]
    assert {one.record.text("method.id") for one in found.ready} == {"KB-2"}
