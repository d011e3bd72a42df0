"""What the parts hold under a fault: a rating counts at the fault's own flow and temperature."""

from __future__ import annotations

from fractions import Fraction
from typing import NamedTuple

from ...findings import KeyPath
from ...profile.hardware import RatedPart, column_index, under_pressure, weakest
from ...profile.model import Conditions, Profile
from ...units import Flow, Pressure, Temperature
from .changes import TOO_HOT

FLOWS = {"flow-doubled": Fraction(2), "flow-halved": Fraction(1, 2)}
TEMPERATURES = ("heater-off", "oven-too-hot")


class Overload(NamedTuple):
    """The weakest part that a fault takes past what it holds before anything stops the pump.

    ``reached`` [Pa] is the pressure there. ``at`` is the fault's own flow or temperature, in words,
    where the rating is another one there than in the method, ``by`` which of both; else empty.
    """

    part: RatedPart
    reached: float
    by: str = ""
    at: str = ""

    @property
    def told(self) -> str:
        """The part, what it holds, and at which flow or temperature."""
        if not self.at:
            return f"{self.part.name}, {self.part.pressure}"
        return f"{self.part.name}, {self.part.pressure} at {self.at}"


class NotRated(NamedTuple):
    """A part whose derating table ends below the flow or temperature of a fault."""

    part: RatedPart
    by: str
    at: Flow | Temperature
    above: Flow | Temperature
    path: KeyPath

    @property
    def reason(self) -> str:
        """What is missing, in words."""
        return f"no rating of the {self.part.name} is given above {self.above}"


def not_rated(profile: Profile, fault: str = "") -> tuple[NotRated, ...]:
    """The parts up to the column of which it is not stated what they hold under a fault.

    By its name; without one, in a run of the method itself.
    """
    if not _tables(profile):
        return ()
    return tuple(
        NotRated(part, item.by, item.at, item.last, item.path)
        for part in rated_under(profile, fault)
        for item in part.deratings
        if item.beyond
    )


def rated_under(profile: Profile, fault: str) -> tuple[RatedPart, ...]:
    """The rated parts up to the column with what each holds under a fault [Pa], by its name."""
    own = _conditions(profile.conditions, fault)
    if own is None or not _tables(profile):
        return under_pressure(profile)
    return under_pressure(profile.model_copy(update={"conditions": own}))


def overload(
    profile: Profile, fault: str, pressure: float, high: Pressure | None
) -> Overload | None:
    """The part that a fault overloads, the weakest; None where none is known to be.

    The fault's pressure [Pa] counts up to the high cutoff, where one is on.
    """
    reached = pressure if high is None else min(pressure, float(high))
    part = weakest(rated_under(profile, fault))
    if part is None or reached <= float(part.pressure):
        return None
    normally = {rated.place: rated.pressure for rated in under_pressure(profile)}
    if normally.get(part.place) == part.pressure:
        return Overload(part, reached)
    by = "flow" if fault in FLOWS else "temperature"
    at = getattr(_conditions(profile.conditions, fault), by)
    beyond = any(d.beyond and d.pressure == part.pressure for d in part.deratings)
    return Overload(part, reached, by, f"{at}{', beyond its last stated point' if beyond else ''}")


def may_overload(profile: Profile, fault: str, high: Pressure | None) -> bool:
    """Whether the high cutoff leaves a part unprotected under a fault, by its name; exact."""
    part = weakest(rated_under(profile, fault))
    return part is not None and (high is None or high > part.pressure)


def _tables(profile: Profile) -> bool:
    parts = profile.flow_path[: column_index(profile) + 1]
    return any(part.rating_at_flow or part.rating_at_temperature for part in parts)


def _conditions(usual: Conditions | None, fault: str) -> Conditions | None:
    """The conditions under a fault; None where they are those of the method, or not known."""
    if usual is None:
        return None
    if fault in FLOWS and usual.flow is not None:
        return usual.model_copy(update={"flow": usual.flow.times(FLOWS[fault])})
    if fault in TEMPERATURES and usual.temperature is not None:
        there = usual.ambient
        if fault == "oven-too-hot":
            now = usual.temperature
            degrees = Fraction(TOO_HOT) / now.UNITS[now.unit].factor
            there = now.of(now.to(now.unit) + degrees, now.unit)
        if there is not None:
            return usual.model_copy(update={"temperature": there})
    return None
