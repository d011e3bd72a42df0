"""`limitcheck convert` from the command line. Factors: NIST SP 811 (2008), App. B, and pint."""

from __future__ import annotations

import json
from decimal import Decimal
from fractions import Fraction
from importlib.resources import files

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st
from jsonschema import Draft202012Validator  # type: ignore[import-untyped]

from limitcheck.cli.app import run
from limitcheck.units import PRESSURE_UNITS, UnitError
from limitcheck.units.conversion import convert_exactly, rounded


def said(capsys: pytest.CaptureFixture[str], *arguments: str) -> str:
    assert run(["convert", *arguments]) == 0
    return capsys.readouterr().out


def test_in_every_unit_of_the_trade(capsys: pytest.CaptureFixture[str]) -> None:
    lines = said(capsys, "6000 psi").splitlines()
    assert lines[0] == "6000 psi is:"
    # 1 psi = 6.894 757 E+03 Pa; 1 kgf/cm2 = 9.806 65 E+04 Pa.
    assert [line.split(":")[1].strip() for line in lines[1:5]] == [
        "about 413.685438",
        "about 41.3685438",
        "about 41368.5438",
        "about 421.841748",
    ]
    assert "15 psi to the bar would give 400 bar: 3.31 % too low." in lines[7]


def test_in_one_unit_on_one_line(capsys: pytest.CaptureFixture[str]) -> None:
    assert said(capsys, "400", "bar", "--to", "MPa") == "400 bar = 40 MPa\n"
    exact = said(capsys, "6000 psi", "--to", "bar", "--exact").splitlines()[0]
    numerator, denominator = map(int, exact.rpartition("exactly ")[2].strip(") bar").split("/"))
    psi = pint.UnitRegistry(non_int_type=Fraction).Quantity(Fraction(6000), "psi")
    assert Fraction(numerator, denominator) == psi.to("bar").magnitude


@pytest.mark.parametrize(
    ("typed", "shown"),
    [
        ("6000.00psi", "6000.00 psi"),
        ("287.40 bar", "287.40 bar"),
        ("20.0 N/mm2", "20.0 MPa"),
        ("2.50e2 bar", "250 bar"),
    ],
)
def test_the_digits_that_were_typed_are_shown(
    capsys: pytest.CaptureFixture[str], typed: str, shown: str
) -> None:
    assert said(capsys, typed).startswith(f"{shown} is:\n")


@pytest.mark.parametrize("unit", ["mmHg", "inHg", "cmHg", "kg"])
def test_a_g_of_a_name_is_no_mark_of_gauge_pressure(
    capsys: pytest.CaptureFixture[str], unit: str
) -> None:
    assert run(["convert", f"5 {unit}"]) == (2 if unit == "kg" else 0)
    assert "gauge" not in capsys.readouterr().out


@pytest.mark.parametrize("unit", ["barg", "bar g", "psi(g)", "kgf/cm2 gauge", "MPa (g)"])
def test_a_mark_of_gauge_pressure_is_said(capsys: pytest.CaptureFixture[str], unit: str) -> None:
    told = " ".join(said(capsys, f"5 {unit}").split())
    assert f"{unit} is gauge pressure, which instruments show." in told


@pytest.mark.parametrize(
    ("pressure", "unit", "words"),
    [
        ("400 bar", "psi", "15 psi to the bar would give 6000 psi: 3.42 % too high."),
        ("40 MPa", "psi", "150 psi to the MPa would give 6000 psi: 3.42 % too high."),
        ("0 bar", "psi", ""),
        ("400 bar", "MPa", ""),
    ],
)
def test_reckoning_with_a_round_factor(
    pressure: str, unit: str, words: str, capsys: pytest.CaptureFixture[str]
) -> None:
    _, _, rest = said(capsys, pressure, "--to", unit).partition("\n\n")
    assert rest.replace("Not with a round factor\n", "").strip(" -\n") == words


def test_a_unit_that_only_pint_knows(capsys: pytest.CaptureFixture[str]) -> None:
    assert said(capsys, "760 torr", "--to", "kPa").startswith("760 torr = 101.325 kPa")


def test_as_data(capsys: pytest.CaptureFixture[str]) -> None:
    found = json.loads(said(capsys, "400 bar", "--to", "psi", "--to", "atm", "--format", "json"))
    assert found["pressure"] == {"value": "400", "unit": "bar", "pascal": "40000000"}
    psi, atm = found["conversions"]
    assert Fraction(atm["value"]) == Fraction(40000000, 101325)
    assert psi["pascal"] == atm["pascal"] == "40000000"
    assert float(Fraction(psi["value"])) == pytest.approx(5801.51, abs=0.005)


@pytest.mark.parametrize("pressure", ["400", "400 mPa", "6,000 psi", "400 psia", "-3 bar", "1 m"])
def test_what_is_refused_says_what_to_write(
    pressure: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(["convert", "--", pressure]) == 2
    assert "Do: " in capsys.readouterr().err


@pytest.mark.parametrize(
    ("arguments", "line", "words"),
    [
        (["5800 psi", "--to", "bar", "--as", "high"], "high = 399 (bar)", "0.895923 bar (0.22 %)"),
        (["5800 psi", "--to", "bar", "--as", "low"], "low = 400 (bar)", "0.104077 bar (0.026 %)"),
        (["400 bar", "--to", "psi", "--as", "high", "--step", "100"], "high = 5800 (psi)", "less"),
        (["27,6 MPa", "--to", "bar", "--as", "low", "--step", "0,5"], "low = 276 (bar)", "nothing"),
        (["500 torr", "--to", "mbar", "--as", "high", "--step", "1"], "high = 666 (mbar)", "less"),
    ],
)
def test_a_cutoff_is_rounded_the_safe_way(
    arguments: list[str], line: str, words: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """By hand from 1 psi = 6894.757 293 168 Pa and 1 torr = 133.322 368 Pa (NIST SP 811)."""
    text = said(capsys, *arguments)
    assert line in [part.strip() for part in text.splitlines()]
    assert words in " ".join(text.split())


@given(
    st.decimals(min_value="0.001", max_value=10**6, places=3),
    st.sampled_from([*PRESSURE_UNITS, "torr", "atm"]),
    st.sampled_from(["bar", "psi", "MPa", "kPa", "kgf/cm2", "atm"]),
    st.fractions(min_value=Fraction(1, 1000), max_value=1000),
    st.sampled_from(["high", "low"]),
)
def test_no_rounding_is_unsafe(
    number: Decimal, unit: str, into: str, step: Fraction, field: str
) -> None:
    """In exact fractions, over every unit and any step."""
    (result,) = convert_exactly(Fraction(number), unit, [into]).results
    try:
        item = rounded(result, field, step)
    except UnitError:  # a high cutoff of zero stops nothing
        assert field == "high"
        assert result.value < step
        return
    assert item.stored.value % step == 0
    assert item.off.value < step
    above = item.stored.value - result.value
    assert above >= 0 if field == "low" else above <= 0
    assert item.stored.pascal - result.pascal == above * Fraction(result.pascal, result.value)


def test_a_rounded_cutoff_as_data(capsys: pytest.CaptureFixture[str]) -> None:
    asked = ["5800 psi", "--to", "bar", "--as", "high", "--format", "json"]
    found = json.loads(said(capsys, *asked))
    schema = json.loads(
        files("limitcheck.schemas").joinpath("convert.schema.json").read_text(encoding="utf-8")
    )
    assert [e.message for e in Draft202012Validator(schema).iter_errors(found)] == []
    (item,) = found["cutoff"]["rounded"]
    assert item["rounded"] == {"value": "399", "unit": "bar", "pascal": "39900000"}
    assert Fraction(item["exact"]["value"]) - 399 == Fraction(item["difference"]["value"])


@pytest.mark.parametrize(
    "arguments",
    [
        ["0.3 bar", "--to", "MPa", "--as", "high"],
        ["0 bar", "--to", "psi", "--as", "high"],
        ["5800 psi", "--to", "torr", "--as", "high"],
        ["5800 psi", "--to", "bar", "--as", "high", "--step", "0"],
        ["5800 psi", "--to", "bar", "--as", "high", "--step", "1 psi"],
        ["5800 psi", "--to", "bar", "--step", "1"],
        ["5800 psi", "--to", "bar", "--as", "high", "--exact"],
        ["5.800 psi", "--to", "bar"],
    ],
)
def test_what_cannot_be_rounded_is_refused(
    arguments: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(["convert", *arguments]) == 2
    assert "Do: " in capsys.readouterr().err


@pytest.mark.parametrize(
    "text", ["1 )", "1 bar(", "1 bar**9**9**9", "1 9**9*bar", "1 bar.real", "1 'bar'", "1 bar+psi"]
)
def test_a_unit_is_never_worked_out_as_an_expression(
    text: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(["convert", text, "--to", "bar"]) == 2
    assert "Do: " in capsys.readouterr().err


@given(st.text(alphabet="bars/*^()²·mpN kgf2H_O-", max_size=12))
def test_any_unit_is_read_or_refused(unit: str) -> None:
    try:
        convert_exactly(Fraction(1), unit, ["bar"])
    except UnitError as refusal:
        assert refusal.advice  # noqa: PT017
