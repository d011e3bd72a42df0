"""Two numbers or two instruments in one cell are asked, and made one nowhere."""

from __future__ import annotations

from pathlib import Path

import pytest

from .imports import HEADER, answered, asked, imported

SPACES = [" ", "\u00a0", "\u2009", "\u202f", "'", "’"]


@pytest.mark.parametrize("by", SPACES)
@pytest.mark.parametrize("at", [2, 3, 4, 5, 6, 7])
@pytest.mark.parametrize("text", ["350{}350", "0{}350", "200{}220 bar", "20{}200 bar"])
def test_two_numbers_with_a_space_are_no_thousands(by: str, at: int, text: str) -> None:
    cells = ["KB-3", "LC-9", "260", "60", "120", "200", "400", "400"]
    cells[at] = text.format(by)
    found = imported([";".join(cells)])
    assert ("CDEFGH"[at - 2] + "2", "cell") in asked(found)
    assert not found.ready


@pytest.mark.parametrize("by", SPACES)
@pytest.mark.parametrize(
    ("unit", "high", "rating"),
    [("psi", "4{}350", "5{}800"), ("psi", "13{}500", "15{}000"), ("kPa", "26{}000", "100{}000")],
)
def test_thousands_that_a_pump_reaches_are_read(by: str, unit: str, high: str, rating: str) -> None:
    header = f"Method;Instrument;High cutoff ({unit});Pump rating ({unit})"
    found = imported([f"KB-3;LC-9;{high.format(by)};{rating.format(by)}"], header)
    assert asked(found) == []
    assert len(found.ready) == 1


def test_a_rating_that_no_part_has_is_asked() -> None:
    """It would let every cutoff pass, as nothing lies above it."""
    for at in (6, 7):
        cells = ["KB-3", "LC-9", "260", "60", "120", "200", "400", "400"]
        cells[at] = "35000"
        found = imported([";".join(cells)])
        assert not found.ready
    header = "Method;Instrument;High cutoff (bar);Pump rating (bar)"
    found = imported(["KB-3;LC-9;260;350350"], header)
    assert asked(found) == [("D2", "cell")]
    assert "no part is rated" in found.questions[0].text


@pytest.mark.parametrize(
    "name", ['"L1\nL2"', '"L1\r\nL2"', "L1\tL2", "L1|L2", "L1 + L2", "L1 & L2", "L1 L2", "L-1, L 2"]
)
def test_two_instruments_in_one_cell_are_asked(name: str) -> None:
    found = imported([f"KB-1;{name};260;60;120;200;400;400"], HEADER)
    assert asked(found) == [("B2", "cell")]
    assert "is one instrument?" in found.questions[0].text
    assert not found.ready


@pytest.mark.parametrize("name", ["LC 3", "LC-3 Lab 2", '"LC 3\n(bench)"', "Lab 2 LC 3"])
def test_a_name_of_several_words_is_one_instrument(name: str) -> None:
    found = imported([f"KB-1;{name};260;60;120;200;400;400"], HEADER)
    assert asked(found) == []


@pytest.mark.parametrize("other", ["l1", "L 1", "L-1"])
def test_no_row_of_two_names_that_may_be_one_is_written(other: str, tmp_path: Path) -> None:
    """With the name that is meant they may be one method with two cutoffs."""
    rows = [
        "KB-1;L1;260;60;120;200;400;400",
        f"KB-1;{other};280;60;120;200;400;400",
        "KB-2;L2;260;60;120;200;400;400",
    ]
    found = imported(rows)
    assert asked(found)[0] == ("B3", "cell")
    assert [one.record.text("instrument.id") for one in found.ready] == ["L2"]
    again = imported(rows, answers=answered(found, tmp_path, "as it stands"))
    assert not again.questions
    assert len(again.ready) == 3
