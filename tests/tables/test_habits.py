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


def test_numbers_that_are_spread_thinly_are_not_asked() -> None:
    """Seven low cutoffs, each a fifth below the last: a gap like theirs says nothing."""
    shares = zip(
        (94, 95, 97, 98, 100, 101, 103), (0.19, 0.155, 0.125, 0.1, 0.082, 0.066, 0.054), strict=True
    )
    lowest = {row: (60 + 7 * (row % 31), share) for row, share in shares}
    changed: dict[int, tuple[object, object]] = {
        row: (round(low * 1.5 / 5) * 5, round(low * share, 1))
        for row, (low, share) in lowest.items()
    }
    found = register(200, changed)
    assert not found.questions
    alone = register(200, {103: changed[103]})
    assert [question.cell for question in alone.questions] == ["E105"]


def test_of_two_slips_that_fit_neither_is_named() -> None:
    """In psi: a digit lost and a number in bar both give a usual share."""
    lines = [HEADS]
    for row in range(200):
        lowest = 900 + 101 * (row % 31)
        share = 0.04 if row == 94 else 0.3 + 0.5 * (row % 37) / 36
        high = round(lowest * 1.5 / 50) * 50
        lines.append(
            f"KB-{row};KB-LC-{row % 4};psi;{high};{round(lowest * share)};{lowest};"
            f"{lowest * 6 // 5};600"
        )
    found = import_grid(grid_of("\n".join(lines).encode(), "register.csv", ";"))
    assert [(question.cell, question.meant) for question in found.questions] == [("E96", "")]
    assert "other rows have" in found.questions[0].text


@pytest.mark.parametrize(("low", "asked"), [("0.1", False), ("0.10", True), ("0.05", True)])
def test_a_number_that_rounding_alone_puts_apart_is_not_asked(low: str, asked: bool) -> None:
    """A quarter of 0.6 MPa and more, on a display with one decimal."""
    lines = [HEADS]
    for row in range(120):
        lowest = 6 + row % 40
        typed = low if row == 80 else f"{0.1 * lowest * (0.25 + 0.6 * (row % 37) / 36):.2f}"
        lines.append(
            f"KB-{row};KB-LC-{row % 4};MPa;{lowest * 0.18:.1f};{typed};{lowest / 10};"
            f"{lowest * 0.12:.2f};600"
        )
    found = import_grid(grid_of("\n".join(lines).encode(), "register.csv", ";"))
    assert [question.cell for question in found.questions] == (["E82"] if asked else [])
