"""The injector of wrong units: a clean profile with a slip in it, and the truth about that slip.

A slip is a number meant in one unit and typed, unconverted, where another is understood. What
is typed is the true pressure in the meant unit, rounded as a person would have written it there,
and still in its place in the clean order when it is read as meant.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from copy import deepcopy
from dataclasses import dataclass, field
from fractions import Fraction
from random import Random

from limitcheck.findings import KeyPath
from limitcheck.profile.hardware import column_index, under_pressure
from limitcheck.profile.model import Profile
from limitcheck.units import PRESSURE_UNITS, Pressure, Quantity, round_down

from .generator import Clean
from .method import Document
from .tidy import WRITTEN_STEP, number, tidy

MEANT = {"bar": 44, "psi": 30, "MPa": 20, "kPa": 3, "kgf/cm2": 3}
"""The unit a slipped number was meant in, where the profile's labels do not say. Weights."""
HIGH, LOW, INSTRUMENT = ("cutoffs", "high"), ("cutoffs", "low"), ("instrument", "pressure_unit")
EXPECTED_LOW, EXPECTED_HIGH = ("expected", "low"), ("expected", "high")
ENTRY_MAX = ("instrument", "entry_max")


@dataclass(slots=True)
class Slip:
    """A document with wrong numbers in it; `truth` is what was meant, by key path."""

    document: Document
    truth: dict[KeyPath, Quantity | str] = field(default_factory=dict)
    apart: float = 0.0
    """How many times the two units of a slip differ, at least; 0: no slip of units."""

    def note(self, path: KeyPath, typed: Fraction, meant: str, read: str) -> None:
        """The number typed at a path was meant in another unit than it is read in."""
        self.truth[path] = Pressure.of(typed, meant)
        self.apart = min(self.apart or float("inf"), apart(meant, read))


def apart(one: str, other: str) -> float:
    """How many times two units differ, as a factor of 1 or more."""
    ratio = PRESSURE_UNITS[one].factor / PRESSURE_UNITS[other].factor
    return float(max(ratio, 1 / ratio))


def other_unit(rng: Random, profile: Profile, read: str) -> str:
    """A unit that a number may have been meant in: every second time one of the labels'."""
    labels = sorted({p.rating.unit for p in profile.flow_path if p.rating} - {read})
    if labels and rng.random() < 0.5:
        return rng.choice(labels)
    units = {unit: weight for unit, weight in MEANT.items() if unit != read}
    return rng.choices(list(units), list(units.values()))[0]


def whole_field(*names: str) -> Callable[[Clean, Random], Slip | None]:
    """A maker of slips of these fields, all typed in the same wrong unit."""

    def make(clean: Clean, rng: Random) -> Slip | None:
        slip = Slip(deepcopy(clean.document))
        meant = other_unit(rng, clean.profile, clean.profile.instrument.pressure_unit)
        return slip if all(_TYPE[name](clean, slip, rng, meant) for name in names) else None

    return make


def two_units(clean: Clean, rng: Random) -> Slip | None:
    """Two fields, each in a wrong unit of its own."""
    slip = Slip(deepcopy(clean.document))
    read = clean.profile.instrument.pressure_unit
    for name in rng.sample(("high", "low", "expected", "rating"), 2):
        if not _TYPE[name](clean, slip, rng, other_unit(rng, clean.profile, read)):
            return None
    return slip


def one_end(clean: Clean, rng: Random) -> Slip | None:
    """One end of the expected band in a wrong unit, the other right."""
    expected = clean.profile.expected
    if expected is None:
        return None
    end = rng.choice(("low", "high"))
    true: Pressure = getattr(expected, end)
    meant = other_unit(rng, clean.profile, true.unit)
    high, low = clean.profile.cutoffs.high, clean.profile.cutoffs.low
    fits = (
        (lambda p: (low is None or low < p) and p <= expected.high)
        if end == "low"
        else (lambda p: expected.low <= p and (high is None or p < high))
    )
    typed = _restate(rng, true, meant, fits)
    if typed is None:
        return None
    slip = Slip(deepcopy(clean.document))
    _put_expected(slip, end, typed)
    slip.note(("expected", end), typed, meant, true.unit)
    return slip


def largest_entry(clean: Clean, rng: Random) -> Slip | None:
    """The entry field's largest value in a wrong unit."""
    instrument, high = clean.profile.instrument, clean.profile.cutoffs.high
    if instrument.entry_max is None:
        return None
    unit = instrument.pressure_unit
    meant = other_unit(rng, clean.profile, unit)
    true = Pressure.of(instrument.entry_max, unit)
    typed = _restate(rng, true, meant, lambda p: high is None or p >= high)
    if typed is None:
        return None
    slip = Slip(deepcopy(clean.document))
    slip.document["instrument"]["entry_max"] = number(typed)
    slip.note(ENTRY_MAX, typed, meant, unit)
    return slip


def instrument(clean: Clean, rng: Random) -> Slip:
    """The file declares another unit than the instrument shows; bare numbers are as shown."""
    slip = Slip(deepcopy(clean.document))
    meant = clean.profile.instrument.pressure_unit
    read = other_unit(rng, clean.profile, meant)
    slip.document["instrument"]["pressure_unit"] = read
    slip.truth[INSTRUMENT] = meant
    slip.apart = apart(meant, read)
    return slip


def _high(clean: Clean, slip: Slip, rng: Random, meant: str) -> bool:
    expected, true = clean.profile.expected, clean.profile.cutoffs.high
    if true is None:
        return False
    limits = [part.pressure for part in under_pressure(clean.profile)]
    weakest = max(min(limits, default=true), true)
    least = Pressure.of(0, "bar") if expected is None else expected.high
    typed = _restate(rng, true, meant, lambda p: least < p <= weakest)
    if typed is None:
        return False
    slip.document["cutoffs"]["high"] = number(typed)
    slip.note(HIGH, typed, meant, true.unit)
    return True


def _low(clean: Clean, slip: Slip, rng: Random, meant: str) -> bool:
    expected, true = clean.profile.expected, clean.profile.cutoffs.low
    if true is None or true.value == 0:
        return False
    typed = _restate(rng, true, meant, lambda p: expected is None or p < expected.low)
    if typed is None:
        return False
    slip.document["cutoffs"]["low"] = number(typed)
    slip.note(LOW, typed, meant, true.unit)
    return True


def _expected(clean: Clean, slip: Slip, rng: Random, meant: str) -> bool:
    expected, cutoffs = clean.profile.expected, clean.profile.cutoffs
    if expected is None or meant == expected.high.unit:
        return False
    high, low = cutoffs.high, cutoffs.low
    least = _restate(rng, expected.low, meant, lambda p: low is None or low < p)
    if least is None:
        return False
    bottom = Pressure.of(least, meant)
    most = _restate(rng, expected.high, meant, lambda p: bottom <= p and (not high or p < high))
    if most is None:
        return False
    for end, typed in (("low", least), ("high", most)):
        _put_expected(slip, end, typed)
        slip.note(("expected", end), typed, meant, expected.high.unit)
    return True


def _put_expected(slip: Slip, end: str, typed: Fraction) -> None:
    """The number at one end of the band, after it the unit that stood there."""
    table = slip.document["expected"]
    text = str(table[end])
    unit = text.partition(" ")[2]
    table[end] = f"{number(typed)} {unit}" if unit else number(typed)


def _rating(clean: Clean, slip: Slip, rng: Random, meant: str) -> bool:
    """One rating up to the column, with another unit behind the number than the label has."""
    profile = clean.profile
    rated = [
        index
        for index, part in enumerate(profile.flow_path[: column_index(profile) + 1])
        if part.rating is not None and not part.rating_at_temperature
    ]
    if not rated:
        return False
    index = rng.choice(rated)
    true = profile.flow_path[index].rating
    assert true is not None
    read = other_unit(rng, profile, true.unit)
    slip.document["flow_path"][index]["rating"] = f"{true.number} {read}"
    slip.note(("flow_path", index, "rating"), true.to(true.unit), true.unit, read)
    return True


_TYPE: Mapping[str, Callable[[Clean, Slip, Random, str], bool]] = {
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
