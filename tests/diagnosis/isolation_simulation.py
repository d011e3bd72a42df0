"""Simulated flow paths with a blockage of known place and size, seeded.

The true system differs from what the profile says: the bed by 25 % (one standard deviation), bores
by 3 %, and parts without a given resistance take up to 5 % of the pressure each. Readings vary by
up to 5 % either way, evenly, and are rounded to the display's step; one in `one_in` is misread: a
digit lost or two changed over, another unit, the step before, or anything. `worse` multiplies the
deviations of the system. Whoever reads does as told: a step to read again is read again, as
fallibly, until nothing more is asked. All numbers are invented.
"""

from __future__ import annotations

import math
import random
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from limitcheck.diagnosis.isolation import Isolation, isolate
from limitcheck.diagnosis.measurements import AGAIN, THIRD
from limitcheck.diagnosis.openings import EVERYTHING, openings
from limitcheck.physics.predict import predict
from limitcheck.profile.model import Profile, validate_profile
from limitcheck.units import Pressure

SIZES = (0.05, 0.10, 0.20, 0.40, 0.80, 1.60)
"""Blockages: what they add to the pressure, as a share of the normal one."""

NOISE = 0.05
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


def profile_of(
    scale: str, low: float = 0, high: float = 0, column: Mapping[str, Any] | None = None
) -> Profile:
    """A profile of one hardware class; the expected band [bar] and keys of the column if given."""
    path = _path(scale)
    path[6] |= {key: value for key, value in (column or {}).items() if value is not None}
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
        "flow_path": path,
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
    first: str  # before anything was read again
    misread: float  # what the worst of the first readings is off by, in normal pressures
    asked: int  # how often steps were to be read again


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


def _misread(rng: random.Random, value: float, before: float | None) -> float:
    """What is written down instead of a number of bar, by one of five mistakes."""
    digits = f"{value:.0f}"
    mistakes = [
        digits[:-1] or "0",
        digits[1] + digits[0] + digits[2:] if len(digits) > 1 else "9",
        f"{value * rng.choice((14.5038, 0.1, 1 / 14.5038)):.0f}",
        f"{value if before is None else before:.0f}",
        f"{value * math.exp(rng.uniform(-1.5, 1.5)) + rng.uniform(0, 20):.0f}",
    ]
    return min(float(rng.choice(mistakes)), 1400.0)


class Reader:
    """Reads the steps of one system, as well as people do."""

    def __init__(self, rng: random.Random, drops: Mapping[int, float], one_in: float) -> None:
        self.rng, self.drops, self.one_in = rng, drops, one_in
        self.worst = 0.0
        self._before: float | None = None

    def read(self, parts: frozenset[int]) -> Pressure:
        """The pressure of a step as it is written down."""
        true = sum(self.drops[i] for i in parts if i in self.drops) / 1e5
        seen = round(true * (1 + self.rng.uniform(-NOISE, NOISE)))
        told: float = seen
        if self.rng.random() < self.one_in:
            told = _misread(self.rng, seen, self._before)
        if abs(told - seen) > 2 * NOISE * true + 1:
            self.worst = max(self.worst, abs(told - seen))
        self._before = seen
        return Pressure.of(Fraction(round(told)), "bar")


def simulate(
    knowledge: str,
    runs: int,
    seed: int,
    sizes: tuple[float, ...],
    worse: float = 1.0,
    one_in: float = 0.1,
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
                    good = Reader(rng, drops, 0)
                    normal = {s.name: good.read(s.parts) for s in steps}
                    if knowledge == "expected band":
                        normal = {}
                    elif knowledge == "normal total":
                        normal = {EVERYTHING: normal[EVERYTHING]}
                    day = {i: drop * (1 + rng.gauss(0, 0.02)) for i, drop in drops.items()}
                    day[place] += size * total
                    reader = Reader(rng, day, one_in)
                    yield _followed(part.name, size, profile, reader, normal, place)


def _followed(
    part: str,
    size: float,
    profile: Profile,
    reader: Reader,
    normal: Mapping[str, Pressure],
    place: int,
) -> Outcome:
    """What is said at last, where every step asked for is read again."""
    parts = {step.name: step.parts for step in openings(profile)}
    readings = {name: reader.read(left) for name, left in parts.items()}
    total = sum(reader.drops.values()) / 1e5
    first, misread = None, reader.worst / total
    asked = 0
    while asked < 20:
        result = isolate(profile, readings, normal=normal, in_doubt=False)
        said = _said(result, place)
        first = first or said
        if not result.repeat:
            break
        asked += 1
        for again in result.repeat:
            step = again.name.removesuffix(AGAIN).removesuffix(THIRD)
            readings[again.name] = reader.read(parts[step])
    return Outcome(part, size, said, first or said, misread, asked)


def _said(result: Isolation, place: int) -> str:
    holds = [place in group.places for group in result.named]
    if result.verdict == "found":
        return "right" if holds[0] else "wrong"
    if result.verdict == "several":
        return "shared" if any(holds) else "wrong"
    if result.verdict in ("normal", "low", "high"):
        return "missed"
    return str(result.verdict)


def shares(outcomes: Iterable[Outcome]) -> dict[tuple[str, float], Counter[str]]:
    """How often each answer came, by part and size."""
    table: dict[tuple[str, float], Counter[str]] = {}
    for outcome in outcomes:
        table.setdefault((outcome.part, outcome.size), Counter())[outcome.said] += 1
    return table
