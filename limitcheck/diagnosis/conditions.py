"""A profile as it would read at other conditions: its expected band moved by the physics."""

from __future__ import annotations

from fractions import Fraction
from typing import NamedTuple

from ..physics.liquid import CannotPredict
from ..physics.over_course import over_course
from ..physics.predict import predict_system
from ..physics.ratio import RatioInterval, between
from ..physics.system import Change, system
from ..profile.model import Profile
from ..units import Flow, Pressure, Quantity, Temperature
from ..units.printing import as_stated


class MovedEnd(NamedTuple):
    """An end of a band as typed, and the ratio [-] that moves it to other conditions."""

    end: Pressure
    ratio: RatioInterval

    @property
    def pascal(self) -> tuple[float, float, float]:
        """Where it lies at least, most likely and at most [Pa]."""
        low, central, high = (float(self.end) * by for by in self.ratio)
        return low, central, high


class MovedBand(NamedTuple):
    """A band at other conditions: each end is moved by a ratio of its own.

    The low end belongs to the `lowest` point of the run, the high end to the `highest`. `low` and
    `high` are the band as the ratios most likely are; from `least` to `most` they leave it open.
    All are rounded as they are printed: what is said of a pressure goes by the numbers beside it.
    """

    lowest: MovedEnd
    highest: MovedEnd
    least: Pressure
    low: Pressure
    high: Pressure
    most: Pressure


def moved_band(profile: Profile, change: Change) -> MovedBand | None:
    """The expected band at other conditions; None where there is none to move.

    Raises CannotPredict.
    """
    expected, unit = profile.expected, profile.instrument.pressure_unit
    if change == Change() or expected is None or expected.inverted:
        return None
    before, after = system(profile), system(profile, change)
    usual, changed = predict_system(before), predict_system(after)

    # The band is of the run as the columns see it, the predictions of one composition in all.
    factors = zip(over_course(profile, usual), over_course(profile, changed), strict=True)
    by_course = [own.over(other) for own, other in factors]

    def moved(end: Pressure, place: int) -> MovedEnd:
        state, other = before.at(usual.ends[place]), after.at(changed.ends[place])
        ratio = between(before.path.segments, state, after.path.segments, other)
        return MovedEnd(end, ratio.times(*by_course[place]))

    lowest, highest = moved(expected.low, 0), moved(expected.high, 1)
    ends = lowest.pascal, highest.pascal
    band = (
        min(end[0] for end in ends),
        *sorted(end[1] for end in ends),
        max(end[2] for end in ends),
    )
    return MovedBand(lowest, highest, *(Pressure.of(as_stated(p, unit), unit) for p in band))


def at_conditions(profile: Profile, change: Change) -> Profile:
    """The profile run at another flow, temperature or composition, its band with it.

    A band whose ends are exchanged is left out. Raises CannotPredict.
    """
    if change == Change():
        return profile
    if change.column_length is not None or change.particle_size is not None:
        raise CannotPredict("another column belongs in the profile itself")
    if profile.conditions is None:
        raise CannotPredict("no [conditions] to change")
    new: dict[str, object] = {}
    if change.flow is not None:
        new["flow"] = _quantity(Flow, change.flow * 6e7, "mL/min")
    if change.temperature is not None:
        new["temperature"] = _quantity(Temperature, change.temperature, "K")
    if change.ambient is not None:
        new["ambient"] = _quantity(Temperature, change.ambient, "K")
    if change.percent_b is not None:
        new |= {"percent_b": _decimal(change.percent_b), "gradient": None}
    changed: dict[str, object] = {"conditions": profile.conditions.model_copy(update=new)}
    if profile.expected is not None:
        band = moved_band(profile, change)
        changed["expected"] = None
        if band is not None:
            ends = {"low": band.low, "high": band.high, "swing": None}
            changed["expected"] = profile.expected.moved(ends)
    return profile.model_copy(update=changed)


def _quantity(kind: type[Quantity], number: float, unit: str) -> Quantity:
    return kind.of(_decimal(number), unit)


def _decimal(number: float) -> Fraction:
    return Fraction(f"{number:.9g}")
