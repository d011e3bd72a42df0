"""Exact units: definitions against published digits and pint, parsing, printing, rounding."""

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
    TRADE_UNITS,
    Flow,
    Length,
    Pressure,
    Quantity,
    Ratio,
    Temperature,
    UnitError,
    Volume,
    exact,
    find_unit,
    plain,
    plain_or_rounded,
    round_down,
    round_up,
    show,
    show_all,
)

REFERENCE = Path(__file__).parents[1] / "reference" / "unit_factors.csv"
ROWS = {row["unit"]: row for row in csv.DictReader(REFERENCE.read_text("utf-8").splitlines())}

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


def test_one_bar_in_psi() -> None:
    """1 bar = 14.50377377302... psi (from the definitions; NIST SP 811)."""
    assert show(Pressure.of(1, "bar"), "psi", digits=13) == "14.50377377302 psi"


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
        ("400 mPa", "millipascal", "megapascal is written MPa"),
        ("400 MPA", "neither", "megapascal is written MPa"),
        ("400 mpa", "neither", "megapascal is written MPa"),
        ("400 Mpa", "neither", "megapascal is written MPa"),
        ("400 KPA", "not a known unit", "kPa"),
        ("400 psia", "absolute", "gauge"),
        ("400 bara", "absolute", "gauge"),
        ("400 bar(abs)", "absolute", "gauge"),
        ("6,000 psi", "comma", '"6000 psi" or "6.000 psi"'),
        ("1,5 bar", "comma", '"15 bar" or "1.5 bar"'),
        ("6 000 psi", "separator", "together"),
        ("6'000 psi", "separator", "together"),
        ("6_000 psi", "separator", "together"),
        ("1.0 mL/min", "unit of flow", '"400 bar"'),
        ("-5 bar", "negative", "zero or more"),
        ("inf bar", "not a number that can be set", "finite"),
        ("NaN bar", "not a number that can be set", "finite"),
        ("400 barr", "not a known unit", "did you mean bar"),
        ("400 furlong", "not a known unit", "known here"),
        ("bar", "not a pressure", '"400 bar"'),
        ("", "not a pressure", '"400 bar"'),
        ("1.2.3 bar", "not a pressure", '"400 bar"'),
        ("\u0663 bar", "not a pressure", '"400 bar"'),
        ("9" * 60 + " bar", "60 characters", '"400 bar"'),
        ("1e999 bar", "10^999", "as displayed"),
        ("1e-99 bar", "10^-99", "as displayed"),
        ("x" * 90, "...", '"400 bar"'),
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
    assert show_all(Pressure.parse("400 bar")) == "400 bar, 5802 psi, 40 MPa"
    assert show_all(Pressure.parse("400 bar"), skip="bar") == "5802 psi, 40 MPa"


def test_numbers_beyond_sense_are_refused() -> None:
    for number in (10**40, "1e41", "NaN", "0." + "1" * 41):
        with pytest.raises(UnitError):
            exact(number)


def test_units_are_found_by_every_spelling() -> None:
    for kind in QUANTITIES:
        for name, unit in kind.UNITS.items():
            assert {find_unit(s, kind) for s in (name, *unit.spellings)} == {name}
            assert unit.definition
            assert unit.source
