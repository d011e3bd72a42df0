"""The injector: a clean profile with one slip in it, and the truth about that slip.

A slip is a number meant in one unit and typed, unconverted, where another is understood. What
is typed is the true pressure in the meant unit, rounded as a person would have written it there,
and still in its place in the clean order when it is read as meant.
"""

from __future__ import annotations

from collections.abc import Callable
from copy import deepcopy
from dataclasses import dataclass
from fractions import Fraction
from random import Random

from limitcheck.findings import KeyPath
from limitcheck.profile.hardware import column_index, under_pressure
from limitcheck.units import PRESSURE_UNITS, Pressure, round_down

from .generator import Clean
from .method import Document
from .tidy import WRITTEN_STEP, number, tidy

FIELDS: tuple[str, ...] = ("high", "low", "expected", "rating")
PAIRS: tuple[tuple[str, ...], ...] = (
    ("high", "low"),
    ("high", "expected"),
    ("low", "expected"),
    ("high", "rating"),
    ("expected", "rating"),
)
RULES: tuple[tuple[str, str, str], ...] = (
    ("15", "bar", "psi"),
    ("14.5", "bar", "psi"),
    ("14", "bar", "psi"),
    ("150", "MPa", "psi"),
    ("145", "MPa", "psi"),
    ("10", "MPa", "bar"),
    ("10", "MPa", "kgf/cm2"),
    ("0.07", "psi", "bar"),
    ("0.07", "psi", "kgf/cm2"),
    ("0.1", "bar", "MPa"),
    ("0.1", "kgf/cm2", "MPa"),
)
"""Conversions from memory: the factor, from, to."""


@dataclass(frozen=True, slots=True)
class Slip:
    """A slipped document; `fields` are the key paths that hold a wrong number."""

    document: Document
    fields: tuple[KeyPath, ...]
    meant: str
    read: str

    @property
    def apart(self) -> float:
        """How many times the two units differ, as a factor of 1 or more."""
        return apart(self.meant, self.read)


@dataclass(frozen=True, slots=True)
class RuleSlip:
    """A high cutoff that is a rating converted from memory; `error` is its share off, signed."""

    document: Document
    factor: str
    error: float
    over_rating: bool


def apart(one: str, other: str) -> float:
    """How many times two units differ, as a factor of 1 or more."""
    ratio = PRESSURE_UNITS[one].factor / PRESSURE_UNITS[other].factor
    return float(max(ratio, 1 / ratio))


def slip_fields(
    clean: Clean, fields: tuple[str, ...], meant: str, *, stored: bool = False
) -> Slip | None:
    """The fields typed in `meant` on an instrument that shows another unit.

    With `stored` the numbers are what the instrument keeps: rounded to its display step. None
    where there is nothing to slip: the low cutoff is off, or nothing is left after rounding.
    """
    read = clean.profile.instrument.pressure_unit
    rng = Random(f"{clean.index}:{fields}:{meant}:{read}")
    document = deepcopy(clean.document)
    paths = []
    for name in fields:
        path = _TYPE[name](clean, document, rng, meant)
        if path is None:
            return None
        if stored and not _store(document, path, clean.profile.instrument.step):
            return None
        paths.append(path)
    return Slip(document, tuple(paths), meant, read)


def slip_instrument(clean: Clean, read: str) -> Slip:
    """The file declares `read`, and every bare number is in the unit the instrument shows."""
    document = deepcopy(clean.document)
    document["instrument"]["pressure_unit"] = read
    meant = clean.profile.instrument.pressure_unit
    return Slip(document, (("instrument", "pressure_unit"),), meant, read)


def slip_rule(clean: Clean, factor: str, given: str) -> RuleSlip | None:
    """The high cutoff is the weakest rating that stands in `given`, times `factor`.

    None where no rating up to the column stands in that unit, or the result cannot be typed or
    is no cutoff for the method at all.
    """
    profile = clean.profile
    rated = [part for part in under_pressure(profile) if part.pressure.unit == given]
    if not rated or profile.expected is None:
        return None
    rating = min(part.pressure for part in rated)
    unit, step = profile.instrument.pressure_unit, profile.instrument.step
    typed = round(rating.to(given) * Fraction(factor) / step) * step
    high = Pressure.of(typed, unit)
    if high <= profile.expected.high:
        return None
    if profile.instrument.entry_max is not None and typed > profile.instrument.entry_max:
        return None
    document = deepcopy(clean.document)
    document["cutoffs"]["high"] = number(typed)
    return RuleSlip(
        document,
        factor,
        float(high.value / rating.value) - 1,
        any(high > part.pressure for part in under_pressure(profile)),
    )


def _high(clean: Clean, document: Document, rng: Random, meant: str) -> KeyPath | None:
    expected, true = clean.profile.expected, clean.profile.cutoffs.high
    if expected is None or true is None:
        return None
    weakest = min(part.pressure for part in under_pressure(clean.profile))
    typed = _restate(rng, true, meant, lambda p: expected.high < p <= weakest)
    if typed is None:
        return None
    document["cutoffs"]["high"] = number(typed)
    return ("cutoffs", "high")


def _low(clean: Clean, document: Document, rng: Random, meant: str) -> KeyPath | None:
    expected, true = clean.profile.expected, clean.profile.cutoffs.low
    if expected is None or true is None or true.value == 0:
        return None
    typed = _restate(rng, true, meant, lambda p: p < expected.low)
    if typed is None:
        return None
    document["cutoffs"]["low"] = number(typed)
    return ("cutoffs", "low")


def _expected(clean: Clean, document: Document, rng: Random, meant: str) -> KeyPath | None:
    expected, cutoffs = clean.profile.expected, clean.profile.cutoffs
    if expected is None or cutoffs.high is None:
        return None
    high, low = cutoffs.high, cutoffs.low
    least = _restate(rng, expected.low, meant, lambda p: low is None or low < p)
    if least is None:
        return None
    bottom = Pressure.of(least, meant)
    most = _restate(rng, expected.high, meant, lambda p: bottom <= p < high)
    if most is None:
        return None
    unit = clean.profile.instrument.pressure_unit
    bare = not isinstance(document["expected"]["low"], str)
    for key, typed in (("low", least), ("high", most)):
        document["expected"][key] = number(typed) if bare else f"{number(typed)} {unit}"
    return ("expected",)


def _rating(clean: Clean, document: Document, rng: Random, meant: str) -> KeyPath | None:
    """One rating up to the column, typed from a plate that carries `meant`."""
    profile = clean.profile
    high = profile.cutoffs.high
    rated = [
        index
        for index, part in enumerate(profile.flow_path[: column_index(profile) + 1])
        if part.rating is not None and not part.rating_at_temperature
    ]
    if not rated or high is None:
        return None
    index = rng.choice(rated)
    true = profile.flow_path[index].rating
    if true is None:
        return None
    typed = (
        true.to(meant) if true.unit == meant else _restate(rng, true, meant, lambda p: p >= high)
    )
    if typed is None:
        return None
    read = profile.instrument.pressure_unit
    document["flow_path"][index]["rating"] = f"{number(typed)} {read}"
    return ("flow_path", index, "rating")


_TYPE: dict[str, Callable[[Clean, Document, Random, str], KeyPath | None]] = {
    "high": _high,
    "low": _low,
    "expected": _expected,
    "rating": _rating,
}


def _restate(
    rng: Random, true: Pressure, unit: str, fits: Callable[[Pressure], bool]
) -> Fraction | None:
    """The true pressure as a round number of `unit` that keeps its place, finer if it must."""
    exact = true.to(unit)
    tries = [tidy(rng, exact, unit, share=share) for share in ("0.05", "0.01")]
    tries.append(round_down(exact, Fraction(WRITTEN_STEP[unit])))
    tries.append(round_down(exact, Fraction(WRITTEN_STEP[unit]) / 100))
    return next((t for t in tries if t > 0 and fits(Pressure.of(t, unit))), None)


def _store(document: Document, path: KeyPath, step: Fraction) -> bool:
    """Round the bare numbers at `path` to the display step; whether anything is left."""
    if path[0] == "cutoffs":
        keys, table = [path[1]], document["cutoffs"]
    else:
        keys, table = ["low", "high"], document["expected"]
    for key in keys:
        if isinstance(table[key], str):
            return False
        stored = round(Fraction(table[key]) / step) * step
        if stored == 0:
            return False
        table[key] = number(stored)
    return True
