"""Pressures as text: digits as instruments show them, and no breach hidden."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from limitcheck.units import PRESSURE_UNITS, TRADE_UNITS, Pressure, show, show_all

numbers = st.decimals(
    min_value=0, max_value=10**6, allow_nan=False, allow_infinity=False, places=4
).map(str)
pressure_units = st.sampled_from(list(PRESSURE_UNITS))
pressures = st.builds(Pressure.of, numbers, pressure_units)


def test_one_bar_in_psi() -> None:
    """1 bar = 14.50377377302... psi (from the definitions; NIST SP 811)."""
    assert show(Pressure.of(1, "bar"), "psi", digits=13) == "14.50377377302 psi"


@given(pressures, pressures, st.sampled_from(TRADE_UNITS))
def test_printing_never_hides_which_is_larger(one: Pressure, other: Pressure, unit: str) -> None:
    printed = Fraction(show(one, unit, apart=[other]).split()[0])
    against = Fraction(show(other, unit, apart=[one]).split()[0])
    assert (printed > against, printed < against) == (one > other, one < other)


def test_a_breach_of_a_hair_is_printed() -> None:
    over, rating = Pressure.parse("413.6854 bar"), Pressure.parse("413.685 bar")
    assert show(over, "bar", apart=[rating]) == "413.69 bar"
    assert show(rating, "bar", apart=[over]) == "413.68 bar"
    assert show(over, "bar") == "413.7 bar"


@pytest.mark.parametrize(
    ("number", "digits", "shown"),
    [
        ("1", 3, "1"),
        ("1.0049", 3, "1"),
        ("1.0051", 3, "1.01"),
        ("1.25", 2, "1.2"),
        ("0.99951", 3, "1"),
        ("0.012345", 3, "0.0123"),
        ("123456.7", 3, "123457"),
        ("0", 3, "0"),
        ("100.04", 4, "100"),
        ("100.06", 4, "100.1"),
        ("0.1", 1, "0.1"),
        ("1", 1, "1"),
        ("1.4", 1, "1"),
    ],
)
def test_significant_digits(number: str, digits: int, shown: str) -> None:
    assert show(Pressure.of(number, "bar"), "bar", digits=digits) == f"{shown} bar"


def test_no_more_digits_than_tell_two_pressures_apart() -> None:
    one, other = Pressure.parse("400.00001 bar"), Pressure.parse("400 bar")
    assert show(one, "bar", apart=[other]) == "400.00001 bar"
    assert show(other, "bar", apart=[one]) == "400 bar"
    assert show_all(one, apart=[other]) == "400.00001 bar, 5801.5097 psi, 40.000001 MPa"
    assert show_all(one, skip="psi") == "400 bar, 40 MPa"


def test_all_units_at_once() -> None:
    assert show_all(Pressure.parse("400 bar")) == "400 bar, 5802 psi, 40 MPa"
    assert show_all(Pressure.parse("400 bar"), skip="bar") == "5802 psi, 40 MPa"
