"""Units at their edges: offsets, limits of length, trailing zeros, and the words of a refusal."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pytest

from limitcheck.units import (
    PRESSURE_UNITS,
    Length,
    Pressure,
    Temperature,
    UnitError,
    exact,
    plain,
    plain_or_rounded,
    show,
    show_all,
)
from limitcheck.units.numbers import decimals

KNOWN = ", ".join(PRESSURE_UNITS)


@pytest.mark.parametrize(
    ("text", "celsius", "kelvin", "fahrenheit"),
    [  # SI Brochure, 9th ed.: 0 degC = 273.15 K; NIST SP 811, App. B.8: t/degF = 1.8 t/degC + 32
        ("0 degC", "0", "273.15", "32"),
        ("212 degF", "100", "373.15", "212"),
        ("-40 degC", "-40", "233.15", "-40"),
        ("300 K", "26.85", "300", "80.33"),
    ],
)
def test_temperatures_in_every_unit(text: str, celsius: str, kelvin: str, fahrenheit: str) -> None:
    temperature = Temperature.parse(text)
    assert temperature.to("degC") == Fraction(celsius)
    assert temperature.to("K") == Fraction(kelvin)
    assert temperature.to("degF") == Fraction(fahrenheit)


def test_equal_quantities_are_one_key_and_kinds_differ() -> None:
    assert len({Pressure.parse("1 MPa"), Pressure.parse("10 bar"), Pressure.parse("9 bar")}) == 2
    assert hash(Pressure.parse("1 MPa")) == hash(Pressure.parse("10 bar"))
    assert hash(Pressure.parse("1 bar")) != hash(Pressure.parse("2 bar"))
    assert hash(Pressure.parse("1 MPa")) != hash(Length.parse("1000000 m"))


def test_the_longest_numbers() -> None:
    for longest in ("9" * 40, "1e40", "1e-40", "0." + "0" * 39 + "1"):
        assert exact(longest) == Fraction(Decimal(longest))
    assert exact(10**40 - 1) == 10**40 - 1
    for beyond in ("9" * 41, "1e41", "1e-41", 10**40, -(10**40)):
        with pytest.raises(UnitError, match=r"a number of .* digits") as refusal:
            exact(beyond)
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


def test_nothing_is_printed_as_minus_nothing() -> None:
    assert decimals(Fraction(-1, 1000), 2) == "0"
    assert decimals(Fraction(-1, 100), 2) == "-0.01"


def test_no_more_digits_than_tell_two_pressures_apart() -> None:
    one, other = Pressure.parse("400.00001 bar"), Pressure.parse("400 bar")
    assert show(one, "bar", apart=[other]) == "400.00001 bar"
    assert show(other, "bar", apart=[one]) == "400 bar"
    assert show_all(one, apart=[other]) == "400.00001 bar, 5801.5097 psi, 40.000001 MPa"
    assert show_all(one, skip="psi") == "400 bar, 40 MPa"


@pytest.mark.parametrize(
    ("text", "message", "advice"),
    [
        ("40 mPa", '"mPa" is millipascal', "megapascal is written MPa"),
        ("40 mpa", '"mpa" is neither megapascal nor millipascal', "megapascal is written MPa"),
        ("40 KPA", '"KPA" is not a known unit', "kilopascal is written kPa"),
        (
            "40 psia",
            '"psia" is absolute pressure; instruments show gauge pressure',
            "write the gauge pressure, in psi, bar or MPa",
        ),
        (
            "1,234,5 psi",
            '"1,234,5 psi" has a comma: between thousands, or a decimal comma?',
            'write "12345 psi" or "1.234,5 psi", whichever is meant',
        ),
        ("NaN bar", '"NaN bar" is not a number that can be set', "write a finite number"),
        ("6 000 psi", '"6 000 psi" has a separator inside the number', "write the digits together"),
        ("a" * 40, f'"{"a" * 40}" is not a pressure', 'write as in "400 bar"'),
        ("a" * 41, f'"{"a" * 37}..." is not a pressure', 'write as in "400 bar"'),
        (
            "40 barr",
            '"barr" is not a known unit of pressure',
            f"did you mean bar? known here: {KNOWN}",
        ),
        ("40 xyz", '"xyz" is not a known unit of pressure', f"known here: {KNOWN}"),
    ],
)
def test_the_words_of_a_refusal(text: str, message: str, advice: str) -> None:
    with pytest.raises(UnitError) as refusal:
        Pressure.parse(text)
    assert (str(refusal.value), refusal.value.message) == (message, message)
    assert refusal.value.advice == advice
