"""What a check is given: one profile with its policy, and figures worked out once."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from functools import cached_property
from typing import TYPE_CHECKING

from ..findings import KeyPath
from ..limits import Proposal, propose
from ..meant import Evidence, Meant, judge
from ..physics.liquid import CannotPredict
from ..physics.predict import Prediction, predict
from ..policy import Margins, Policy, margins_for
from ..profile.hardware import RatedPart, rated_parts, weakest
from ..profile.model import Expected, Profile
from ..units import Pressure, show, show_all

if TYPE_CHECKING:
    from ..profile.text import SharedPart


class Skip(Exception):
    """Raised by a check that lacks what it needs; the reason is shown to the user."""


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

    def corrected(self, profile: Profile) -> Subject:
        """The same for the profile with other numbers; what they don't change is not redone."""
        after = replace(self, profile=profile)
        before = self.profile
        if profile.flow_path is before.flow_path and profile.conditions is before.conditions:
            for name in ("rated", "loaded", "weakest", "_predicted"):
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
        return propose(self.profile, self.margins)

    @property
    def prediction(self) -> Prediction | None:
        """The pressure the method should make; None where it cannot be predicted."""
        return self._predicted[0]

    @property
    def no_prediction_reason(self) -> str:
        """Why there is no prediction; empty where there is one."""
        return self._predicted[1]

    @cached_property
    def _predicted(self) -> tuple[Prediction | None, str]:
        try:
            return predict(self.profile), ""
        except CannotPredict as error:
            return None, error.message

    @cached_property
    def evidence(self) -> Evidence:
        """The typed numbers, ready to be read in other ways than typed."""
        return Evidence(self.profile, self.prediction, self.asked)

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
            raise Skip("no high cutoff")
        return self.profile.cutoffs.high

    @property
    def low(self) -> Pressure:
        """The low cutoff; skips the check where it is absent or zero."""
        low = self.profile.cutoffs.low
        if low is None or low.value == 0:
            raise Skip("the low cutoff is off")
        return low

    @property
    def expected(self) -> Expected:
        """The expected band; skips the check where there is none."""
        if self.profile.expected is None:
            raise Skip("no expected pressure")
        return self.profile.expected


def typed(pressure: Pressure, *apart: Pressure) -> str:
    """A pressure as typed, with its value in the other units of the trade.

    >>> typed(Pressure.parse("400 bar"))
    '400 bar (5802 psi, 40 MPa)'
    """
    return f"{pressure} ({show_all(pressure, skip=pressure.unit, apart=apart)})"


def gap(above: Pressure, below: Pressure, unit: str) -> str:
    """How far one pressure is above another, in the unit."""
    return show(Pressure.of(above.to(unit) - below.to(unit), unit), unit, digits=4)
