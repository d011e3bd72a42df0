"""What a check is given: one profile with its policy, and figures worked out once."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from functools import cached_property
from math import inf, isinf
from typing import TYPE_CHECKING

from ..findings import KeyPath
from ..limits import Proposal, Reached, propose
from ..meant import Evidence, Meant, RatedPath, judge
from ..physics.left_out import PARTS_LEFT_OUT, allowed, left_out_allowance
from ..physics.liquid import CannotPredict
from ..physics.over_course import about_end, run_ends
from ..physics.predict import Prediction, RunPoint, fit_to_judge, predict
from ..policy import Margins, Policy, margins_for
from ..profile.hardware import RatedPart, rated_parts, weakest
from ..profile.model import Expected, Profile
from ..profile.unrated import NotRated, not_rated
from ..units import Pressure, show, show_all
from ..units.printing import as_read

if TYPE_CHECKING:
    from ..profile.text import SharedPart

HIGH: KeyPath = ("cutoffs", "high")
NO_HIGH = "no high cutoff"
TURNED_OFF = "turned off"
"""How the reason begins where the policy is why a check did not run."""
ADD_BAND = "low and high in [expected]"
MEASURE = 'the measured pressures in [expected], with basis = "measured"'
ROUNDED = 0.01
"""Of a pressure: another version, or a rounded number."""
ADD_GEOMETRY = "length, bore, particle_size of the column; flow, temperature, solvents"
_OF_PARTS = ("rated", "loaded", "weakest", "left_out", "_not_rated")
_OF_PREDICTION = ("unjudged", "_predicted", "_path")


class Skip(Exception):
    """Raised by a check that lacks what it needs: why, what to add, and where it is missing.

    It may be raised after findings: the check is then not decided for all it is about.
    """

    def __init__(self, reason: str, add: str = "", path: KeyPath = ()) -> None:
        super().__init__(reason)
        self.add, self.path = add, path


@dataclass(frozen=True)
class Subject:
    """A profile under a policy on a day.

    `shared` holds, by place in the flow path, the shared descriptions of parts whose rating
    the profile overrides.
    """

    profile: Profile
    policy: Policy
    today: date
    shared: Mapping[int, tuple[SharedPart, ...]] = field(default_factory=dict)
    asked: KeyPath | None = None
    """The one number in question, where the others are taken as they are."""
    converted: KeyPath | None = None
    """A number that was typed in another unit: its digits are not read in yet others."""

    def corrected(self, profile: Profile) -> Subject:
        """The same for the profile with other numbers; what they don't change is not redone."""
        after = replace(self, profile=profile)
        before = self.profile
        if (
            profile.flow_path is before.flow_path
            and profile.conditions is before.conditions
            and profile.measured is before.measured
        ):
            for name in _OF_PARTS + _OF_PREDICTION:
                if name in self.__dict__:
                    after.__dict__[name] = self.__dict__[name]
        return after

    @cached_property
    def margins(self) -> Margins:
        """The margins in force: the profile's own over the policy's."""
        return margins_for(self.profile, self.policy)

    @cached_property
    def rated(self) -> tuple[RatedPart, ...]:
        """Every rated part, in flow order."""
        return rated_parts(self.profile)

    @cached_property
    def loaded(self) -> tuple[RatedPart, ...]:
        """The rated parts that the high cutoff is on: pump to column."""
        return tuple(part for part in self.rated if part.loaded)

    @cached_property
    def weakest(self) -> RatedPart | None:
        """The weakest of them at the method's flow and temperature."""
        return weakest(self.loaded)

    @cached_property
    def proposal(self) -> Proposal:
        """The limits the tool would propose."""
        return propose(self.profile, self.margins, self.reached, self.at_lowest)

    @property
    def reached(self) -> Reached | None:
        """What runs are predicted to reach; None where a band says what is normal.

        None too where the prediction may not be held against a number. A band that is itself only
        predicted, or that measured pairs outrank, says no more than the prediction, and nothing
        where there is none.
        """
        band = self.profile.expected
        if band is not None and not self.no_surer:
            return None
        if self.prediction is None:
            if band is None:
                return None
            told = f"{band.high} or more (only {band.basis}, and it can't be predicted here)"
            return Reached(float(band.high), inf, told)
        top, more = self._unsure(self.run_ends[1], band.high if band else None), self.left_out
        if band is not None and float(band.high) >= (1.0 - ROUNDED) * top.high + more:
            return None  # the band holds all that is predicted
        return self.between(top)

    def is_out_of_reach(self, pressure: Pressure) -> bool:
        """Whether a pressure is above the most of ``reached``; mostly without the course's work."""
        if self.prediction is None or self.profile.source:
            return (reached := self.reached) is None or float(pressure) > reached.most
        return float(pressure) > self.prediction.highest.high + self.left_out

    @property
    def at_lowest(self) -> Reached | None:
        """What runs are predicted to make at the lowest; None where a band that is given says it.

        None too without a band: there is no low cutoff to draw from it.
        """
        band = self.profile.expected
        if band is None or not self.no_surer:
            return None
        if self.prediction is None:
            told = f"{band.low} or less (only {band.basis}, and it can't be predicted here)"
            return Reached(0.0, float(band.low), told)
        bottom = self._unsure(self.run_ends[0], band.low)
        if float(band.low) <= (1.0 + ROUNDED) * bottom.low:
            return None  # the band holds all that is predicted
        return self.between(bottom)

    def _unsure(self, point: RunPoint, end: Pressure | None) -> RunPoint:
        """A point of the run; of a band that a transfer wrote, as unsure about its end too."""
        if end is None or not self.profile.source or self.outranked:
            return point
        return about_end(float(end), point)

    @property
    def only_predicted(self) -> bool:
        """Whether the expected band is a prediction for this profile, typed in."""
        band = self.profile.expected
        return (
            band is not None
            and band.basis == "predicted"
            and not band.no_band
            and not band.is_moved
        )

    @cached_property
    def outranked(self) -> bool:
        """Whether measured pairs say what is normal better than the expected band."""
        if not self.profile.measured:
            return False
        from ..physics.faults.normal import outranked  # seldom needed: the check path starts fast

        return outranked(self.profile, lambda: self.unjudged)

    @property
    def no_surer(self) -> bool:
        """Whether the expected band says no more than what is predicted here."""
        band = self.profile.expected
        return self.only_predicted or (band is not None and not band.no_band and self.outranked)

    def between(self, point: RunPoint) -> Reached:
        """What the pressure of a run may be there, with what parts of it may add that are left out.

        Only where there is a prediction.
        """
        unit, more = self.unit, self.left_out
        least, most = as_read(point.low, unit), point.high + more
        if isinf(more):
            told = f"{least} {unit} or more (a restrictor without resistance_at may take any)"
        else:
            told = f"{least} to {as_read(most, unit)} {unit}"
            if more:
                told += f" ({allowed(more, unit)} of it for {PARTS_LEFT_OUT})"
        return Reached(point.low, most, told)

    @cached_property
    def run_ends(self) -> tuple[RunPoint, RunPoint]:
        """The lowest and the highest pressure [Pa] of a run; only where there is a prediction."""
        assert self.prediction is not None
        return run_ends(self.profile, self.prediction)

    @property
    def prediction(self) -> Prediction | None:
        """The pressure the method should make; None where it cannot be predicted."""
        return self._predicted[0]

    @property
    def no_prediction_reason(self) -> str:
        """Why there is no prediction; empty where there is one."""
        return self._predicted[1]

    @property
    def for_prediction(self) -> str:
        """What to add so that there is one."""
        return self._predicted[2] or ADD_GEOMETRY

    @cached_property
    def _predicted(self) -> tuple[Prediction | None, str, str]:
        try:
            return fit_to_judge(self.unjudged), "", ""
        except CannotPredict as error:
            return None, error.message, error.advice

    @cached_property
    def unjudged(self) -> Prediction:
        """The prediction, good enough to judge numbers by or not; raises CannotPredict."""
        return predict(self.profile)

    @cached_property
    def left_out(self) -> float:
        """What parts that the prediction leaves out may add [Pa]; nothing without one."""
        return 0.0 if self.prediction is None else left_out_allowance(self.profile, self.prediction)

    @cached_property
    def evidence(self) -> Evidence:
        """The typed numbers, ready to be read in other ways than typed."""
        return Evidence(self.profile, self.prediction, self.asked, self._path)

    @cached_property
    def _path(self) -> RatedPath:
        return RatedPath.of(self.profile, self.rated)

    @cached_property
    def meant(self) -> Meant:
        """Which numbers were meant, where those typed do not agree."""
        return judge(self.evidence)

    @property
    def unit(self) -> str:
        """The instrument's unit."""
        return self.profile.instrument.pressure_unit

    @property
    def high(self) -> Pressure:
        """The high cutoff; skips the check where there is none."""
        if self.profile.cutoffs.high is None:
            raise Skip(NO_HIGH, "high in [cutoffs]", ("cutoffs",))
        return self.profile.cutoffs.high

    @property
    def low(self) -> Pressure | None:
        """The low cutoff; None where it is absent or zero, which `low-cutoff-off` says."""
        low = self.profile.cutoffs.low
        return None if low is None or low.value == 0 else low

    @property
    def expected(self) -> Expected:
        """The expected band; skips the check where there is none."""
        if self.profile.expected is None:
            raise Skip("no expected pressure", ADD_BAND, HIGH)
        return self.profile.expected

    @property
    def band(self) -> Expected:
        """The expected band to go by; skips the check where it lacks, or is none of normal runs."""
        if why := self.expected.no_band:
            raise Skip(f"{why}; correct [expected] first", path=("expected", "low"))
        return self.expected

    def expected_or_predicted(self) -> Expected | Prediction:
        """The expected band, else the predicted pressure; skips the check where both lack."""
        found = self.profile.expected or self.prediction
        if found is None:
            reason = f"no expected pressure and no prediction: {self.no_prediction_reason}"
            raise Skip(reason, ADD_BAND, HIGH)
        return found

    def predicted(self) -> Prediction:
        """The predicted pressure; skips the check where there is none."""
        if self.prediction is None:
            raise Skip(self.no_prediction_reason, self.for_prediction)
        return self.prediction

    def all_rated(self) -> None:
        """Skips the check where a pump or column has no rating, or any part none at this method."""
        if self._not_rated is not None:
            raise Skip(*self._not_rated[:3])

    @cached_property
    def _not_rated(self) -> NotRated | None:
        return not_rated(self.profile)


def typed(pressure: Pressure, *apart: Pressure) -> str:
    """A pressure as typed, with its value in the other units of the trade.

    >>> typed(Pressure.parse("400 bar"))
    '400 bar (5802 psi, 40 MPa)'
    """
    return f"{pressure} ({show_all(pressure, skip=pressure.unit, apart=apart)})"


def gap(above: Pressure, below: Pressure, unit: str) -> str:
    """How far one pressure is above another, in the unit."""
    return show(Pressure.of(above.to(unit) - below.to(unit), unit), unit, digits=4)
