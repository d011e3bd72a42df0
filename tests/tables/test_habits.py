"""Cutoffs beside those of the whole table: what no habit of the laboratory gives is asked."""

from __future__ import annotations

import pytest

from limitcheck.tables.answers import Answer, Answers, key_of
from limitcheck.tables.grid import grid_of
from limitcheck.tables.importing import Import, import_grid

HEADS = "Method;Instrument;Unit;High cutoff;Low cutoff;Expected low;Expected high;Pump rating (bar)"


def register(rows: int, changed: dict[int, tuple[object, object]] | None = None) -> Import:
    """Methods with a margin of 25 %, every third with a low cutoff of 10 bar, else half the
    lowest expected pressure."""
    lines = [HEADS]
    for row in range(rows):
        lowest = 60 + 7 * (row % 31)
        highest = lowest * 6 // 5
        high: object = round(highest * 1.25 / 5) * 5
        low: object = 10 if row % 3 == 0 else round(lowest / 2)
        high, low = (changed or {}).get(row, (high, low))
        lines.append(f"KB-{row};KB-LC-{row % 4};bar;{high};{low};{lowest};{highest};600")
    return import_grid(grid_of("\n".join(lines).encode(), "register.csv", ";"))


@pytest.mark.parametrize("rows", [99, 120, 200])
def test_two_habits_side_by_side_are_no_slip(rows: int) -> None:
    found = register(rows)
    assert not found.questions
    assert len(found.ready) == rows


@pytest.mark.parametrize(
    ("high", "low", "cell", "meant"),
    [
        (100, 3.4, "E96", "34 bar"),
        (100, 1.2, "E96", ""),  # 0.12 MPa or 12 psi would be no better
        (210, 34, "D96", ""),  # a digit mistyped
    ],
)
def test_a_cutoff_apart_from_all_others_is_asked(
    high: int, low: int, cell: str, meant: str
) -> None:
    found = register(200, {94: (high, low)})
    assert [question.cell for question in found.questions] == [cell]
    assert found.questions[0].meant == meant
    assert len(found.ready) == 199
    assert "other rows have" in found.questions[0].text


def test_what_somebody_may_choose_by_hand_is_not_asked() -> None:
    found = register(200, {94: (155, 40)})  # twice the highest, six tenths of the lowest
    assert not found.questions


def test_in_a_small_table_one_row_may_be_a_habit_of_its_own() -> None:
    assert not register(60, {32: (100, 3)}).questions


def test_an_answer_is_not_asked_again() -> None:
    lines = register(200, {94: (100, 5)})
    question = lines.questions[0]
    answers = Answers({key_of(question): Answer("as it stands", False, question)})
    again = import_grid(lines.grid, answers=answers)
    assert not again.questions
    assert len(again.ready) == 200
