"""Slips of the fingers that only the rest of the table shows, and what cannot be told from it."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from limitcheck.tables.digits import before_a_slip, rounded_to
from limitcheck.tables.grid import grid_of
from limitcheck.tables.importing import Import, import_grid

HEADS = "Method;Instrument;Unit;High cutoff;Low cutoff;Expected low;Expected high;Pump rating (bar)"
_COLUMNS = "ABCDEFGH"


def register(changed: dict[str, object], by_hand: int = 0, rows: int = 200) -> Import:
    """High cutoffs 25 % over the band; low ones of 15 bar on two of three methods, else half the
    lowest expected pressure; those of the first `by_hand` rows at any share of it."""
    lines = [HEADS]
    for row in range(rows):
        lowest = 60 + 7 * (row % 31)
        highest = lowest * 6 // 5
        low: object = 15 if row % 3 else round(lowest / 2)
        if row < by_hand:
            low = round(lowest * (0.3 + 0.45 * row / by_hand))
        high: object = round(highest * 1.25 / 5) * 5
        cells = [f"KB-{row}", f"KB-LC-{row % 4}", "bar", high, low, lowest, highest, 600]
        for at, column in enumerate(_COLUMNS):
            cells[at] = changed.get(f"{column}{row + 2}", cells[at])
        lines.append(";".join(map(str, cells)))
    return import_grid(grid_of("\n".join(lines).encode(), "register.csv", ";"))


def asked(found: Import) -> dict[str, str]:
    return {question.cell: question.meant for question in found.questions}


@pytest.mark.parametrize("by_hand", [0, 3, 40])
def test_a_table_without_slips_is_not_asked(by_hand: int) -> None:
    assert not asked(register({}, by_hand))


@pytest.mark.parametrize(
    ("changed", "cell", "meant", "told"),
    [
        # all others stand at 15 bar, at half the lowest pressure, 25 % over the highest
        ({"E60": 51}, "E60", "15 bar", " bar, as on"),
        ({"D14": 163, "F14": 137, "G14": 146}, "G14", "", ""),
        ({"E60": 99}, "E60", "", ""),
    ],
)
def test_a_cutoff_that_is_set_as_no_other(
    changed: dict[str, object], cell: str, meant: str, told: str
) -> None:
    found = register(changed)
    assert asked(found) == ({cell: meant} if told else {})
    assert all(told in question.text for question in found.questions)


def test_the_end_of_a_band_that_a_slip_explains() -> None:
    """205 bar is 25 % over 164, which was typed as 146: the cutoff is right, the band is not."""
    found = register({"D14": 205, "F14": 137, "G14": 146})
    assert asked(found) == {"G14": "164 bar"}
    assert "(D14) is set as no other row" in found.questions[0].text


def test_where_people_set_margins_by_hand_the_same_number_is_not_asked() -> None:
    assert not asked(register({"E60": 51}, by_hand=40))
    assert asked(register({"E60": 51}, by_hand=1)) == {"E60": "15 bar"}


def test_a_number_that_is_confirmed_or_in_a_small_table_is_not_asked() -> None:
    assert not asked(register({"E60": 51}, rows=90))


def test_a_number_that_is_rounded_as_no_other() -> None:
    """High cutoffs are whole 5 bar: 203 is 230 with two digits exchanged."""
    found = register({"D12": 203, "F12": 130, "G12": 160}, by_hand=40)
    assert asked(found) == {"D12": "230 bar"}
    assert "whole 5 bar" in found.questions[0].text
    assert not asked(register({"D12": 187, "F12": 130, "G12": 160}, by_hand=40))  # nor is 178


@given(st.integers(1, 99999), st.integers(-2, 2))
def test_what_a_number_is_rounded_to_divides_it(digits: int, exponent: int) -> None:
    number = Decimal(digits).scaleb(exponent)
    step = rounded_to(number)
    assert number % step == 0
    assert 0 < step <= number


@given(st.integers(10, 99999))
def test_two_digits_exchanged_are_exchanged_back(digits: int) -> None:
    for number, words in before_a_slip(Decimal(digits)):
        if words == "with two digits exchanged" and len(str(number)) == len(str(digits)):
            assert Decimal(digits) in [again for again, _ in before_a_slip(number)]
        else:
            assert number < digits


def test_a_number_rounded_more_coarsely_than_hundreds_of_others_is_read() -> None:
    """The chance of that is no number a computer holds; it is not asked for."""
    rows = [f"M{n};LC-1;{n / 10:.1f};bar" for n in range(2001, 3001)]
    found = import_grid(
        grid_of("\n".join(["Method;Instrument;High cutoff;Unit", *rows, ""]).encode(), "t.csv", ";")
    )
    assert len(found.ready) == len(rows)
