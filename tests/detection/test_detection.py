"""Floors under what was measured with `python -m tests.detection`, at a fixed seed."""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction

import pytest

from limitcheck.units import Pressure

from .generator import generate
from .measure import CleanCase, RuleCase, SlipCase, clean_case, measure
from .order import Order
from .slips import slip_fields, slip_instrument
from .stats import Share
from .tables import named_right, of_kind, report

SEED, PROFILES = 1, 120
FLOORS = {
    "high": (98, 96),
    "low": (90, 82),
    "expected": (95, 92),
    "rating": (92, 82),
    "instrument": (92, 91),
    "high + low": (98, 94),
    "high + expected": (94, 75),
    "low + expected": (92, 84),
}
"""Least percent flagged and named, of slips a factor 6 or more apart (bar and kgf/cm2 named as
one): just under what these profiles give."""


@pytest.fixture(scope="module")
def cases() -> list[CleanCase | SlipCase | RuleCase]:
    return list(measure(SEED, range(PROFILES)))


def test_no_clean_profile_is_called_confused(cases: Iterable[object]) -> None:
    more = [clean_case(generate(SEED, i), as_they_occur=True) for i in range(PROFILES, 600)]
    clean = [case for case in cases if isinstance(case, CleanCase)] + more
    assert [case.index for case in clean if case.unit_confusion] == []


@pytest.mark.parametrize("kind", FLOORS)
def test_slips_are_flagged_and_named(kind: str, cases: Iterable[object]) -> None:
    flagged, named = FLOORS[kind]
    chosen = of_kind([case for case in cases if isinstance(case, SlipCase)], kind)
    assert Share.of(case.flagged for case in chosen).percent >= flagged
    assert Share.of(named_right(case, near_pair_as_one=True) for case in chosen).percent >= named


def test_a_high_cutoff_converted_past_a_rating_is_flagged(cases: Iterable[object]) -> None:
    over = [case for case in cases if isinstance(case, RuleCase) and case.over_rating]
    assert len(over) > PROFILES / 4
    assert all(case.flagged for case in over)


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
    off = next(
        c
        for c in (generate(5, i, display="bar") for i in range(200))
        if not c.document["cutoffs"].get("low")
    )
    assert slip_fields(off, ("low",), "MPa") is None
