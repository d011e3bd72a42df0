"""`limitcheck convert` from the command line. Factors: NIST SP 811 (2008), App. B, and pint."""

from __future__ import annotations

import json
from fractions import Fraction

import pint
import pytest

from limitcheck.cli.app import run


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
