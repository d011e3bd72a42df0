"""A profile ready to be tried under faults."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import cached_property
from typing import Literal

from ...profile.hardware import column_index
from ...profile.model import Column, Profile
from ..flow_path import Segment, State, first_column
from ..liquid import CannotPredict
from ..predict import Prediction, predict_system
from ..ratio import RatioInterval, between
from ..system import System, system

Where = Literal["before the injector", "after the injector"]
Ratios = tuple[RatioInterval, RatioInterval]
"""Pressure over normal pressure [-] at the lowest and at the highest point of the run."""


class Run:
    """A profile, its resistances and its normal course, worked out once when asked for."""

    def __init__(self, profile: Profile) -> None:
        self.profile = profile

    @cached_property
    def system(self) -> System:
        """The profile ready to compute; raises CannotPredict."""
        return system(self.profile)

    @cached_property
    def prediction(self) -> Prediction:
        """The prediction without a fault; raises CannotPredict."""
        return predict_system(self.system)

    def share(self, place: int) -> float:
        """The share [-] of a part in the highest pressure of the run; raises CannotPredict."""
        found = self.prediction
        own = sum(share.central for share in found.budget if share.place == place)
        return own / found.central

    def under(
        self, change: Callable[[State], State], segments: Sequence[Segment] | None = None
    ) -> Ratios:
        """Ratios [-] at the lowest and highest point of the run; raises CannotPredict."""
        ready = self.system
        after = ready.path.segments if segments is None else segments
        lowest, highest = self.prediction.lowest.percent_b, self.prediction.highest.percent_b
        ratios = {
            percent_b: between(ready.path.segments, state, after, change(state))
            for percent_b, state in ((point, ready.at(point)) for point in {lowest, highest})
        }
        return ratios[lowest], ratios[highest]

    @property
    def column(self) -> tuple[int, Column]:
        """The place of the first column, and the column."""
        return first_column(self.profile)

    def narrowest(self, where: Where) -> Segment:
        """The most resistive tube before the injector, or from it to the last column."""
        parts = self.profile.flow_path
        injector = next((i for i, part in enumerate(parts) if part.part == "injector"), None)
        if injector is None:
            raise CannotPredict("no injector in the flow path")
        before = where == "before the injector"
        first, end = (0, injector) if before else (injector, column_index(self.profile))
        tubes = [
            segment
            for segment in self.system.path.segments
            if first <= segment.place < end and parts[segment.place].part in ("tubing", "loop")
        ]
        if not tubes:
            raise CannotPredict(f"no tubing with length and bore {where}")
        return max(tubes, key=lambda segment: segment.resistance)
