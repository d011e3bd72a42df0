"""One side of a comparison of two instruments: each part with its share of the pressure."""

from __future__ import annotations

from math import hypot
from typing import NamedTuple

from ..profile.model import AnyPart, Profile
from .drops import Drop, drops
from .flow_path import Segment, State
from .liquid import CannotPredict
from .predict import predict_system
from .system import system


class Side(NamedTuple):
    """One side at one composition: its segments, each with its share [-] of the pressure [Pa]."""

    profile: Profile
    segments: tuple[Segment, ...]
    state: State
    drops: tuple[Drop, ...]
    pressure: float

    def share(self, index: int) -> float:
        """Share of a segment in the pressure [-]."""
        return self.drops[index].pressure / self.pressure

    def error(self, index: int) -> tuple[float, float]:
        """Half-widths in ln [-] of the resistance of a segment, of a tube with the flow in it."""
        segment, drop = self.segments[index], self.drops[index]
        if segment.heated:
            return segment.below, segment.above
        return hypot(segment.below, drop.below), hypot(segment.above, drop.above)

    @property
    def heat(self) -> tuple[float, float, float]:
        """Half-widths in ln [-] of the pressure, from heat and compression in the columns.

        Below, above, and of what both may do.
        """
        heated = [i for i, segment in enumerate(self.segments) if segment.heated]
        return (
            sum(self.share(i) * self.drops[i].below for i in heated),
            sum(self.share(i) * self.drops[i].above for i in heated),
            sum(self.share(i) * self.drops[i].bed for i in heated),
        )

    def part(self, index: int) -> AnyPart:
        """The part of a segment; its index [-] is that of the segment."""
        return self.profile.flow_path[self.segments[index].place]

    def temperature(self, index: int) -> float:
        """Temperature of a segment [K]."""
        return self.state.hot if self.segments[index].heated else self.state.cold

    @property
    def computed(self) -> tuple[float, float]:
        """Shares [-] of what is not measured, outside and inside the oven."""
        shares = [0.0, 0.0]
        for index, segment in enumerate(self.segments):
            if segment.measured is None:
                shares[segment.heated] += self.share(index)
        return shares[0], shares[1]

    @property
    def rise(self) -> float:
        """Half-width in ln [-] of the pressure, from the rise of viscosity with pressure."""
        return sum(
            self.share(i) * drop.exponent * self.state.liquid.rise(self.temperature(i)).uncertainty
            for i, drop in enumerate(self.drops)
        )

    @property
    def heated(self) -> float:
        """Share of the columns in the pressure [-]."""
        return sum(self.share(i) for i, segment in enumerate(self.segments) if segment.heated)


def side(profile: Profile, end: str) -> Side:
    """A profile where its run is "lowest" or highest [Pa]; raises CannotPredict."""
    ready = system(profile)
    at = predict_system(ready)
    state = ready.at((at.lowest if end == "lowest" else at.highest).percent_b)
    found = drops(ready.path.segments, state)
    pressure = sum(drop.pressure for drop in found)
    if pressure == 0.0:
        raise CannotPredict("no part with a known resistance is left to compare")
    return Side(profile, ready.path.segments, state, found, pressure)
