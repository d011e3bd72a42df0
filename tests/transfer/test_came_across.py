"""How a cutoff comes across, one by one. Factors: NIST SP 811 (2008), App. B."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from limitcheck.checking.proposed import Name
from limitcheck.profile.model import Instrument
from limitcheck.transfer.came_across import cutoff_moved, safe_number
from limitcheck.transfer.comparison import compare
from limitcheck.transfer.ruling import Pair
from limitcheck.units import TRADE_UNITS, Pressure
from tests.profiles_for_tests import WITH_GEOMETRY, with_geometry


@pytest.mark.parametrize(
    ("name", "sent", "got", "verdict"),
    [
        ("high", "400 bar", "400 psi", "copied unconverted"),
        ("low", "125 bar", "125 psi", "copied unconverted"),
        ("high", "400 bar", "400 MPa", "copied unconverted"),
        ("high", "400 bar", "6000 psi", "by rule of thumb"),  # 15 psi to the bar: 413.7 bar
        ("low", "125 bar", "1875 psi", "by rule of thumb"),
        ("high", "400 bar", "5600 psi", "by rule of thumb"),  # 14 to the bar: lower, safe
        ("high", "400 bar", "5801 psi", "rounded the safe way"),  # 5802 psi
        ("high", "400 bar", "5802 psi", "rounded the wrong way"),
        ("low", "125 bar", "1813 psi", "rounded the safe way"),  # 1812.97 psi
        ("low", "125 bar", "1812 psi", "rounded the wrong way"),
        ("high", "400 bar", "40 MPa", "same pressure"),
        ("high", "400 bar", "400 bar", "same pressure"),
        ("high", "400 bar", "5221 psi", "set differently"),
        ("high", "400 bar", None, "missing"),
        ("low", "125 bar", None, "missing"),
        ("low", "125 bar", "0 psi", "missing"),
        ("low", None, "100 psi", "added"),
        ("low", "0 bar", None, "off on both"),
    ],
)
def test_how_a_cutoff_came_across(
    name: Name, sent: str | None, got: str | None, verdict: str
) -> None:
    unit = got.split()[1] if got else "psi"
    there = Instrument.model_validate({"id": "HM-LC-07", "pressure_unit": unit})
    pressures = (Pressure.parse(text) if text else None for text in (sent, got))
    cutoff = cutoff_moved(name, *pressures, there)
    assert cutoff.verdict == verdict, cutoff.text


@given(
    st.integers(1, 15_000),
    st.sampled_from(TRADE_UNITS),
    st.sampled_from(TRADE_UNITS),
    st.sampled_from([Fraction(1), Fraction(1, 10), Fraction(1, 100), Fraction(5)]),
)
def test_the_safe_number_never_protects_less(
    number: int, one: str, other: str, step: Fraction
) -> None:
    sent = Pressure.of(number, one)
    there = Instrument.model_construct(id="A", pressure_unit=other, display_step=step)
    high, low = safe_number("high", sent, there), safe_number("low", sent, there)
    assert high <= sent <= low
    assert low.to(other) - high.to(other) in (0, step)
    moved = cutoff_moved("high", sent, high, there)
    assert moved.exact == sent
    assert moved.verdict != "rounded the wrong way"


@pytest.mark.parametrize(
    ("sent", "got", "told"),
    [
        (
            40,
            200,
            "40 bar at the sender; 200 bar here is 5 times that; allowed up to 215 bar, 25 % above "
            "the expected maximum here, the least margin: the sender's 40 bar is not above its own "
            "expected maximum, 172 bar",
        ),
        (
            220,
            250,
            "220 bar at the sender; 250 bar here is 13.6 % above that; allowed up to 220 bar, "
            "27.9 % above the expected maximum here, as at the sender",
        ),
        (
            200,
            210,
            "200 bar at the sender; 210 bar here is 5 % above that; allowed up to 215 bar, 25 % "
            "above the expected maximum here, the least margin",
        ),
    ],
)
def test_what_is_allowed_says_above_what(sent: int, got: int, told: str) -> None:
    sides = (
        with_geometry(WITH_GEOMETRY.replace("high = 260", f"high = {high}")).profile
        for high in (sent, got)
    )
    (ruled, *_) = (r for r in compare(Pair(*sides)) if r.field == "high cutoff")
    assert ruled.rule == told
