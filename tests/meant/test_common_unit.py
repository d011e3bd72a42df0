"""In which unit the numbers of several profiles were typed: the quick answer and the full one."""

from __future__ import annotations

from random import Random

from limitcheck.meant import Evidence, Predicted, may_be_ruled_out, ruled_out, unit_costs
from limitcheck.profile.model import validate_profile
from limitcheck.units import TRADE_UNITS
from tests.detection.generator import generate

UNITS = [unit for unit in TRADE_UNITS if unit != "kgf/cm2"]


def _evidence(index: int, unit: str) -> Evidence:
    """A generated profile whose instrument is said to show a unit, whatever its numbers are in."""
    document = generate(7, index).document
    instrument = {**document["instrument"], "pressure_unit": unit}
    cutoffs = {key: value for key, value in document["cutoffs"].items() if not _has_unit(value)}
    profile = validate_profile({**document, "instrument": instrument, "cutoffs": cutoffs})
    return Evidence(profile, Predicted.made_by(profile))


def _has_unit(value: object) -> bool:
    return isinstance(value, str)


def test_a_unit_that_is_ruled_out_is_one_that_may_be() -> None:
    rng, counted = Random(5), {True: 0, False: 0}
    quick = 0
    for _ in range(60):
        unit = rng.choice(UNITS)
        evidences = [_evidence(rng.randrange(300), unit) for _ in range(rng.choice((1, 2, 5, 9)))]
        out = ruled_out(unit_costs(evidences, UNITS), unit)
        may_be = may_be_ruled_out(evidences, unit, UNITS)
        assert may_be or not out
        counted[out] += 1
        quick += not may_be
    assert min(counted.values()) > 5
    assert quick > 5


def test_a_unit_that_is_not_among_those_asked_about_is_not_ruled_out() -> None:
    evidences = [_evidence(1, "kgf/cm2")]
    assert not may_be_ruled_out(evidences, "kgf/cm2", UNITS)
    assert not may_be_ruled_out([], "bar", UNITS)
