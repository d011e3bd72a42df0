"""What was typed, and how it reads otherwise."""

from __future__ import annotations

from math import inf

import pytest

from limitcheck.meant import Evidence, MeantNumber
from limitcheck.meant.evidence import (
    ENTRY_MAX,
    EXPECTED,
    EXPECTED_HIGH,
    EXPECTED_LOW,
    HIGH,
    INSTRUMENT,
    LOW,
    Numbers,
)
from limitcheck.profile.load import load_bytes
from tests.profiles_for_tests import profile_file

PUMP = ("flow_path", 0, "rating")
PSI = 0.0689476  # bar; NIST SP 811


def evidence(**values: str) -> Evidence:
    return Evidence(profile_file(**values).profile)


def changed(change: MeantNumber, **values: str) -> Numbers:
    return evidence(**values).changed([change])


def test_numbers_as_typed_are_in_bar() -> None:
    numbers = evidence(unit='"psi"', high="3600", step="1\nentry_max = 5800").declared
    assert numbers.high == pytest.approx(3600 * PSI, rel=1e-5)
    assert numbers.entry_max == pytest.approx(5800 * PSI, rel=1e-5)
    assert numbers.ratings == (400, 450)
    assert evidence().declared.entry_max == inf


def test_units_and_texts_as_typed() -> None:
    found = evidence(expected_low='"1740 psi"', expected_high='"20.0 MPa"', step="1\nentry_max=6e2")
    groups = (HIGH, EXPECTED_LOW, EXPECTED_HIGH, ENTRY_MAX, INSTRUMENT, PUMP)
    assert [found.unit_of(g) for g in groups] == ["bar", "psi", "MPa", "bar", "bar", "bar"]
    assert [found.text_of(g) for g in groups if g != INSTRUMENT] == [
        "250",
        "1740",
        "20.0",
        "600",
        "400",
    ]
    assert found.units_used == {"bar", "psi", "MPa"}


@pytest.mark.parametrize(
    ("change", "field", "value"),
    [
        (MeantNumber(HIGH, "unit", "MPa"), "high", 2500),
        (MeantNumber(HIGH, "typing", "bar", "205"), "high", 205),
        (MeantNumber(LOW, "unit", "psi"), "low", 60 * PSI),
        (MeantNumber(EXPECTED, "unit", "MPa"), "band", (1200, 2000)),
        (MeantNumber(EXPECTED_LOW, "one end", "MPa"), "band", (1200, 200)),
        (MeantNumber(EXPECTED_HIGH, "typing", "bar", "220"), "band", (120, 220)),
        (MeantNumber(PUMP, "unit", "MPa"), "ratings", (4000, 450)),
        (MeantNumber(PUMP, "typing", "bar", "410"), "ratings", (410, 450)),
    ],
)
def test_a_change_moves_its_numbers_alone(change: MeantNumber, field: str, value: object) -> None:
    numbers, before = changed(change), evidence().declared
    assert getattr(numbers, field) == pytest.approx(value, rel=1e-5)
    assert numbers._replace(**{field: getattr(before, field)}) == before


def test_the_instruments_unit_moves_bare_numbers_alone() -> None:
    change = MeantNumber(INSTRUMENT, "unit", "psi")
    bare = changed(change, step="1\nentry_max = 600")
    assert (bare.unit, bare.ratings) == ("psi", (400, 450))
    assert (bare.high, bare.low, bare.entry_max) == pytest.approx(
        (250 * PSI, 60 * PSI, 600 * PSI), rel=1e-5
    )
    assert bare.band == pytest.approx((120 * PSI, 200 * PSI), rel=1e-5)
    assert changed(change, expected_low='"120 bar"', expected_high='"200 bar"').band == (120, 200)
    assert changed(change, expected_low='"120 bar"').band == pytest.approx((120, 200 * PSI))
    assert changed(change, high='"250 bar"').high == 250


def test_a_default_nobody_set() -> None:
    assert evidence(high="450").declared.untouched
    assert evidence(high="600", step="1\nentry_max = 600").declared.untouched
    assert not evidence().declared.untouched
    assert not changed(MeantNumber(HIGH, "unit", "psi"), high="450").untouched


def test_a_rating_that_only_a_table_states_cannot_be_doubted() -> None:
    """It is 300 bar at 2 mL/min; no number stands there that could be mistyped."""
    table = 'rating_at_flow = [{flow = "2 mL/min", rating = "300 bar"}]'
    text = profile_file().text.replace('rating = "400 bar"', table)
    text += '\n[conditions]\nflow = "2 mL/min"\n'
    found = Evidence(load_bytes(text.encode(), "kestrel.toml").profile)
    assert found.declared.ratings == (300, 450)
    assert [rating.text for rating in found.ratings] == ["", "450"]


def test_two_kinds_of_slip_that_give_the_same_number_mean_the_same() -> None:
    found = evidence(high="25")
    unit, digit = MeantNumber(HIGH, "unit", "MPa"), MeantNumber(HIGH, "typing", "bar", "250")
    assert found.meaning(unit) == found.meaning(digit)
    assert found.meaning(unit) != found.meaning(MeantNumber(HIGH, "typing", "bar", "251"))
    assert found.meaning(MeantNumber(EXPECTED, "unit", "MPa"))[1] == "MPa"
