"""A profile as it would read at other conditions: its expected band moved by the physics."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from math import exp, sqrt
from typing import NamedTuple

from ..physics.course import MIXED
from ..physics.flow_path import DAY_ERROR
from ..physics.left_out import refuse_unknown_restrictors
from ..physics.liquid import CannotPredict
from ..physics.over_course import over_course
from ..physics.predict import predict_system
from ..physics.ratio import RatioInterval, between
from ..physics.system import Change, system
from ..profile.model import Profile
from ..units import Flow, Pressure, Quantity, Temperature
from ..units.printing import as_stated
from .one_pressure import Statement, together, varied

LOW_END, HIGH_END = "the low end of the band", "its high end"
PAIRS = "the measured pairs"
RUNS_APART = exp(2.0 * DAY_ERROR)
"""Times by which the highest of normal runs may lie over the lowest at one moment: as far as a
pressure varies from day to day, either way."""
_NOT_HELD = "how long its composition is held is not known"
_NOT_MIXED = "how much is mixed on the way to the column is not known"


class MovedEnd(NamedTuple):
    """An end of a band as typed, and the ratio [-] that moves it to other conditions.

    With a `doubt` no ratio from low to high is likelier than another.
    """

    end: Pressure
    ratio: RatioInterval
    doubt: str = ""

    @property
    def pascal(self) -> tuple[float, float, float]:
        """Where it lies at least, most likely and at most [Pa]."""
        low, central, high = (float(self.end) * by for by in self.ratio)
        return low, central, high


class MovedBand(NamedTuple):
    """A band at other conditions: each end is moved by a ratio of its own.

    The low end belongs to the `lowest` point of the run, the high end to the `highest`. From `low`
    to `high` a pressure is normal, None where nothing is sure enough for that; from `least` to
    `most` it can't be told from normal. All are rounded as they are printed: what is said of a
    pressure goes by the numbers beside it. `pairs` is what measured pairs say there [Pa], `apart`
    what contradicts what. With `of_any_run` what is open allows for runs that the ends are not of.
    """

    lowest: MovedEnd
    highest: MovedEnd
    least: Pressure
    low: Pressure | None
    high: Pressure | None
    most: Pressure
    pairs: Statement | None = None
    apart: tuple[Statement, ...] = ()
    of_any_run: bool = False

    @property
    def ends(self) -> tuple[Pressure, Pressure]:
        """What is normal; where nothing is, what can't be told from it."""
        return self.low or self.least, self.high or self.most


def moved_band(profile: Profile, change: Change) -> MovedBand | None:
    """The expected band at other conditions; None where there is none to move.

    Both ends of a gradient's band, moved to one composition, are statements about one pressure, and
    measured pairs are a third: what is open is where all of them have it. Raises CannotPredict.
    """
    expected, unit = profile.expected, profile.instrument.pressure_unit
    if change == Change() or expected is None or expected.no_band:
        return None
    before, after = system(profile), system(profile, change)
    refuse_unknown_restrictors(profile, before.path.segments)
    usual, changed = predict_system(before), predict_system(after)
    to_one = len(before.programme) > 1 and len(after.programme) == 1

    # The band is of the run as the columns see it, the predictions of one composition in all.
    own, other = over_course(profile, usual), over_course(profile, changed)

    def moved(end: Pressure, place: int) -> MovedEnd:
        state, then = before.at(usual.ends[place]), after.at(changed.ends[place])
        ratio = between(before.path.segments, state, after.path.segments, then)
        by = own[place].over(other[place])
        if by.most > MIXED * by.least:
            ends = ratio.low * by.least, ratio.high * by.most
            doubt = _NOT_HELD if by.held else _NOT_MIXED
            return MovedEnd(end, RatioInterval(ends[0], sqrt(ends[0] * ends[1]), ends[1]), doubt)
        return MovedEnd(end, ratio.times(by.factor, by.half_width))

    lowest, highest = moved(expected.low, 0), moved(expected.high, 1)
    if not to_one:
        ends = lowest.pascal, highest.pascal
        outer = min(end[0] for end in ends), max(end[2] for end in ends)
        least, most = (_as_printed(p, unit) for p in outer)
        # Normal is what is sure: of an end that lies anywhere, nothing up to its inner end.
        inner = lowest.pascal[2 if lowest.doubt else 1], highest.pascal[0 if highest.doubt else 1]
        if inner[0] > inner[1] and (lowest.doubt or highest.doubt):
            return MovedBand(lowest, highest, least, None, None, most)
        low, high = (_as_printed(p, unit) for p in sorted(inner))
        return MovedBand(lowest, highest, least, low, high, most)
    statements = [
        varied(Statement(name, *end.pascal, anywhere=bool(end.doubt)))
        for name, end in ((LOW_END, lowest), (HIGH_END, highest))
        if float(end.end) > 0.0
    ]
    pairs = None
    if after.path.fit is not None and not after.path.fit.unused:
        pairs = Statement(PAIRS, changed.low, changed.central, changed.high)
    if not statements:
        return None
    known = [pairs] if pairs else []
    found = together([*statements, *known])
    wide = together([*map(_of_any_run, statements), *known])
    if _contradict(statements) or wide.apart:
        least, most = _as_printed(found.least, unit), _as_printed(found.most, unit)
        return MovedBand(lowest, highest, least, None, None, most, pairs, found.apart)
    # between both ends a pressure is normal; beyond them others of the runs may lie
    least, most = _as_printed(wide.least, unit), _as_printed(wide.most, unit)
    normal = found.normal
    if found.apart and not known:
        normal = statements[0].high, statements[1].low
    if normal is None:
        return MovedBand(lowest, highest, least, None, None, most, pairs, of_any_run=True)
    low, high = (_as_printed(pascal, unit) for pascal in normal)
    return MovedBand(lowest, highest, least, low, high, most, pairs, of_any_run=True)


def _contradict(ends: Sequence[Statement]) -> bool:
    """Whether the ends of a band are farther apart [Pa] than its lowest and its highest run."""
    return len(ends) > 1 and bool(together([_of_any_run(ends[0]), ends[1]]).apart)


def _of_any_run(end: Statement) -> Statement:
    """What an end of a band says [Pa] of another run: it is of the lowest or of the highest run."""
    if end.name == LOW_END:
        return end._replace(high=end.high * RUNS_APART)
    return end._replace(low=end.low / RUNS_APART)


def _as_printed(pascal: float, unit: str) -> Pressure:
    return Pressure.of(as_stated(pascal, unit), unit)


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
            low, high = band.ends
            ends = {"low": low, "high": high, "swing": None}
            changed["expected"] = profile.expected.moved(ends)
    return profile.model_copy(update=changed)


def _quantity(kind: type[Quantity], number: float, unit: str) -> Quantity:
    return kind.of(_decimal(number), unit)


def _decimal(number: float) -> Fraction:
    return Fraction(f"{number:.9g}")
