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
from limitcheck.units.conversion import convert, convert_exactly, registry
from limitcheck.units.text import _CONVERTED

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
    "kgf/mm2": "kgf/mm**2",
    "in": "inch",
    "um": "micrometer",
    "%": "percent",
    "uL": "microliter",
    "m2": "meter**2",
    "um2": "micrometer**2",
    "cm2": "centimeter**2",
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


def pint_pascal(unit: str) -> Fraction:
    """A unit in pascal as pint has it."""
    power = {"2": "**2", "3": "**3"}.get(unit[-1], unit[-1])
    spelled = unit if unit.endswith("H2O") else unit[:-1] + power
    return Fraction(registry().Quantity(Fraction(1), spelled).to("pascal").magnitude)


SAME_SIZE = {
    "bars": "bar",
    "lbf/in2": "pound_force/inch**2",
    "lb/in2": "pound_force/inch**2",
    "lbs/in2": "pound_force/inch**2",
    "N/mm2": "newton/millimeter**2",
    "kg/cm2": "kilogram_force/centimeter**2",
    "kp/cm2": "kilogram_force/centimeter**2",
    "at": "technical_atmosphere",
    "kg/mm2": "kilogram_force/millimeter**2",
    "kp/mm2": "kilogram_force/millimeter**2",
}
"""Other spellings, by what they mean in pint; a kilopond (kp) is a kilogram-force, and kg and lb
are the force in a pressure (common practice, no source)."""


def test_every_other_spelling_is_of_the_same_size() -> None:
    spellings = {s: unit for unit in PRESSURE_UNITS.values() for s in unit.spellings}
    assert set(spellings) == set(SAME_SIZE)
    for spelling, unit in spellings.items():
        theirs = registry().Quantity(Fraction(1), SAME_SIZE[spelling]).to("pascal").magnitude
        assert unit.factor == theirs


@given(pressures, st.sampled_from([*PRESSURE_UNITS, "torr", "atm", "mbar"]))
def test_converting_is_what_pint_does_and_comes_back(pressure: Pressure, into: str) -> None:
    """In exact fractions, both ways."""
    (there,) = convert_exactly(pressure.to(pressure.unit), pressure.unit, [into]).results
    spelled = PINT_NAMES.get(pressure.unit, pressure.unit)
    theirs = registry().Quantity(pressure.to(pressure.unit), spelled)
    assert there.value == theirs.to(PINT_NAMES.get(into, into)).magnitude
    (back,) = convert_exactly(there.value, into, [pressure.unit]).results
    assert back.value == pressure.to(pressure.unit)


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
        ("400 bars", "bar"),
        ("400 bar g", "bar"),
        ("400 bar(G)", "bar"),
        ("400 psi gauge", "psi"),
        ("400 lb/in²", "psi"),
        ("400 lbf/in^2", "psi"),
        ("40 MPag", "MPa"),
        ("40 N/mm2", "MPa"),
        ("40 n/mm²", "MPa"),
        ("40 \u33ab", "MPa"),
        ("400 KPA", "kPa"),
        ("400 kp/cm2", "kgf/cm2"),
        ("400 at", "kgf/cm2"),
        ("400 atü", "kgf/cm2"),
        ("4 kg/mm2", "kgf/mm2"),
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
        ("6,000 psi", "comma", '"6000 psi" or "6 psi"'),
        ("5,834 psi", "comma", '"5834 psi" or "5.8340 psi"'),
        ("0,400,5 MPa", "separator", "together"),
        ("1,234,5 psi", "separator", "together"),
        ("6 000 psi", "space inside", "together"),
        ("5, MPa", "not a pressure", '"400 bar"'),
        ("6_000 psi", "separator", "together"),
        ("1.0 mL/min", "unit of flow", '"400 bar"'),
        ("-5 bar", "negative", "zero or more"),
        ("inf bar", "not a number that can be set", "finite"),
        ("bar", "not a pressure", '"400 bar"'),
        ("", "nothing is given", '"400 bar"'),
        ("1.2.3 bar", "separator", "together"),
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


@pytest.mark.parametrize(
    ("text", "number"),
    [
        ("0,4 MPa", "0.4"),
        ("0,400 MPa", "0.400"),
        (",5 MPa", ".5"),
        ("1,5 bar", "1.5"),
        ("1,5e2 bar", "1.5e2"),
        ("5800,125 psi", "5800.125"),
        ("1,234,567 psi", "1234567"),
        ("1,234.5 psi", "1234.5"),
        ("1.234,5 psi", "1234.5"),
        ("1.234.567 psi", "1234567"),
        ("6'000 psi", "6000"),
        ("6\u202f000 psi", "6000"),
        ("6\u2009000,5 psi", "6000.5"),
        ("6\u00a0000\u00a0psi", "6000"),
        ("\uff12\uff18\uff10\u3000\uff42\uff41\uff52", "280"),
        ("5.800 psi", "5.800"),
    ],
)
def test_numbers_that_can_only_mean_one_thing(text: str, number: str) -> None:
    """Groups of three digits, a thin space or a decimal comma: SI Brochure, 9th ed., 5.4.4."""
    assert Pressure.parse(text).number == number


@pytest.mark.parametrize("text", ["\u22123 bar", "\u20133 bar", "\uff0d3 bar", "-3 bar"])
def test_a_minus_of_any_kind_is_a_minus(text: str) -> None:
    with pytest.raises(UnitError, match="is negative"):
        Pressure.parse(text)
    assert Temperature.parse("\u22125 degC").number == "-5"


OTHER_DEFINITIONS = {
    *("28 N/cm2", "28 kN/mm2", "28 lbf/ft2", "28 psf", "28 kbar", "28 mbar", "28 Mbar", "28 GPa"),
    *("28 Gpa", "28 hPa", "28 Pa", "28 dbar", "28 ksi", "28 tsi", "28 atm", "28 torr", "28 mmHg"),
    *("28 mPa", "28 mPa·s", "28 mPas", "28 ata", "28 bara", "28 kgf/m2", "28 kgf/cm3", "28 t/in2"),
}


@pytest.mark.parametrize("text", sorted(OTHER_DEFINITIONS))
def test_no_hint_names_a_unit_of_another_size(text: str) -> None:
    with pytest.raises(UnitError) as refusal:
        Pressure.parse(text)
    assert "did you mean" not in refusal.value.advice


@pytest.mark.parametrize("unit", sorted(_CONVERTED))
def test_what_a_hint_says_can_be_converted_can_be(unit: str) -> None:
    """Against pint, which has the factors."""
    assert convert(f"3 {unit}", ["Pa"]).results[0].value == 3 * pint_pascal(unit)


@pytest.mark.parametrize(
    ("text", "together", "decimal"),
    [
        ("5.800 psi", "5800 psi", "5.8 psi"),
        ("5,800 psi", "5800 psi", "5.8 psi"),
        ("1.034 bar", "1034 bar", "1.0340 bar"),
        ("27,600kPa", "27600 kPa", "27.6 kPa"),
    ],
)
def test_what_may_mean_two_things_is_asked(text: str, together: str, decimal: str) -> None:
    with pytest.raises(UnitError) as refusal:
        convert(text, ["bar"])
    assert refusal.value.advice == f'write "{together}" or "{decimal}", whichever is meant'
    for meant in (together, decimal):  # either can be typed
        assert convert(meant, ["bar"]).source.value == Fraction(meant.split()[0])


def test_a_point_that_can_only_be_decimal_is_not_asked_about() -> None:
    """413685 bar and 27600 MPa are shown by no instrument (common practice, no source)."""
    assert convert("413.685 bar", ["bar"]).results[0].value == Fraction("413.685")
    assert convert("27.600 MPa", ["bar"]).results[0].value == 276


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
        ("40 mPa", '"mPa" is millipascal', 'megapascal is written MPa, as in "40 MPa"'),
        (
            "40 mpa",
            '"mpa" is neither megapascal nor millipascal',
            'megapascal is written MPa, as in "40 MPa"',
        ),
        (
            "40 psia",
            '"psia" is absolute pressure; instruments show gauge pressure',
            "write the gauge pressure, in psi, bar or MPa: it is less by the pressure of the air",
        ),
        (
            "5,800 psi",
            '"5,800 psi" has a comma: between thousands, or a decimal comma?',
            'write "5800 psi" or "5.8 psi", whichever is meant',
        ),
        ("NaN bar", '"NaN bar" is not a number that can be set', "write a finite number"),
        (
            "6 000 psi",
            '"6 000 psi" has a space inside the number, or is two',
            "write one number, its digits together, a point before decimals",
        ),
        ("280 bar 300", '"280 bar 300" is more than one number', "write the one that is meant"),
        ("280-300 bar", '"280-300 bar" is more than one number', "write the one that is meant"),
        ("≈280 bar", '"≈280 bar" is no single number', 'write the number meant: "280 bar"'),
        ("psi 4000", '"psi 4000" has its unit first', 'write "4000 psi"'),
        ("", "nothing is given where a pressure belongs", 'write as in "400 bar"'),
        (
            "4 atm",
            '"atm" is not a known unit of pressure',
            'convert it first: limitcheck convert "4 atm" --to bar',
        ),
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


@pytest.mark.parametrize(
    "base", [(16, "hexadecimal", "0x"), (8, "octal", "0o"), (2, "binary", "0b")]
)
@given(
    number=st.integers(0, 10**6),
    unit=st.sampled_from(list(PRESSURE_UNITS)),
    gap=st.sampled_from(["", " "]),
)
def test_a_number_of_programs_is_asked_with_both_readings(base, number, unit, gap):
    """`int` reads the digits back: what is offered is what a program reads, or the digits."""
    size, name, prefix = base
    typed = {16: f"{number:x}", 8: f"{number:o}", 2: f"{number:b}"}[size]
    if not gap and size == 16 and typed[-1] not in "0123456789":
        return  # "0xfbar" may end in a digit b
    with pytest.raises(UnitError) as refusal:
        Pressure.parse(f"{prefix}{typed}{gap}{unit}")
    assert "is a number as programs write it" in refusal.value.message
    wanted = f"write {number} {unit}, if {name} is meant"
    if typed.isdigit():
        wanted += f", or {int(typed)} {unit}"
    assert refusal.value.advice == wanted


@pytest.mark.parametrize("text", ["0bar", "0 bar", "0BAR", "0 psi"])
def test_zero_with_a_unit_is_no_number_of_programs(text):
    assert Pressure.parse(text).value == 0


@pytest.mark.parametrize("text", ["0b", "0x", "0 xyz"])
def test_a_prefix_without_digits_is_no_number_of_programs(text):
    with pytest.raises(UnitError, match="is not a known unit of pressure"):
        Pressure.parse(text)
