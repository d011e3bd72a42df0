"""Floors under what was measured with `python -m tests.detection`, at a fixed seed."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from fractions import Fraction
from random import Random

import pytest

from limitcheck.findings import Confidence
from limitcheck.units import Pressure

from .generator import generate
from .measure import FAMILIES, KINDS, TYPING, Case, measure, same, slip_of
from .mistakes import mistyped
from .order import in_order
from .slips import HIGH, INSTRUMENT, Slip
from .stats import Share
from .tables import claims_of, near_pair, report, total

SEED, PROFILES, CLEAN = 1, 100, 500
FLOORS = {
    "high": (94, 87),
    "low": (82, 39),
    "expected": (97, 94),
    "rating": (94, 93),
    "instrument": (85, 84),
    "high + low": (92, 77),
    "high + expected": (89, 78),
    "low + expected": (87, 75),  # beds of shells have a wider interval than they had
    "two, own units": (97, 92),
    "one end of band": (93, 89),
    "entry_max": (96, 96),
    "geometry x1000": (98, 98),
    "radius for bore": (41, 41),
    "flow x1000": (98, 98),
    "typing, high": (82, 34),
    "rule of thumb": (84, 0),
}
"""Least percent flagged and named (bar and kgf/cm2 as one): just under what these profiles give."""


@pytest.fixture(scope="module")
def cases() -> list[Case]:
    slipped = measure(SEED, range(PROFILES), list(KINDS))
    return [*slipped, *measure(SEED, range(PROFILES, CLEAN), ())]


@pytest.fixture(scope="module")
def slips(cases: Sequence[Case]) -> list[Case]:
    return [case for case in cases if case.kind in KINDS]


def test_no_number_of_a_clean_profile_is_called_wrong(cases: Sequence[Case]) -> None:
    clean = [case for case in cases if case.kind == "clean"]
    assert len(clean) == CLEAN
    assert [case.index for case in clean if case.claims] == []


@pytest.mark.parametrize("kind", FLOORS)
def test_slips_are_flagged_and_named(kind: str, slips: Sequence[Case]) -> None:
    flagged, named = FLOORS[kind]
    chosen = [case for case in slips if case.kind == kind and not near_pair(case)]
    assert Share.of(case.flagged for case in chosen).percent >= flagged
    assert Share.of(case.named for case in chosen).percent >= named


def test_each_word_of_confidence_is_earned(slips: Sequence[Case]) -> None:
    certain = claims_of(slips, Confidence.CERTAIN)
    assert len(certain) > PROFILES
    assert all(claim.cause for claim in certain)
    assert Share.of(c.right for c in claims_of(slips, Confidence.LIKELY)).percent >= 94


def test_a_typing_error_is_never_certainly_a_unit(slips: Sequence[Case]) -> None:
    mistyped = [case for case in slips if case.family == TYPING]
    assert [c for c in claims_of(mistyped, Confidence.CERTAIN) if not c.cause] == []


def test_nothing_wrong_is_written_without_asking(cases: Sequence[Case]) -> None:
    fixed = total(case.fixed for case in cases)
    assert fixed.cases > PROFILES / 2
    assert fixed.hits == 0
    assert total(case.fixed_likely for case in cases).percent <= 5
    assert total(c.fixed_likely for c in cases if c.kind == "clean").hits == 0


def test_no_check_crashes(cases: Sequence[Case]) -> None:
    assert [case for case in cases if case.crashed] == []


def test_the_report_fits_96_columns(cases: list[Case]) -> None:
    lines = list(report(cases))
    assert max(map(len, lines)) <= 96
    assert all(any(line.startswith(kind) for line in lines) for kind in (*KINDS, *FAMILIES))


def test_a_profile_is_the_same_whenever_it_is_generated() -> None:
    assert generate(7, 3) == generate(7, 3)
    assert generate(7, 3).document != generate(8, 3).document


@pytest.mark.parametrize("display", ["bar", "psi", "MPa", "kPa", "kgf/cm2"])
def test_numbers_are_in_order(display: str) -> None:
    for index in range(30):
        clean = generate(2, index, display=display)
        assert in_order(clean.profile)
        assert clean.profile.instrument.pressure_unit == display


def test_house_habits_are_generated() -> None:
    """Cutoffs at and over a rating, labels converted, bands and ratings left out, steps missed."""
    profiles = [generate(5, index) for index in range(300)]
    assert {clean.tags["kept"] for clean in profiles} >= {"all", "no band", "pump's rating only"}
    ratings = [p.rating for c in profiles for p in c.profile.flow_path if p.rating]
    assert any(rating.unit == "psi" and rating.to("psi") % 10 for rating in ratings)
    steps = [
        cutoff.to(c.profile.instrument.pressure_unit) % c.profile.instrument.step
        for c in profiles
        if (cutoff := c.profile.cutoffs.high) is not None
    ]
    assert any(steps)


@pytest.mark.parametrize("kind", KINDS)
def test_a_slip_is_in_its_fields_alone_and_the_truth_is_not_what_was_typed(kind: str) -> None:
    made = 0
    for index in range(30):
        clean = generate(3, index)
        slip = slip_of(kind, 3, clean)
        if slip is None:
            continue
        made += 1
        assert slip.document != clean.document or 0 < slip.apart < 6  # 13 bar for 13 kgf/cm2
        for path, true in slip.truth.items():
            assert same(clean.profile, slip, path, true)
    assert made > 5


def test_a_slipped_number_is_sound_when_read_as_meant() -> None:
    for index in range(40):
        clean = generate(3, index)
        slip = slip_of("high", 3, clean)
        if slip is not None and clean.profile.expected is not None:
            assert clean.profile.expected.high < slip.truth[HIGH]


def test_an_instrument_slip_changes_the_unit_alone() -> None:
    clean = generate(4, 1, display="psi")
    slip = slip_of("instrument", 4, clean)
    assert slip is not None
    assert slip.truth == {INSTRUMENT: "psi"}
    other = slip.document["instrument"].pop("pressure_unit")
    assert other != clean.document["instrument"].pop("pressure_unit")
    assert slip.document == clean.document


def test_there_is_no_slip_where_the_low_cutoff_is_off() -> None:
    clean = (generate(5, i) for i in range(200))
    off = next(c for c in clean if not c.document["cutoffs"].get("low"))
    assert slip_of("low", 5, off) is None


def test_typing_errors_are_numbers_that_toml_reads() -> None:
    rng = Random(1)
    for text in ("250", "3626", "12.5", "100.05"):
        wrong = {mistyped(rng, text) for _ in range(300)} - {None}
        assert len(wrong) > 10
        assert all(Decimal(str(number)) != Decimal(text) for number in wrong)


def test_a_value_is_right_to_a_step_or_half_a_percent() -> None:
    clean = generate(5, 0, display="bar")
    slip = Slip(clean.document, {HIGH: Pressure.of(250, "bar")})
    step = clean.profile.instrument.step
    near, far = (250 + step + share for share in (Fraction(1), Fraction(2)))
    assert same(clean.profile, slip, HIGH, Pressure.of(near, "bar"))
    assert not same(clean.profile, slip, HIGH, Pressure.of(far, "bar"))
