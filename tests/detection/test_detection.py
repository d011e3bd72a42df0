"""Floors under what was measured with `python -m tests.detection`, at a fixed seed."""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction

import pytest

from limitcheck.units import Pressure

from .generator import generate
from .measure import CleanCase, RuleCase, SlipCase, measure
from .order import Order
from .slips import slip_fields, slip_instrument
from .tables import report

SEED, PROFILES = 1, 300


@pytest.fixture(scope="module")
def cases() -> list[CleanCase | SlipCase | RuleCase]:
    return list(measure(SEED, range(PROFILES)))


def test_no_clean_profile_is_called_confused(cases: Iterable[object]) -> None:
    clean = [case for case in cases if isinstance(case, CleanCase)]
    assert len(clean) == 3 * PROFILES
    assert [case.index for case in clean if case.unit_confusion] == []


def test_the_report_fits_80_columns(cases: list[CleanCase | SlipCase | RuleCase]) -> None:
    lines = list(
        report(
            [case for case in cases if isinstance(case, CleanCase)],
            [case for case in cases if isinstance(case, SlipCase)],
            [case for case in cases if isinstance(case, RuleCase)],
        )
    )
    assert max(map(len, lines)) <= 80


def test_a_profile_is_the_same_whenever_it_is_generated() -> None:
    assert generate(7, 3) == generate(7, 3)
    assert generate(7, 3).document != generate(8, 3).document


@pytest.mark.parametrize("display", ["bar", "psi", "MPa", "kPa", "kgf/cm2"])
def test_numbers_can_be_stored_and_are_in_order(display: str) -> None:
    for index in range(20):
        profile = generate(2, index, display=display).profile
        step = profile.instrument.step
        for cutoff in (profile.cutoffs.high, profile.cutoffs.low):
            assert cutoff is None or cutoff.to(display) % step == 0
        assert Order.of(profile).holds


def test_a_slipped_number_is_sound_when_read_as_meant() -> None:
    for index in range(40):
        clean = generate(3, index, display="bar")
        slip = slip_fields(clean, ("high",), "MPa")
        assert slip is not None
        typed = Fraction(slip.document["cutoffs"]["high"])
        meant = Pressure.of(typed, "MPa")
        true = Order.of(clean.profile)
        assert true.expected_high < meant <= min(true.ratings.values())


def test_an_instrument_slip_changes_the_unit_alone() -> None:
    clean = generate(4, 1, display="psi")
    slip = slip_instrument(clean, "bar")
    assert slip.document["instrument"] == clean.document["instrument"] | {"pressure_unit": "bar"}
    assert {k: v for k, v in slip.document.items() if k != "instrument"} == {
        k: v for k, v in clean.document.items() if k != "instrument"
    }


def test_there_is_no_slip_where_the_low_cutoff_is_off() -> None:
    off = next(c for c in (generate(5, i, display="bar") for i in range(200))
               if not c.document["cutoffs"].get("low"))  # fmt: skip
    assert slip_fields(off, ("low",), "MPa") is None
