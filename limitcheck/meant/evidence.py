"""A profile's hand-typed numbers under a choice of units: what breaks, and how usual it looks.

Plain floats in bar: this is inference from plausibility. The exact comparisons with ratings
are made by the checks, and the suggestions are converted exactly.

`Reading.cost` is a scale of surprise, like a negative log likelihood: 0 is what people
usually set, 1 is seen, 3 is hardly seen. All figures in it are common practice, no source.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import inf, log

from ..findings import KeyPath
from ..profile.hardware import RatedPart, plausible_range, rated_parts
from ..profile.model import Profile
from ..units import PRESSURE_UNITS, Pressure

BAR = {name: float(unit.factor) / 1e5 for name, unit in PRESSURE_UNITS.items()}
_Broken = tuple[str, KeyPath, float]
Group = KeyPath
"""Numbers that one person typed in one unit, by the key path that names them."""

HIGH: Group = ("cutoffs", "high")
LOW: Group = ("cutoffs", "low")
EXPECTED: Group = ("expected",)
INSTRUMENT: Group = ("instrument", "pressure_unit")

_USUAL_STEPS = {
    "bar": (0.1, 1.0),
    "psi": (1.0, 10.0),
    "MPa": (0.01, 0.1),
    "kPa": (1.0, 100.0),
    "kgf/cm2": (0.1, 1.0),
}
_FOLLOWS = 0.1
"""Cost of a low cutoff that follows the method."""
_EVEN = 1 + 1e-9
"""Floats this close are equal: rounding, not a breach."""
_USUAL_RATING = (100.0, 1500.0)
"""Ratings of most parts between pump and column, in bar."""
_UNUSUAL_RATING = 0.6
AGAINST_PREDICTION = "expected-against-prediction"
FAR_FROM_PREDICTION = 3.0
"""An expected pressure this many times off the prediction contradicts it."""


@dataclass(frozen=True, slots=True)
class Predicted:
    """The pressure the method should make at its peak, in bar."""

    low: float
    central: float
    high: float
    left_out: float = 0.0
    """What parts that the prediction leaves out may add."""


@dataclass(frozen=True, slots=True)
class _Rating:
    """A rating as typed, and the share of it that holds at the method's conditions."""

    group: Group
    number: float
    unit: str
    derated: float
    least: float
    most: float
    loaded: bool


@dataclass(frozen=True, slots=True)
class Reading:
    """What the numbers say under one choice of units: broken relations, and surprise."""

    broken: tuple[tuple[str, Group], ...]
    """Each as (name of the check that reports it, key path)."""
    worst: float
    """By what factor the worst of them is broken; 1 where none is."""
    cost: float
    surprise: float
    """The part of `cost` that may start a search: not the low cutoff or the ratings alone, which
    vary widely from laboratory to laboratory."""
    high_cost: float
    """The part of `cost` that comes of the high cutoff."""
    low_follows: bool
    """Whether the low cutoff is a usual share of the expected minimum: the two agree."""


class Evidence:
    """The typed numbers of a profile, ready to be read under any choice of units."""

    def __init__(self, profile: Profile, predicted: Predicted | None) -> None:
        instrument, cutoffs, expected = profile.instrument, profile.cutoffs, profile.expected
        self.unit = instrument.pressure_unit
        self.predicted = predicted
        self.high = _number(cutoffs.high)
        self.low = _number(cutoffs.low)
        self.expected: tuple[float, float] | None = None
        self.expected_unit = self.unit
        if expected is not None and expected.low.unit == expected.high.unit:
            self.expected = (_number(expected.low) or 0.0, _number(expected.high) or 0.0)
            self.expected_unit = expected.high.unit
        self.bare_band = expected is not None and expected.bare
        self.entry_max = None if instrument.entry_max is None else float(instrument.entry_max)
        self.step = None if instrument.display_step is None else float(instrument.display_step)
        rated = rated_parts(profile)
        self.ratings = tuple(_rating(part, part.loaded) for part in rated)
        self.units_used = {self.unit, self.expected_unit, *(r.unit for r in self.ratings)}
        self.untouched = self._untouched(profile, rated)

    def _untouched(self, profile: Profile, rated: Sequence[RatedPart]) -> bool:
        """Whether the high cutoff is a rating or the largest entry: a default nobody set."""
        high, largest = profile.cutoffs.high, profile.instrument.entry_max
        if high is None:
            return False
        if largest is not None and high.to(self.unit) == largest:
            return True
        return any(part.part.rating == high for part in rated)

    @property
    def groups(self) -> dict[Group, str]:
        """The groups whose unit may be in doubt, with the unit each is declared in."""
        groups: dict[Group, str] = {}
        if self.high and not self.untouched:
            groups[HIGH] = self.unit
        if self.low:
            groups[LOW] = self.unit
        if self.expected is not None:
            groups[EXPECTED] = self.expected_unit
        groups |= {rating.group: rating.unit for rating in self.ratings}
        groups[INSTRUMENT] = self.unit
        return groups

    def read(self, meant: Mapping[Group, str]) -> Reading:
        """The numbers with some groups read in other units than declared."""
        unit = meant.get(INSTRUMENT, self.unit)
        bare_expected = unit if self.bare_band else self.expected_unit
        high = self.high * BAR[meant.get(HIGH, unit)]
        low = self.low * BAR[meant.get(LOW, unit)]
        scale = BAR[meant.get(EXPECTED, bare_expected)]
        band = self.expected and (self.expected[0] * scale, self.expected[1] * scale)
        weakest, rating_cost, broken = self._ratings(meant)
        surprise = high_cost = self._high_cost(high, band, weakest, meant)
        if band is not None:
            surprise += self._expected_cost(band, weakest)
        surprise += self._instrument_cost(unit, meant)
        broken += self._relations(high, low, band, weakest)
        if self.entry_max is not None:
            broken += _over("entry-beyond-field", HIGH, high, self.entry_max * BAR[unit])
        low_cost = _low_cost(low, band)
        return Reading(
            tuple((check, group) for check, group, _ in broken),
            max((factor for _, _, factor in broken), default=1.0),
            surprise + rating_cost + low_cost,
            surprise,
            high_cost,
            low_cost == _FOLLOWS,
        )

    def _ratings(self, meant: Mapping[Group, str]) -> tuple[float, float, list[_Broken]]:
        """The weakest rating, how unusual the ratings are, and those that are impossible."""
        weakest, cost = inf, 0.0
        broken: list[_Broken] = []
        for rating in self.ratings:
            full = rating.number * BAR[meant.get(rating.group, rating.unit)]
            broken += _over("rating-implausible", rating.group, full, rating.most)
            broken += _over("rating-implausible", rating.group, rating.least, full)
            least, most = _USUAL_RATING
            off = least / full if full < least else full / most
            cost += _UNUSUAL_RATING * log(off) if off > 1 and rating.loaded else 0.0
            if rating.loaded:
                weakest = min(weakest, full * rating.derated)
        return weakest, cost, broken

    def _relations(
        self, high: float, low: float, band: tuple[float, float] | None, weakest: float
    ) -> list[_Broken]:
        broken = _over("high-cutoff-above-rating", HIGH, high, weakest)
        if high:
            broken += _not_under("low-cutoff-not-below-high", LOW, low, high)
        if band is None:
            return broken
        if high:
            broken += _not_under("high-cutoff-below-expected", HIGH, band[1], high)
        if low:
            broken += _not_under("low-cutoff-above-expected", LOW, low, band[0])
        broken += _over("expected-above-rating", (*EXPECTED, "high"), band[1], weakest)
        if self.predicted is not None:
            name, path = AGAINST_PREDICTION, (*EXPECTED, "high")
            central = self.predicted.central
            most = max(self.predicted.high, FAR_FROM_PREDICTION * central) + self.predicted.left_out
            least = min(self.predicted.low, central / FAR_FROM_PREDICTION)
            broken += _over(name, path, band[1], most, FAR_FROM_PREDICTION)
            broken += _over(name, path, least, band[1], FAR_FROM_PREDICTION)
        return broken

    def _high_cost(
        self,
        high: float,
        band: tuple[float, float] | None,
        weakest: float,
        meant: Mapping[Group, str],
    ) -> float:
        """Usual: 5 to 120 % above the expected maximum, or 75 to 100 % of the weakest rating."""
        if not high:
            return 0.0
        if self.untouched and not meant.keys() & {HIGH, INSTRUMENT}:
            return 0.5
        costs = []
        if weakest < inf:
            share = high / weakest
            costs.append(0.9 if share >= 0.75 else 0.9 + 2.5 * log(0.75 / share))
        if band is not None and band[1] > 0:
            above = high / band[1]
            if above <= 1.05:
                costs.append(1.0)
            elif above <= 2.2:
                costs.append(0.3 * abs(log(above / 1.3)))
            else:
                costs.append(0.16 + 2.5 * log(above / 2.2))
        return min(costs, default=0.0)

    def _expected_cost(self, band: tuple[float, float], weakest: float) -> float:
        """Usual: 10 to 85 % of the weakest rating, hardly ever under 1 %; as predicted."""
        top, cost = band[1], 0.0
        if top <= 0:
            return 3.0
        if weakest < inf:
            share = top / weakest
            cost += 0.8 * log(0.1 / share) if share < 0.1 else 0.5 if share > 0.85 else 0.0
            cost += 2.5 * log(0.012 / share) if share < 0.012 else 0.0
        elif top < 20 or top > 1300:
            cost += 1.5
        if self.predicted is not None:
            most = self.predicted.high + self.predicted.left_out
            if top > most:
                cost += 2.0 * log(top / most)
            elif top < self.predicted.low:
                cost += 2.0 * log(self.predicted.low / top)
        return cost

    def _instrument_cost(self, unit: str, meant: Mapping[Group, str]) -> float:
        """The entry field's step and its largest value, where given, belong to a unit too."""
        cost = 0.0
        if self.step is not None:
            least, most = _USUAL_STEPS[unit]
            if not least / _EVEN <= self.step <= most * _EVEN:
                cost += 2.0
        pump = next((r for r in self.ratings if r.group[1] == 0), None)
        if self.entry_max is not None and pump is not None:
            full = pump.number * BAR[meant.get(pump.group, pump.unit)]
            share = self.entry_max * BAR[unit] / full
            far = 0.45 / share if share < 0.45 else share / 2.5
            cost += 3.0 * log(far) if far > 1 else 0.0
        return cost


def _over(
    check: str, group: Group, value: float, limit: float, already: float = 1.0
) -> list[_Broken]:
    """Broken if a value is above a limit; `already` is the factor by which the limit is lax."""
    factor = already * value / limit if limit else inf
    return [(check, group, factor)] if value > limit * _EVEN else []


def _not_under(check: str, group: Group, value: float, limit: float) -> list[_Broken]:
    """Broken if a value is not under a limit; equal is broken, too."""
    return [(check, group, value / limit if limit else inf)] if value >= limit else []


def _low_cost(low: float, band: tuple[float, float] | None) -> float:
    """Usual: off, 25 to 85 % of the expected minimum, or 3 to 25 bar whatever the method."""
    if not low or band is None or band[0] <= 0:
        return 0.0
    share = low / band[0]
    if 0.25 <= share <= 0.85:
        return _FOLLOWS
    if share > 0.85:
        return 0.8
    weak = 0.6 if 3 <= low <= 25 else 0.6 + 1.5 * (log(3 / low) if low < 3 else log(low / 25))
    return min(weak, 0.6 + 1.2 * log(0.25 / share))


def _number(pressure: Pressure | None) -> float:
    return 0.0 if pressure is None else float(pressure.to(pressure.unit))


def _rating(part: RatedPart, loaded: bool) -> _Rating:
    typed = part.part.rating or part.pressure
    least, most = plausible_range(part.part.part)
    return _Rating(
        ("flow_path", part.place, "rating"),
        _number(typed),
        typed.unit,
        float(part.pressure.value / typed.value),
        float(least) / 1e5,
        float(most) / 1e5,
        loaded,
    )
