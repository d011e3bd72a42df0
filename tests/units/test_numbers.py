"""Exact numbers: text and back, rounding the safe way, numbers beyond sense."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from limitcheck.units import (
    Pressure,
    UnitError,
    exact,
    plain,
    plain_or_rounded,
    round_down,
    round_up,
)
from limitcheck.units.numbers import decimals


@given(
    st.fractions(min_value=0, max_value=10**5),
    st.sampled_from([Fraction(1), Fraction(1, 10), Fraction(10), Fraction(5, 2)]),
)
def test_rounding_goes_the_safe_way(value: Fraction, step: Fraction) -> None:
    down, up = round_down(value, step), round_up(value, step)
    assert down <= value <= up
    assert value - down < step > up - value
    assert down % step == up % step == 0


@given(st.decimals(allow_nan=False, allow_infinity=False, places=5, min_value=-999, max_value=999))
def test_plain_text_is_the_exact_value(value: object) -> None:
    assert Fraction(plain(exact(str(value)))) == Fraction(str(value))


def test_text_of_endless_decimals() -> None:
    with pytest.raises(ValueError, match="no ending decimal form"):
        plain(Fraction(1, 3))
    assert plain_or_rounded(Fraction(1, 3)) == "0.333333"
    assert plain_or_rounded(Fraction(2, 300000)) == "0.00000666667"


def test_the_longest_numbers() -> None:
    for longest in ("9" * 40, "1e40", "1e-40", "0." + "0" * 39 + "1"):
        assert exact(longest) == Fraction(Decimal(longest))
    assert exact(10**40 - 1) == 10**40 - 1
    for beyond in ("9" * 41, "1e41", "1e-41", 10**40, -(10**40)):
        with pytest.raises(UnitError, match=r"a number (of .* digits|near 10\^)") as refusal:
            exact(beyond)
        assert "of 1 digits" not in refusal.value.message
        assert refusal.value.advice == "write the number as displayed"
    for endless in ("nan", "Infinity", Decimal("-Infinity")):
        with pytest.raises(UnitError, match="is not a number that can be set") as refusal:
            exact(endless)
        assert refusal.value.advice == "write a finite number"


def test_a_number_made_by_division_is_written_short() -> None:
    assert str(Pressure.of(Fraction(1, 3), "bar")) == "0.333333 bar"
    assert str(Pressure.of(Fraction(2500, 10), "bar")) == "250 bar"
    assert plain_or_rounded(Fraction(1, 10**12)) == "0.000000000001"
    assert plain_or_rounded(Fraction(12345678, 10**13)) == "0.00000123457"


def test_decimal_text() -> None:
    assert plain(Fraction(0)) == "0"
    assert plain(Fraction(-1, 2)) == "-0.5"
    assert plain(Fraction(100)) == "100"
    assert plain(Fraction(1, 2**20 * 5**3)) == f"{Decimal(1) / 2**20 / 5**3:f}"
    assert plain(Fraction(1, 10**60)) == "0." + "0" * 59 + "1"
    for long in (Fraction(1, 10**61), Fraction(1, 3), Fraction(7, 30)):
        with pytest.raises(ValueError, match="no ending decimal form"):
            plain(long)


def test_nothing_is_printed_as_minus_nothing() -> None:
    assert decimals(Fraction(-1, 1000), 2) == "0"
    assert decimals(Fraction(-1, 100), 2) == "-0.01"
