"""Simulated flow paths with a blockage of known place and size, seeded.

The true system differs from what the profile says: the bed by 25 % (one standard deviation), bores
by 3 %, and parts without a given resistance take up to 5 % of the pressure each. Readings vary by
0.5 % and are rounded to the display's step. `worse` multiplies the three deviations. All numbers
are invented.
"""

from __future__ import annotations

import random
from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from limitcheck.diagnosis.isolation import isolate
from limitcheck.diagnosis.openings import EVERYTHING, openings
from limitcheck.physics.predict import predict
from limitcheck.profile.model import Profile, validate_profile
from limitcheck.units import Pressure

SIZES = (0.05, 0.10, 0.20, 0.40, 0.80, 1.60)
"""Blockages: what they add to the pressure, as a share of the normal one."""

KNOWLEDGE = ("expected band", "normal total", "normal steps")
"""What is known of the normal pressure: the profile's band of +-8 %, a reading of a good day,
or readings of every step of a good day."""


def _path(scale: str) -> list[dict[str, Any]]:
    wide = scale == "conventional"
    bore = "0.17 mm" if wide else "0.10 mm"
    column = (
        {"length": "150 mm", "bore": "4.6 mm", "particle_size": "5 um"}
        if wide
        else {"length": "50 mm", "bore": "2.1 mm", "particle_size": "1.7 um"}
    )
    return [
        {"part": "pump", "rating": "1500 bar" if wide else "3000 bar"},
        {"part": "filter"},
        {"part": "tubing", "label": "to injector", "length": "500 mm", "bore": bore},
        {"part": "injector"},
        {"part": "loop", "length": "400 mm", "bore": bore},
        {"part": "tubing", "label": "to column", "length": "350 mm", "bore": bore},
        {"part": "column", **column},
        {"part": "tubing", "label": "to detector", "length": "300 mm", "bore": bore},
        {"part": "detector cell", "rating": "60 bar"},
    ]


def profile_of(scale: str, low: float = 0, high: float = 0) -> Profile:
    """A profile of one hardware class; the expected band [bar] where given."""
    data: dict[str, Any] = {
        "format": 1,
        "method": {"id": "SIMULATED"},
        "instrument": {"id": "SIM-1", "pressure_unit": "bar", "display_step": 1},
        "conditions": {
            "flow": "1.0 mL/min" if scale == "conventional" else "0.2 mL/min",
            "temperature": "35 degC",
            "ambient": "22 degC",
            "solvent_a": "water",
            "solvent_b": "acetonitrile",
            "percent_b": 30,
        },
        "flow_path": _path(scale),
    }
    if high:
        data["expected"] = {"low": round(low, 1), "high": round(high, 1), "basis": "measured"}
    return validate_profile(data)


@dataclass(frozen=True)
class Outcome:
    """What was blocked, by how much, and what `isolate` said."""

    part: str
    size: float
    said: str  # right | wrong | shared (it and another) | undecided | missed | contradiction


def _true_drops(rng: random.Random, profile: Profile, worse: float) -> dict[int, float]:
    budget = predict(profile).budget
    total = sum(share.central for share in budget)
    drops = {}
    for share in budget:
        column = profile.flow_path[share.place].part == "column"
        drops[share.place] = share.central * (
            rng.lognormvariate(0, 0.25 * worse)
            if column
            else (1 + rng.gauss(0, 0.03 * worse)) ** -4
        )
    for place, part in enumerate(profile.flow_path):
        if place not in drops and part.part != "pump":
            drops[place] = rng.uniform(0, 0.05) * total
    return drops


def _read(
    rng: random.Random, drops: Mapping[int, float], parts: frozenset[int], worse: float
) -> Pressure:
    true = sum(drops[i] for i in parts if i in drops) * (1 + rng.gauss(0, 0.005 * worse))
    return Pressure.of(Fraction(round(true / 1e5)), "bar")


def simulate(
    knowledge: str, runs: int, seed: int, sizes: tuple[float, ...], worse: float = 1.0
) -> Iterator[Outcome]:
    """`runs` blockages of every part of both hardware classes at every size."""
    rng = random.Random(f"{knowledge} {seed}")
    for scale in ("conventional", "narrow"):
        nominal = profile_of(scale)
        for place, part in enumerate(nominal.flow_path[1:], 1):
            for size in sizes:
                for _ in range(runs):
                    drops = _true_drops(rng, nominal, worse)
                    total = sum(drops.values())
                    middle = total / 1e5 * (1 + rng.gauss(0, 0.01))
                    profile = profile_of(scale, 0.92 * middle, 1.08 * middle)
                    steps = openings(profile)
                    normal = {s.name: _read(rng, drops, s.parts, worse) for s in steps}
                    if knowledge == "expected band":
                        normal = {}
                    elif knowledge == "normal total":
                        normal = {EVERYTHING: normal[EVERYTHING]}
                    blocked = {**drops, place: drops[place] + size * total}
                    readings = {s.name: _read(rng, blocked, s.parts, worse) for s in steps}
                    yield Outcome(part.name, size, _said(profile, readings, normal, place))


def _said(
    profile: Profile, readings: Mapping[str, Pressure], normal: Mapping[str, Pressure], place: int
) -> str:
    highest = max(readings.values())
    assert highest < Pressure.of(3000, "bar")
    result = isolate(profile, readings, normal=normal)
    holds = [place in group.places for group in result.named]
    if result.verdict == "found":
        return "right" if holds[0] else "wrong"
    if result.verdict == "several":
        return "shared" if any(holds) else "wrong"
    if result.verdict in ("normal", "low"):
        return "missed"
    return str(result.verdict)


def shares(outcomes: Iterator[Outcome]) -> dict[tuple[str, float], Counter[str]]:
    """How often each answer came, by part and size."""
    table: dict[tuple[str, float], Counter[str]] = {}
    for outcome in outcomes:
        table.setdefault((outcome.part, outcome.size), Counter())[outcome.said] += 1
    return table
