"""Which number was meant: the whole search, and its manners."""

from __future__ import annotations

from random import Random
from time import process_time

import pytest
from hypothesis import given
from hypothesis import strategies as st

from limitcheck.findings import Confidence, KeyPath
from limitcheck.meant import Evidence, Judgement, Predicted, judge
from limitcheck.meant.evidence import (
    ENTRY_MAX,
    EXPECTED,
    EXPECTED_HIGH,
    EXPECTED_LOW,
    HIGH,
    INSTRUMENT,
    LOW,
)
from limitcheck.meant.relations import read
from limitcheck.profile.load import load_bytes
from limitcheck.units import Length, Pressure, plain
from tests.detection.mistakes import mistyped
from tests.profiles_for_tests import profile_file

PUMP: KeyPath = ("flow_path", 0, "rating")
COLUMN_IN_PSI = '"6500 psi"'
GEOMETRY = (
    '"450 bar"\nlength = "150 mm"\nbore = "{bore}"\nparticle_size = "{particle}"\n\n'
    '[conditions]\nflow = "{flow}"\ntemperature = "30 degC"\nsolvent_a = "water"\n'
    'solvent_b = "methanol"\npercent_b = 50'
)


def sized(bore: str = "4.6 mm", particle: str = "5 um", flow: str = "1.0 mL/min") -> str:
    """The column of the base profile with lengths and conditions: about 150 bar."""
    return GEOMETRY.format(bore=bore, particle=particle, flow=flow)


def judged(predicted: Predicted | None = None, **values: str) -> Judgement | None:
    return judge(Evidence(profile_file(**values).profile, predicted)).pressures


def meant(found: Judgement | None) -> dict[KeyPath, str]:
    """The best explanation: by group the unit, or the number where another was meant."""
    assert found is not None
    return {change.group: change.number or change.unit for change in found.best.changes}


def test_numbers_that_agree_are_left_alone() -> None:
    assert judged() is None


@pytest.mark.parametrize(
    ("values", "expected"),
    [
        ({"high": "25"}, {HIGH: "MPa"}),
        ({"high": "3626"}, {HIGH: "psi"}),
        ({"high": "25000"}, {HIGH: "kPa"}),
        ({"low": "870"}, {LOW: "psi"}),
        ({"expected_low": "1740", "expected_high": "2900"}, {EXPECTED: "psi"}),
        ({"expected_low": "12", "expected_high": "20"}, {EXPECTED: "MPa"}),
        ({"pump": '"400 psi"'}, {PUMP: "bar"}),
        ({"pump": '"40 bar"'}, {PUMP: "MPa"}),
        (
            {"high": "3620", "low": "870", "expected_low": "1740", "expected_high": "2900"},
            {INSTRUMENT: "psi"},
        ),
        (
            {"low": "870", "expected_low": "1740", "expected_high": "2900"},
            {LOW: "psi", EXPECTED: "psi"},
        ),
        ({"expected_low": "1740"}, {EXPECTED_LOW: "psi"}),
        ({"expected_high": "2900"}, {EXPECTED_HIGH: "psi"}),
        ({"expected_high": "20"}, {EXPECTED_HIGH: "MPa"}),
        ({"step": "1\nentry_max = 40"}, {ENTRY_MAX: "MPa"}),
        ({"step": "1\nentry_max = 5800"}, {ENTRY_MAX: "psi"}),
        ({"step": "1\nentry_max = 4000"}, {ENTRY_MAX: "psi"}),
        ({"high": "2500"}, {HIGH: "250"}),
        ({"high": "2300"}, {HIGH: "230"}),
    ],
)
def test_the_smallest_slip_under_which_all_agree(
    values: dict[str, str], expected: dict[KeyPath, str]
) -> None:
    assert meant(judged(**values)) == expected


def test_bar_is_never_suggested_for_kgf_nor_the_reverse() -> None:
    for values in ({"high": "401"}, {"unit": '"kgf/cm2"', "high": "409"}):
        assert judged(**values) is None


def test_the_near_unit_is_named_beside_the_other() -> None:
    found = judged(
        unit='"MPa"', step="0.1", low="6", high="250", expected_low="12", expected_high="20"
    )
    assert meant(found) == {HIGH: "bar"}
    assert found is not None
    assert found.best.near
    assert found.confidence is not Confidence.CERTAIN


@pytest.mark.parametrize(
    "values",
    [
        {"high": "450"},  # the column's rating: above the pump's, but an untouched default
        {"high": "190"},
        {"high": "420"},
        {"expected_high": "260"},
        {"high": "402"},  # 0.5 % over a rating: a rounding
        {"high": "200"},
        {"low": "120"},
        {"pump": '"5003 psi"', "high": "345"},
        {"low": "5"},
        {"low": "20"},
    ],
)
def test_ordinary_mistakes_roundings_and_habits_are_no_slips(values: dict[str, str]) -> None:
    assert judged(**values) is None


def test_a_low_cutoff_that_follows_the_band_speaks_for_it() -> None:
    """A method of 2 bar under a cutoff of 390 bar; with no low cutoff to agree, it is doubted."""
    band = {"expected_low": "1.2", "expected_high": "2", "high": "390"}
    assert judged(low="0.6", **band) is None
    assert judged(low="", **band) is not None


def test_a_rounding_does_not_bar_another_explanation() -> None:
    """The pump holds 344.9 bar; the band is in psi whether the cutoff is rounded up or not."""
    found = judged(pump='"5003 psi"', high="345", expected_low="1740", expected_high="2900")
    assert meant(found) == {EXPECTED: "psi"}


def test_the_prediction_tells_which_of_two_is_wrong() -> None:
    """A low-pressure method, or an expected band in MPa: only the physics knows."""
    values = {"low": "", "expected_low": "12", "expected_high": "20", "high": "300"}
    assert judged(Predicted(14, 18, 24), **values) is None
    assert meant(judged(Predicted(150, 190, 240), **values)) == {EXPECTED: "MPa"}


def test_explanations_that_fit_about_alike_are_rivals() -> None:
    found = judged(low="", high="25")
    assert found is not None
    groups = {change.group for e in (found.best, *found.rivals) for change in e.changes}
    assert {HIGH, EXPECTED} == groups | {HIGH}
    odds = [e.probability for e in (found.best, *found.rivals)]
    assert odds == sorted(odds, reverse=True)
    assert sum(odds) < 1


@pytest.mark.parametrize(
    ("values", "confidence"),
    [
        # Nothing else gives a band that fits, and psi stands on the column's label.
        (
            {"expected_low": "1740", "expected_high": "2900", "column": COLUMN_IN_PSI},
            Confidence.CERTAIN,
        ),
        # The unit stands nowhere else.
        ({"expected_low": "1740", "expected_high": "2900"}, Confidence.LIKELY),
        # A digit lost gives the same number as the other unit.
        ({"high": "25", "column": '"45 MPa"'}, Confidence.LIKELY),
        # A label must be looked at.
        ({"pump": '"40 bar"', "column": '"45 MPa"'}, Confidence.LIKELY),
        # Hardly missed: as well an ordinary mistake.
        ({"low": "160", "column": COLUMN_IN_PSI}, Confidence.POSSIBLE),
    ],
)
def test_confidence_is_earned(values: dict[str, str], confidence: Confidence) -> None:
    found = judged(**values)
    assert found is not None
    assert found.confidence is confidence


def test_a_size_that_cannot_be_right_is_doubted_itself() -> None:
    for column, group, number in (
        (sized(particle="5 mm"), "particle_size", "5 um"),
        (sized(bore="4.6 um"), "bore", "4.6 mm"),
        (sized(bore="46 mm"), "bore", "4.6 mm"),
    ):
        found = judge(Evidence(profile_file(column=column).profile))
        assert found.pressures is None
        (size,) = found.sizes
        (change,) = size.best.changes
        assert change.group == ("flow_path", 1, group)
        assert f"{change.number} {change.unit}" == number


def test_a_length_written_in_two_ways_is_one_explanation() -> None:
    """1.5 cm and 15 mm."""
    profile = profile_file(column='"450 bar"\nlength = "1.5 mm"').profile
    (size,) = judge(Evidence(profile)).sizes
    lengths = [float(Length.of(c.number, c.unit)) for e in size.explanations for c in e.changes]
    assert 0.015 in lengths
    assert len(lengths) == len({round(length, 9) for length in lengths})


def test_the_flow_explains_all_columns_at_once() -> None:
    guard = '"450 bar"\nbore = "2.1 mm"\n\n[[flow_path]]\npart = "guard column"\nrating = '
    found = judge(Evidence(profile_file(column=guard + sized(flow="1.0 L/min")).profile))
    assert [c.group for size in found.sizes for c in size.best.changes] == [("conditions", "flow")]


def test_pressures_are_compared_with_the_corrected_size() -> None:
    profile = profile_file(
        column=sized(particle="5 mm"), low="6", expected_low="12", expected_high="20"
    ).profile
    found = judge(Evidence(profile))
    assert [c.unit for size in found.sizes for c in size.best.changes] == ["um"]
    assert meant(found.pressures) == {EXPECTED: "MPa"}


ORDER = st.tuples(
    st.integers(20, 350), st.floats(0.4, 0.9), st.floats(1.1, 1.6), st.floats(0.3, 0.8)
)
UNITS = st.sampled_from(["bar", "psi", "MPa", "kPa", "kgf/cm2"])


def sound(order: tuple[int, float, float, float], unit: str) -> dict[str, str]:
    """Values of a sound profile that shows a unit."""
    top, width, above, below = order
    pressures = {
        "expected_high": top,
        "expected_low": top * width,
        "high": min(top * above, 395),
        "low": top * width * below,
    }
    values = {
        name: plain(round(Pressure.of(str(round(bar, 3)), "bar").to(unit), 4))
        for name, bar in pressures.items()
    }
    return {"unit": f'"{unit}"', "step": "0.01", **values}


@given(ORDER, UNITS)
def test_a_sound_profile_is_sound_in_every_unit(
    order: tuple[int, float, float, float], unit: str
) -> None:
    assert judged(**sound(order, unit)) is None


@given(
    ORDER, UNITS, st.sampled_from(["high", "low", "expected_high", "expected_low"]), st.randoms()
)
def test_a_typing_error_is_never_certainly_another_number(
    order: tuple[int, float, float, float], unit: str, name: str, rng: Random
) -> None:
    """The error that was made is among the explanations, so no other can be certain."""
    values = sound(order, unit)
    true = values[name]
    wrong = mistyped(rng, true)
    if wrong is None:
        return
    found = judged(**values | {name: wrong})
    if found is not None and found.confidence is Confidence.CERTAIN:
        assert list(meant(found).values()) == [true]


@given(st.integers(1, 99999), st.integers(1, 99999), st.integers(1, 9999), st.integers(1, 9999))
def test_an_explanation_always_leaves_nothing_broken(
    high: int, low: int, expected_low: int, width: int
) -> None:
    profile = profile_file(
        high=str(high),
        low=str(low),
        expected_low=str(expected_low),
        expected_high=str(expected_low + width),
    ).profile
    evidence = Evidence(profile)
    found = judge(evidence).pressures
    if found is not None:
        for explanation in found.explanations:
            assert not read(evidence, evidence.changed(explanation.changes)).broken
            assert len(explanation.changes) <= 2
        odds = [e.probability for e in found.explanations]
        assert odds == sorted(odds, reverse=True)
        assert all(0 <= p <= 1 for p in odds)


def fifty_parts(high: str, low: str, expected_low: str, expected_high: str) -> Evidence:
    """A profile with 50 rated parts, eight of them with a wrong unit."""
    labels = ["400 bar", "6000 psi", "40 bar", "345 psi", "5003 psi", "60 MPa"]
    parts = "".join(
        f'[[flow_path]]\npart = "tubing"\nrating = "{labels[i % 6]}"\n\n' for i in range(48)
    )
    text = profile_file(
        high=high, low=low, expected_low=expected_low, expected_high=expected_high
    ).text.replace('[[flow_path]]\npart = "column"', parts + '[[flow_path]]\npart = "column"')
    return Evidence(load_bytes(text.encode(), "kestrel.toml").profile)


def test_fifty_rated_parts_are_judged_in_a_fifth_of_a_second() -> None:
    """Beside a clean profile in the same run, which takes one reading of its numbers."""
    clean = Evidence(profile_file().profile)
    slow = [
        fifty_parts(*numbers)
        for numbers in (
            ("250", "60", "120", "200"),
            ("25000", "300", "120", "2900"),
            ("25", "870", "1740", "2900"),
            ("250", "60", "12", "20"),
        )
    ]

    def seconds(evidence: Evidence) -> float:
        start = process_time()
        judge(evidence)
        return process_time() - start

    assert seconds(clean) < 0.01
    for evidence in slow:
        assert min(seconds(evidence) for _ in range(3)) < 0.2
