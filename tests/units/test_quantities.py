"""Exact quantities: definitions against published digits and pint, parsing, refusals."""

from __future__ import annotations

import csv
from fractions import Fraction
from pathlib import Path

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from limitcheck.units import (
    PRESSURE_UNITS,
    QUANTITIES,
    Flow,
    Length,
    Pressure,
    Quantity,
    Ratio,
    Temperature,
    UnitError,
    Volume,
    find_unit,
)

REFERENCE = Path(__file__).parents[1] / "reference" / "unit_factors.csv"
ROWS = {row["unit"]: row for row in csv.DictReader(REFERENCE.read_text("utf-8").splitlines())}
KNOWN = ", ".join(PRESSURE_UNITS)

numbers = st.decimals(
    min_value=0, max_value=10**6, allow_nan=False, allow_infinity=False, places=4
).map(str)
pressure_units = st.sampled_from(list(PRESSURE_UNITS))
pressures = st.builds(Pressure.of, numbers, pressure_units)


@pytest.mark.parametrize("unit", PRESSURE_UNITS)
def test_factor_is_the_exact_rational_of_the_reference(unit: str) -> None:
    assert PRESSURE_UNITS[unit].factor == Fraction(ROWS[unit]["pascal_exact_rational"])


@pytest.mark.parametrize("unit", [u for u in PRESSURE_UNITS if ROWS[u]["nist_sp811_b8_printed"]])
def test_factor_has_the_digits_printed_in_nist_sp811_b8(unit: str) -> None:
    """NIST SP 811 (2008), Appendix B.8, as printed: "6.894 757 E+03"."""
    mantissa, _, exponent = ROWS[unit]["nist_sp811_b8_printed"].partition(" E")
    digits = mantissa.replace(" ", "")
    printed = Fraction(digits) * Fraction(10) ** int(exponent)
    half_a_digit = Fraction(1, 2 * 10 ** len(digits.partition(".")[2])) * 10 ** int(exponent)
    assert abs(PRESSURE_UNITS[unit].factor - printed) <= half_a_digit


PINT_NAMES = {
    "kgf/cm2": "kgf/cm**2",
    "in": "inch",
    "um": "micrometer",
    "%": "percent",
    "uL": "microliter",
    "uL/min": "microliter/minute",
    "nL/min": "nanoliter/minute",
    "mL/min": "milliliter/minute",
    "L/min": "liter/minute",
}


@pytest.mark.parametrize(
    ("kind", "unit"), [(kind, unit) for kind in QUANTITIES for unit in kind.UNITS]
)
def test_every_factor_is_that_of_pint_in_exact_fractions(kind: type[Quantity], unit: str) -> None:
    registry = pint.UnitRegistry(non_int_type=Fraction, autoconvert_offset_to_baseunit=True)
    theirs = registry.Quantity(Fraction(7), PINT_NAMES.get(unit, unit)).to_base_units().magnitude
    assert kind.of(7, unit).value == theirs


def test_fifteen_psi_to_the_bar_is_3_42_percent_high() -> None:
    """Common practice, no source, for the rule; the figure follows from the definitions."""
    off = 15 / Pressure.of(1, "bar").to("psi") - 1
    assert round(float(off) * 100, 2) == 3.42


@given(pressures, pressure_units)
def test_there_and_back_is_the_same_pressure(pressure: Pressure, unit: str) -> None:
    assert Pressure.of(pressure.to(unit), unit) == pressure


@given(pressures, pressures)
def test_order_is_that_of_exact_values(one: Pressure, other: Pressure) -> None:
    assert (one < other, one <= other) == (one.value < other.value, one.value <= other.value)
    assert (one > other, one >= other) == (other < one, other <= one)
    assert (one == other) == (one.value == other.value)
    if one == other:
        assert hash(one) == hash(other)


@pytest.mark.parametrize(
    ("text", "unit"),
    [
        ("400 bar", "bar"),
        ("400bar", "bar"),
        ("400 BAR", "bar"),
        ("400 barg", "bar"),
        ("400 Psi", "psi"),
        ("400 PSIG", "psi"),
        ("400 lbf/in2", "psi"),
        ("40 MPa", "MPa"),
        ("400 kPa", "kPa"),
        ("400 kgf/cm2", "kgf/cm2"),
        ("400 kg/cm²", "kgf/cm2"),
        ("400 KGF/CM2", "kgf/cm2"),
        ("4e2 bar", "bar"),
        ("+400 bar", "bar"),
        ("400. bar", "bar"),
        ("400\u00a0bar", "bar"),
    ],
)
def test_spellings_that_are_known(text: str, unit: str) -> None:
    assert Pressure.parse(text).unit == unit


@pytest.mark.parametrize(
    ("text", "says", "advises"),
    [
        ("400", "has no unit", '"400 bar"'),
        ("400 MPA", "neither", "megapascal is written MPa"),
        ("400 Mpa", "neither", "megapascal is written MPa"),
        ("400 bara", "absolute", "gauge"),
        ("400 bar(abs)", "absolute", "gauge"),
        ("6,000 psi", "comma", '"6000 psi" or "6.000 psi"'),
        ("1,5 bar", "comma", '"15 bar" or "1.5 bar"'),
        ("6'000 psi", "separator", "together"),
        ("6_000 psi", "separator", "together"),
        ("1.0 mL/min", "unit of flow", '"400 bar"'),
        ("-5 bar", "negative", "zero or more"),
        ("inf bar", "not a number that can be set", "finite"),
        ("bar", "not a pressure", '"400 bar"'),
        ("", "not a pressure", '"400 bar"'),
        ("1.2.3 bar", "not a pressure", '"400 bar"'),
        ("\u0663 bar", "not a pressure", '"400 bar"'),
        ("9" * 60 + " bar", "60 characters", '"400 bar"'),
        ("1e999 bar", "10^999", "as displayed"),
        ("1e-99 bar", "10^-99", "as displayed"),
    ],
)
def test_refusals_say_what_to_write(text: str, says: str, advises: str) -> None:
    with pytest.raises(UnitError) as caught:
        Pressure.parse(text)
    assert says in caught.value.message
    assert advises in caught.value.advice


@given(st.text(max_size=30))
def test_any_text_is_read_or_refused_with_advice(text: str) -> None:
    for kind in QUANTITIES:
        read, advice = "", ""
        try:
            read = kind.parse(text).unit
        except UnitError as error:
            advice = error.advice
        assert read in kind.UNITS or advice


def test_other_kinds() -> None:
    assert Temperature.parse("-40 degF") == Temperature.parse("-40 °C")
    assert Temperature.parse("25 degC").value == Fraction("298.15")
    assert Length.parse("0.007 in").to("mm") == Fraction("0.1778")
    assert Flow.parse("1 mL/min") == Flow.parse("1000 µL/min")
    assert Volume.parse("10 uL").value == Fraction(1, 10**8)
    assert Ratio.parse("25 %").value == Fraction(1, 4)
    assert float(Pressure.parse("1 bar")) == 1e5


def test_quantities_of_different_kinds_differ() -> None:
    assert Pressure.of(1, "kPa") != Length.of(1000, "m")
    assert Pressure.of(1, "kPa") != 1000


def test_a_quantity_remembers_what_was_typed() -> None:
    assert str(Pressure.parse("260.10 bar")) == "260.10 bar"


def test_units_are_found_by_every_spelling() -> None:
    for kind in QUANTITIES:
        for name, unit in kind.UNITS.items():
            assert {find_unit(s, kind) for s in (name, *unit.spellings)} == {name}
            assert unit.definition
            assert unit.source


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
