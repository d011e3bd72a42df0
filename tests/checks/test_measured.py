"""What measured pairs that contradict the geometry may come of: slips made on purpose, named."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from limitcheck.checks import Skip, Subject
from limitcheck.checks.measured import measured_against_geometry
from limitcheck.findings import Confidence, Finding
from limitcheck.physics.predict import predict
from limitcheck.physics.system import Change
from limitcheck.policy import DEFAULT_POLICY
from limitcheck.profile.model import Profile
from tests.physics.profiles import (
    COLUMN,
    GRADIENT,
    PUMP,
    TUBE,
    TUBE_2,
    column,
    conditions,
    pair,
    profile,
)

ML_MIN = 1e-6 / 60
BED = column(particle_size='"5 um"')


def found(made: Profile) -> list[Finding]:
    return list(measured_against_geometry(Subject(made, DEFAULT_POLICY, date.max)))


def read_on(*parts: str, flows: tuple[float, ...] = (0.5, 1.0), by: float = 1.0) -> str:
    """Pairs as those parts would give them."""
    real = profile(*parts)
    bars = (predict(real, Change(flow=flow * ML_MIN)).central / 1e5 for flow in flows)
    return ", ".join(pair(flow, bar * by) for flow, bar in zip(flows, bars, strict=True))


@pytest.mark.parametrize(
    ("real", "says"),
    [
        (column(particle_size='"3 um"'), "a particle size of 3 um instead of 5 um"),
        (column(particle_size='"10 um"'), "a particle size of 10 um instead of 5 um"),
        (column(bore='"3 mm"'), "a bore of 3 mm instead of 4.6 mm"),
        (column(length='"300 mm"'), "a length of 300 mm instead of 150 mm"),
    ],
)
def test_a_slip_in_the_column_is_among_the_possibilities(real: str, says: str) -> None:
    (finding,) = found(profile(PUMP, TUBE, BED, measured=read_on(PUMP, TUBE, real)))
    assert says in finding.advice
    assert finding.advice.startswith("Possible, each by itself: ")
    assert finding.path == ("measured", 1, "pressure")
    assert finding.message.count("rests on the pairs") == 1


def test_a_narrower_tube_is_found_without_the_column() -> None:
    """0.12 mm where the profile says 0.17 mm: four times the pressure of the tubing."""
    narrow = TUBE.replace("0.17 mm", "0.12 mm")
    real = profile(PUMP, narrow, COLUMN)
    tubes, column_drop = (
        sum(s.central for s in predict(real).budget if (s.name == "column") is heated) / 1e5
        for heated in (False, True)
    )
    pairs = [pair(1.0, tubes, column="false"), pair(2.0, 2 * tubes, column="false")]
    pairs += [pair(0.5, (tubes + column_drop) / 2), pair(1.0, tubes + column_drop)]
    (finding,) = found(profile(PUMP, TUBE, COLUMN, measured=", ".join(pairs)))
    assert "other parts take" in finding.message
    assert "a bore of 0.12 mm instead of 0.17 mm of the tubing (first)" in finding.advice
    assert "particle size" not in finding.advice
    assert "something partly blocked" in finding.advice


@pytest.mark.parametrize(("by", "unit"), [(14.5038, "psi"), (0.1, "MPa")])
def test_pressures_in_another_unit(by: float, unit: str) -> None:
    long = (TUBE, column(length='"250 mm"', particle_size='"3 um"'))
    finding, *_ = found(profile(PUMP, *long, measured=read_on(PUMP, *long, flows=(1, 2), by=by)))
    assert f"pressures in {unit}, written as bar" in finding.advice
    assert finding.confidence is Confidence.LIKELY
    assert "rests on the geometry alone" in finding.message


def test_less_pressure_may_be_a_leak() -> None:
    (finding,) = found(profile(PUMP, TUBE, BED, measured=read_on(PUMP, TUBE, BED, by=0.5)))
    assert "a leak before the column" in finding.advice
    assert "blocked" not in finding.advice


def test_a_certified_column_has_no_sizes_to_doubt() -> None:
    certificate = '{pressure = "60 bar", flow = "1 mL/min", percent_b = 18}'
    certified = column(certificate=certificate)
    pairs = read_on(PUMP, TUBE, certified, by=1.6)
    (finding,) = found(profile(PUMP, TUBE, certified, measured=pairs))
    assert "a certificate of another column" in finding.advice
    assert "particle size" not in finding.advice


def test_a_little_outside_is_only_possible() -> None:
    (finding,) = found(profile(PUMP, TUBE, BED, measured=read_on(PUMP, TUBE, BED, by=1.7)))
    assert finding.confidence is Confidence.POSSIBLE


@pytest.mark.parametrize("by", [0.85, 1.0, 1.3])
def test_what_the_geometry_allows_is_no_finding(by: float) -> None:
    assert found(profile(PUMP, TUBE, BED, measured=read_on(PUMP, TUBE, BED, by=by))) == []


def test_without_pairs_nothing_is_said() -> None:
    assert found(profile()) == []


@pytest.mark.parametrize(
    ("measured", "more", "why"),
    [
        (pair(1.0, 66), {}, "a single pair"),
        (pair(1.0, 66), {"flow": ""}, "no conditions.flow"),
        (f"{pair(1.0, 66)}, {pair(0.5, 33)}, {pair(1e-5, 40)}", {}, "pair 3 cannot be used"),
    ],
)
def test_what_cannot_be_decided_is_said(measured: str, more: dict[str, str], why: str) -> None:
    made = profile(PUMP, TUBE, TUBE_2, BED, measured=measured, conditions=conditions(**more))
    with pytest.raises(Skip, match=why):
        found(made)


def test_a_pressure_above_the_pump_was_not_read_on_it() -> None:
    """The pump of these profiles is rated 400 bar."""
    (finding,) = found(profile(PUMP, TUBE, BED, measured=read_on(PUMP, TUBE, BED, by=8.0)))
    assert finding.path == ("measured", 1, "pressure")
    assert "something partly blocked" in finding.advice
    assert "above what the pump holds, 400 bar" in finding.message
    single = Subject(profile(measured=pair(1.0, 900)), DEFAULT_POLICY, date.max)
    checks = measured_against_geometry(single)
    assert next(checks).message.startswith("Pair 1, 900.0000 bar")
    with pytest.raises(Skip, match="a single pair"):
        next(checks)


def test_what_to_add_is_said() -> None:
    made = profile(PUMP, BED, measured=f"{pair(1.0, 66)}, {pair(0.5, 33)}", conditions=GRADIENT)
    with pytest.raises(Skip, match="no percent_b beside the pressure") as raised:
        found(made)
    assert raised.value.add == "what the pairs lack"


def test_an_acceptance_holds_for_these_pairs() -> None:
    """What it is compared with moves with the pair, and gets worse upwards."""
    made: list[Any] = [
        found(profile(PUMP, TUBE, BED, measured=read_on(PUMP, TUBE, BED, by=by)))[0].compared
        for by in (1.8, 2.0)
    ]
    assert made[0].worse == made[1].worse == "above"
    assert made[0].value != made[1].value
    assert made[0].limit == made[1].limit
