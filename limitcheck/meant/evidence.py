"""What was typed: the pressures of a profile as numbers in bar, by what one person typed at once.

Plain floats: this is inference from plausibility. The exact comparisons with ratings are made by
the checks, and what was meant is converted exactly.
"""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction
from functools import cached_property
from math import inf
from typing import NamedTuple

from ..findings import KeyPath, SlipKind
from ..physics.left_out import left_out_allowance
from ..physics.liquid import CannotPredict
from ..physics.predict import Prediction, predict_to_judge
from ..profile.edited import with_values
from ..profile.hardware import RatedPart, rated_parts
from ..profile.model import Profile
from ..profile.plausible import Implausible, implausible_geometry, plausible_bar
from ..units import PRESSURE_UNITS, Flow, Length, Pressure, plain

BAR = {name: float(unit.factor) / 1e5 for name, unit in PRESSURE_UNITS.items()}
NEAR_UNIT = {"bar": "kgf/cm2", "kgf/cm2": "bar"}
"""2 % apart: plausibility cannot tell them apart, so one is never suggested for the other."""
Group = KeyPath
"""Numbers that one person typed in one unit, by the key path that names them."""

HIGH: Group = ("cutoffs", "high")
LOW: Group = ("cutoffs", "low")
EXPECTED: Group = ("expected",)
EXPECTED_LOW: Group = ("expected", "low")
EXPECTED_HIGH: Group = ("expected", "high")
ENTRY_MAX: Group = ("instrument", "entry_max")
INSTRUMENT: Group = ("instrument", "pressure_unit")


class Predicted(NamedTuple):
    """The pressure the method should make at its peak, in bar."""

    low: float
    central: float
    high: float
    left_out: float = 0.0
    """What parts that the prediction leaves out may add."""

    @classmethod
    def of(cls, profile: Profile, found: Prediction | None) -> Predicted | None:
        """From a prediction of the profile."""
        if found is None:
            return None
        more = left_out_allowance(profile, found)
        return cls(found.low / 1e5, found.central / 1e5, found.high / 1e5, more / 1e5)

    @classmethod
    def made_by(cls, profile: Profile) -> Predicted | None:
        """The pressure that a profile makes; None where it cannot be predicted."""
        try:
            return cls.of(profile, predict_to_judge(profile))
        except CannotPredict:
            return None


class RatedNumber(NamedTuple):
    """A rating as typed, and the share of it that holds at the method's conditions.

    `text` is empty where only a derating table states it: then nothing stands there to doubt.
    """

    group: Group
    text: str
    number: float
    unit: str
    derated: float
    least: float
    most: float
    loaded: bool


class MeantNumber(NamedTuple):
    """A number as it was meant: in `unit`; another number than typed where `number` is given."""

    group: Group
    kind: SlipKind
    unit: str
    number: str = ""


class Numbers(NamedTuple):
    """The pressures of a profile in bar, as typed or as they may have been meant."""

    unit: str
    """The instrument's."""
    high: float
    low: float
    band: tuple[float, float] | None
    entry_max: float
    """Infinite where none is given."""
    ratings: tuple[float, ...]
    predicted: Predicted | None
    untouched: bool
    """The high cutoff is a rating or the largest entry: a default nobody set."""


class RatedPath(NamedTuple):
    """What the flow path says by itself: its ratings, and lengths and flows that cannot be."""

    parts: tuple[RatedPart, ...]
    ratings: tuple[RatedNumber, ...]
    bars: tuple[float, ...]
    """The ratings in bar."""
    geometry: tuple[Implausible, ...]

    @classmethod
    def of(cls, profile: Profile, parts: tuple[RatedPart, ...]) -> RatedPath:
        """That of a profile with these rated parts."""
        ratings = tuple(map(_rating, parts))
        bars = tuple(rating.number * BAR[rating.unit] for rating in ratings)
        return cls(parts, ratings, bars, implausible_geometry(profile))


class Evidence:
    """The typed numbers of a profile, ready to be read in other ways than typed.

    `asked` is the one number in question, where the others are taken as they are; `path` what the
    flow path says, where that is known already.
    """

    def __init__(
        self,
        profile: Profile,
        prediction: Prediction | Predicted | None = None,
        asked: Group | None = None,
        path: RatedPath | None = None,
    ) -> None:
        self.profile, self.prediction, self.asked = profile, prediction, asked
        instrument, cutoffs, expected = profile.instrument, profile.cutoffs, profile.expected
        self.unit = unit = instrument.pressure_unit
        self.typed: dict[Group, tuple[float, str]] = {}
        """Each number with its unit; without the ratings."""
        self.bare = {HIGH: False, LOW: False, EXPECTED_LOW: False, EXPECTED_HIGH: False}
        """Which pressures stand without a unit of their own."""
        with_unit = cutoffs.with_unit
        for group, pressure in ((HIGH, cutoffs.high), (LOW, cutoffs.low)):
            if pressure is not None:
                self.typed[group] = (float(pressure.number), pressure.unit)
                self.bare[group] = group[1] not in with_unit
        if expected is not None:
            with_unit = expected.with_unit
            for group, pressure in ((EXPECTED_LOW, expected.low), (EXPECTED_HIGH, expected.high)):
                self.typed[group] = (float(pressure.number), pressure.unit)
                self.bare[group] = group[1] not in with_unit
        if instrument.entry_max is not None:
            self.typed[ENTRY_MAX] = (float(instrument.entry_max), unit)
        self.bare_band = self.bare[EXPECTED_LOW] and self.bare[EXPECTED_HIGH]
        self.step = None if instrument.display_step is None else float(instrument.display_step)
        path = path or RatedPath.of(profile, rated_parts(profile))
        self.ratings, self.geometry = path.ratings, path.geometry
        self.column_rated = any(part.part.part == "column" for part in path.parts)
        if not isinstance(prediction, Predicted):
            prediction = Predicted.of(profile, prediction)
        bars = {group: number * BAR[of] for group, (number, of) in self.typed.items()}
        self.declared = Numbers(
            unit,
            bars.get(HIGH, 0.0),
            bars.get(LOW, 0.0),
            None if expected is None else (bars[EXPECTED_LOW], bars[EXPECTED_HIGH]),
            bars.get(ENTRY_MAX, inf),
            path.bars,
            None if self.geometry else prediction,
            self._untouched(path.parts),
        )

    def _untouched(self, rated: Iterable[RatedPart]) -> bool:
        high = self.profile.cutoffs.high
        if high is None:
            return False
        if ENTRY_MAX in self.typed and high.to(self.unit) == self.profile.instrument.entry_max:
            return True
        return any(part.part.rating == high for part in rated)

    @cached_property
    def units_used(self) -> frozenset[str]:
        """The units that stand anywhere in the profile."""
        typed = {unit for _, unit in self.typed.values()}
        return frozenset({self.unit, *typed, *(rating.unit for rating in self.ratings)})

    @cached_property
    def index(self) -> dict[Group, int]:
        """Where each rating stands among the ratings."""
        return {rating.group: i for i, rating in enumerate(self.ratings)}

    @cached_property
    def predicted_by(self) -> tuple[Group, ...]:
        """The lengths that most of the predicted pressure rests on, and the flow."""
        shares = {}
        if isinstance(self.prediction, Prediction):
            shares = {share.place: share.central for share in self.prediction.budget}
        least = 0.3 * sum(shares.values())
        found: list[Group] = []
        for place, part in enumerate(self.profile.flow_path):
            if part.part in ("column", "guard column") or shares.get(place, 0.0) > least:
                for key in ("length", "bore", "particle_size"):
                    if getattr(part, key, None) is not None:
                        found.append(("flow_path", place, key))
        conditions = self.profile.conditions
        if conditions is not None and conditions.flow is not None:
            found.append(("conditions", "flow"))
        return tuple(found)

    def unit_of(self, group: Group) -> str:
        """The unit a pressure is declared in."""
        if group == INSTRUMENT:
            return self.unit
        if group in self.index:
            return self.ratings[self.index[group]].unit
        return self.typed[EXPECTED_HIGH if group == EXPECTED else group][1]

    def text_of(self, group: Group) -> str:
        """A pressure's number as typed."""
        if group == ENTRY_MAX:
            return plain(self.profile.instrument.entry_max or Fraction(0))
        if group in self.index:
            return self.ratings[self.index[group]].text
        table = getattr(self.profile, str(group[0]))
        pressure: Pressure = getattr(table, str(group[1]))
        return pressure.number

    def meaning(self, change: MeantNumber) -> tuple[str, str]:
        """A change by what it says: two kinds of slip may give the same number."""
        if change.group in (INSTRUMENT, EXPECTED):
            return str(change.group), change.unit
        if change.kind == "geometry":
            quantity = Flow if change.unit in Flow.UNITS else Length
            return str(change.group), f"{float(quantity.of(change.number, change.unit)):.6g}"
        if change.group in self.index:
            number = self.ratings[self.index[change.group]].number
        else:
            number = self.typed[change.group][0]
        number = float(change.number) if change.number else number
        return str(change.group), f"{number * BAR[change.unit]:.6g}"

    def changed(self, changes: Iterable[MeantNumber]) -> Numbers:
        """The numbers with some of them read as they may have been meant."""
        numbers = self.declared
        for change in changes:
            numbers = self._changed(numbers, change)
        return numbers

    def _changed(self, now: Numbers, change: MeantNumber) -> Numbers:
        group, scale = change.group, BAR[change.unit] if change.kind != "geometry" else 1.0
        if change.kind == "geometry":
            profile = with_values(self.profile, [(group, change.number, change.unit)])
            return now._replace(predicted=Predicted.made_by(profile))
        if group == INSTRUMENT:
            by = scale / BAR[self.unit]
            band = now.band
            times = {group: by if bare else 1.0 for group, bare in self.bare.items()}
            if band is not None:
                band = (band[0] * times[EXPECTED_LOW], band[1] * times[EXPECTED_HIGH])
            return now._replace(
                unit=change.unit,
                high=now.high * times[HIGH],
                low=now.low * times[LOW],
                band=band,
                entry_max=now.entry_max * by,
                untouched=False,
            )
        if group in self.index:
            at = self.index[group]
            number = float(change.number) if change.number else self.ratings[at].number
            ratings = (*now.ratings[:at], number * scale, *now.ratings[at + 1 :])
            return now._replace(ratings=ratings)
        if group == EXPECTED:
            low, high = self.typed[EXPECTED_LOW][0], self.typed[EXPECTED_HIGH][0]
            return now._replace(band=(low * scale, high * scale))
        value = scale * (float(change.number) if change.number else self.typed[group][0])
        if group == HIGH:
            return now._replace(high=value, untouched=False)
        if group == LOW:
            return now._replace(low=value)
        if group == ENTRY_MAX:
            return now._replace(entry_max=value)
        assert now.band is not None
        low, high = now.band
        return now._replace(band=(value, high) if group == EXPECTED_LOW else (low, value))


def _rating(part: RatedPart) -> RatedNumber:
    typed = part.part.rating or part.pressure
    text = typed.number if part.part.rating is not None else ""
    derated = 1.0 if part.pressure is typed else float(part.pressure.value / typed.value)
    least, most = plausible_bar(part.part.part)
    group = ("flow_path", part.place, "rating")
    number = float(typed.number)
    return RatedNumber(group, text, number, typed.unit, derated, least, most, part.loaded)
