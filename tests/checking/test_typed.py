"""Pressures as people type them: read alike wherever they are typed."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from limitcheck.checking.entry import UnusableEntry, described
from limitcheck.checking.typed import is_bare, parse_change, pressure, read, steps
from limitcheck.errors import LimitcheckError
from limitcheck.units import Pressure, UnitError
from limitcheck.units.conversion import convert


def _rating(text: str) -> Fraction:
    (part, _) = described("bar", None, None, [text]).flow_path
    assert part.rating is not None
    return part.rating.value


WAYS: dict[str, Callable[[str], Fraction]] = {
    "reading": lambda text: pressure(text, "bar", "reading").value,
    "isolate": lambda text: steps([f"all={text}"], "bar", "--reading")["all"].value,
    "entry": lambda text: read(text, "bar").pressure.value,
    "entry --rating": _rating,
    "convert": lambda text: convert(text, ["bar"]).results[0].pascal,
}


def _read(way: str, text: str) -> Fraction | None:
    """What a command makes of a text; None where it refuses it."""
    advice = ""
    try:
        return WAYS[way](text)
    except LimitcheckError as error:
        advice = error.advice
    assert advice
    return None


TEXTS = [
    *("1e2 bar", "1e5 kPa", "0,4 MPa", "5.800 psi", "5,800 psi", "4000 lb/in2", "40 N/mm2"),
    *("280 barg", "280 bara", "28 mpa", "28 mPa", "280-300 bar", "\u22123 bar", "6\u202f000 psi"),
    *("413.685 bar", "4 kgf/mm2", "400 at", "400 ata", "", "bar"),
]


@pytest.mark.parametrize("text", TEXTS)
def test_a_pressure_means_the_same_in_every_command(text: str) -> None:
    assert len({_read(way, text) for way in WAYS}) == 1


@given(st.text(alphabet="0123456789.,' \u00a0\u2212-+eEbarpsiMPakgfcmN/²2()", max_size=14))
@example("1e5")
@example("5.800")
def test_any_text_means_the_same_or_is_refused_alike(text: str) -> None:
    """A bare number is for those that know the instrument's unit; `convert` has more units."""
    (one,) = {_read(way, text) for way in ("reading", "entry")}
    if one is not None:
        assert _read("convert", f"{text} bar" if is_bare(text) else text) == one


def test_a_bare_number_is_in_the_unit_of_the_instrument() -> None:
    for text, value in (("1e2", 100), ("2,5", "2.5"), ("1.5e1", 15), ("+3", 3)):
        assert read(text, "bar").pressure == Pressure.of(str(value), "bar")
    with pytest.raises(UnitError, match="a point: between thousands"):
        read("5.800", "psi")
    assert read("5.800", "psi", decimal_point=True).pressure.to("psi") == Fraction("5.8")
    with pytest.raises(UnusableEntry, match=r"--expected-low: .* a point"):
        described("psi", "1.800", "2300", [])


def test_conditions_take_a_decimal_comma() -> None:
    """The comma between two conditions stands before a key."""
    change, typed = parse_change(["flow=1,2 mL/min, percent-b=40,5,temperature=35 degC"])
    assert change == parse_change(["flow=1.2 mL/min,percent-b=40.5,temperature=35 degC"])[0]
    assert str(typed["flow"]) == "1.2 mL/min"
    for wrong in ("flow=1,200 mL/min", "flow=1 mL/min,", "flow", "flow=1 mL/min,,percent-b=40"):
        with pytest.raises(LimitcheckError) as refused:
            parse_change([wrong])
        assert refused.value.advice
