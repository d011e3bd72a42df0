"""Pressures as text: digits as instruments show them, and no breach hidden."""

from __future__ import annotations

import re
from decimal import Decimal
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

import limitcheck
from limitcheck.units import (
    PRESSURE_UNITS,
    TRADE_UNITS,
    Pressure,
    as_typed,
    is_all,
    is_in,
    percent,
    show,
    show_all,
)
from limitcheck.units.printing import as_read, as_stated, figures, pressure_of

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
    assert show(over, "bar", apart=[rating]) == show(over, "bar") == "413.6854 bar"
    assert show(rating, "bar", apart=[over]) == "413.685 bar"
    worked_out, other = (Pressure.of(p.to("bar"), "bar") for p in (over, rating))
    assert show(worked_out, "bar", apart=[other]) == "413.69 bar"
    assert show(other, "bar", apart=[worked_out]) == "413.68 bar"
    assert show(worked_out, "bar") == "413.7 bar"


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
    assert show_all(one, skip="psi") == "400.00001 bar, 40.000001 MPa"
    assert show_all(Pressure.of(one.to("bar"), "bar"), skip="psi") == "400 bar, 40 MPa"


def test_all_units_at_once() -> None:
    assert show_all(Pressure.parse("400 bar")) == "400 bar, 5802 psi, 40 MPa"
    assert show_all(Pressure.parse("400 bar"), skip="bar") == "5802 psi, 40 MPa"


@pytest.mark.parametrize(
    ("share", "significant", "shown"),
    [
        (Fraction(1, 4), 0, "25 %"),
        (Fraction(1, 3), 0, "33.3333 %"),
        (0.884, 0, "88 %"),
        (1.5, 0, "150 %"),
        (0.0, 0, "0 %"),
        (1.0, 0, "100 %"),
        (0.004, 0, "0.4 %"),
        (0.9996, 0, "99.96 %"),
        (1.0004, 0, "100.04 %"),
        (0.12345, 3, "12.3 %"),
        (0.25, 0, "25 %"),
        (-0.25, 0, "-25 %"),
        (1e-9, 0, "0.0000 %"),
    ],
)
def test_a_share_has_one_form(share: Fraction | float, significant: int, shown: str) -> None:
    """A space before the sign: SI Brochure, 9th ed., 5.4.7."""
    assert percent(share, significant) == shown


@given(st.floats(min_value=0.00001, max_value=0.99999))
def test_a_part_is_never_printed_as_none_or_all(share: float) -> None:
    assert 0 < float(percent(share).removesuffix(" %")) < 100


def test_no_other_form_of_a_share_is_in_the_sources() -> None:
    """As in a format of Python's own, or a sign right after the number; a spreadsheet's is read."""
    every = Path(limitcheck.__file__).parent.rglob("*.py")
    sources = [path for path in every if path.parts[-2:] != ("tables", "formats.py")]
    other = re.compile(r"\{[^{}\n]*:[^{}\n]*%\}(?!-)|\{[^{}\n]*\}%|[0-9]%[^(a-zA-Z]")
    found = [
        f"{path.name}: {line.strip()}"
        for path in sources
        for line in path.read_text("utf-8").splitlines()
        if other.search(line) and not re.search("%[YH]|width: 100%", line)
    ]
    assert found == []


@given(st.integers(1, 10**12), st.integers(0, 6), pressure_units, st.sampled_from(TRADE_UNITS))
def test_a_conversion_gives_back_what_was_typed(
    number: int, places: int, unit: str, other: str
) -> None:
    """At its precision; and in its own unit it is what was typed."""
    assume(not places or number < 10**5 or number % 10)  # 6000.00 is no less exact than 6000
    typed = Pressure.of(Decimal(number).scaleb(-places), unit)
    shown = Fraction(show(typed, other).split()[0])
    back = Pressure.of(shown, other).to(unit)
    assert round(back, places) == typed.to(unit)
    assert Fraction(as_typed(typed, unit).split()[0]) == typed.to(unit)
    assert Fraction(show(typed, unit).split()[0]) == typed.to(unit)


@given(pressures, st.sampled_from(TRADE_UNITS))
def test_is_stands_only_before_what_is_exact(pressure: Pressure, unit: str) -> None:
    told = is_in(pressure, unit)
    exact = Fraction(told.split()[-2]) == pressure.to(unit)
    assert told.startswith("is about ") == (not exact)


def test_no_rounded_number_looks_round() -> None:
    """5802 psi is 400.034 bar (NIST SP 811, App. B): not "400 bar"."""
    assert show(Pressure.parse("5802 psi"), "bar") == "400.03 bar"
    assert is_all(Pressure.parse("5802 psi")) == "is about 400.03 bar, 40.003 MPa"
    assert is_all(Pressure.parse("4 MPa")) == "is about 40 bar, 580 psi"


@given(st.integers(1, 99_999), st.integers(0, 2), st.sampled_from(TRADE_UNITS))
def test_what_was_typed_comes_through_floats(number: int, places: int, unit: str) -> None:
    typed = Pressure.of(Decimal(number).scaleb(-places), unit)
    assert Fraction(as_stated(float(typed), unit)) == typed.to(unit)
    assert Fraction(figures(float(typed.to(unit)))) == typed.to(unit)


@given(st.integers(1, 10**11), st.integers(0, 6), st.sampled_from(TRADE_UNITS))
def test_of_what_was_typed_no_digit_is_lost_on_the_way_through_floats(
    number: int, places: int, unit: str
) -> None:
    typed = Pressure.of(Decimal(number).scaleb(-places), unit)
    assert Fraction(as_stated(float(typed), unit, typed=[typed])) == typed.to(unit)
    exact = typed.to(unit)
    assert Fraction(figures(float(exact), typed=[exact])) == exact
    assert as_stated(1.01 * float(typed), unit, typed=[typed]) == as_stated(
        1.01 * float(typed), unit
    )


def test_what_was_worked_out_keeps_three_figures() -> None:
    assert as_stated(1234.567891e5, "bar") == as_read(1234.567891e5, "bar") == "1230"
    assert figures(1234.567891) == "1230"


@pytest.mark.parametrize("typed", ["6000.00 psi", "6000.000 psi", "6000.0000 psi"])
def test_many_zeros_behind_the_point_leave_the_conversion_as_it_is(typed: str) -> None:
    assert show(Pressure.parse(typed), "bar") == show(Pressure.parse("6000 psi"), "bar")


def test_what_is_worked_out_near_a_typed_number_is_not_told_as_typed() -> None:
    typed = [Pressure.parse("413.6854 bar")]
    assert as_stated(413.6854e5, "bar", typed=typed) == "413.6854"
    assert as_stated(413.68543e5, "bar", typed=typed) == "414"
    assert not pressure_of(6.554123e6, "bar").typed


def test_a_typed_number_of_many_decimals_is_told_whole() -> None:
    typed = Fraction("1.1234567890123456789")
    assert figures(float(typed), typed=[typed]) == "1.1234567890123456789"
    zero = Pressure.parse("88.250 bar")
    assert as_stated(float(zero), "bar", typed=[zero]) == "88.250"
