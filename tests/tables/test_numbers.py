"""Which sign stands before decimals: by the whole column, or asked."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from limitcheck.tables.grid import DateCell, NumberCell, UnstoredCell
from limitcheck.tables.numbers import CellError, decided, evidence, is_empty, read_number

STYLES = {
    ("point", ","): lambda n: f"{n:,f}",
    ("comma", "."): lambda n: f"{n:,f}".translate(str.maketrans(",.", ".,")),
    ("comma", " "): lambda n: f"{n:,f}".translate(str.maketrans(",.", " ,")),
    ("point", "'"): lambda n: f"{n:,f}".replace(",", "'"),
    ("point", ""): lambda n: f"{n:f}",
    ("comma", ""): lambda n: f"{n:f}".replace(".", ","),
}
NUMBERS = st.decimals(0, 90000, places=1) | st.decimals(0, 900, places=3) | st.integers(0, 90000)


@given(st.sampled_from(sorted(STYLES)), st.lists(NUMBERS.map(Decimal), min_size=1))
def test_a_column_is_read_as_it_was_written_or_asked(
    style: tuple[str, str], numbers: list[Decimal]
) -> None:
    written = [STYLES[style](number) for number in numbers]
    sign, why = decided(written)
    if sign is None:
        assert any(evidence(cell)[1] for cell in written)
        assert why
        return
    assert [Decimal(read_number(cell, sign).text) for cell in written] == numbers


@given(st.decimals(0, 10**9, places=6))
def test_a_number_of_the_file_keeps_its_digits(number: Decimal) -> None:
    assert read_number(NumberCell(f"{number:f}"), None).text == f"{number:f}"


@pytest.mark.parametrize(
    ("cells", "sign"),
    [
        (["5.800", "6.000"], None),
        (["5.800", "41,3"], "comma"),
        (["5.800", "41.3"], "point"),
        (["5,800", "1,234,567"], "point"),
        (["400", "280"], "point"),
        (["5.800", "41.3", "41,3"], None),
        (["0.500"], "point"),
        (["1 200,5", "5.800"], "comma"),
    ],
)
def test_the_whole_column_decides(cells: list[str], sign: str | None) -> None:
    assert decided(cells).sign == sign


@pytest.mark.parametrize(
    ("cell", "number", "rest"),
    [
        ("400 bar", "400", "bar"),
        ("400bar", "400", "bar"),
        ("5 800 psi", "5800", "psi"),
        ("5’800", "5800", ""),
        ("1.234.567,5", "1234567.5", ""),
        ("400 (see note)", "400", "(see note)"),
        ("120 - 200", "120", "- 200"),
        ("-5", "-5", ""),
        ("− 5", "-5", ""),
        ("150 x 4.6 mm", "150", "x 4.6 mm"),
    ],
)
def test_number_and_what_follows(cell: str, number: str, rest: str) -> None:
    assert read_number(cell, "point") == (number, rest)


@pytest.mark.parametrize(
    ("cell", "words"),
    [
        ("5.800", "two readings: 5800, or 5.800"),
        ("about 400", "is not a number"),
        ("1.2.3", "is not a number"),
        ("1,23,456", "is not a number"),
        ("1" * 40, "is not a number"),
        (DateCell("2026-05-04"), "is a date"),
        (UnstoredCell(), "a formula whose value is not stored"),
    ],
)
def test_what_has_no_one_reading_is_refused(cell: str, words: str) -> None:
    with pytest.raises(CellError, match=words):
        read_number(cell, None)


def test_empty_cells() -> None:
    assert all(map(is_empty, ["", " - ", "N/A", "–"]))
    assert not any(map(is_empty, ["0", "off", UnstoredCell()]))
