"""What the parts hold under a fault: a rating counts at the fault's own flow and temperature."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from fractions import Fraction
from typing import NamedTuple

from ...findings import KeyPath
from ...profile.hardware import RatedPart, column_index, under_pressure, weakest
from ...profile.model import Conditions, Profile
from ...units import Flow, Pressure, Temperature
from ..liquid import CannotPredict
from ..predict import Prediction
from ..ratio import without_interval
from .changes import FAULTS, TOO_HOT, NormalRun, reached

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
    stopped: bool = False
    """Whether that is the high cutoff, which stops the pump there; else it is worked out."""

    @property
    def told(self) -> str:
        """The part, what it holds, and at which flow or temperature."""
        if not self.at:
            return f"{self.part.name}, {self.part.pressure}"
        return f"{self.part.name}, {self.part.pressure} at {self.at}"


class NotRated(NamedTuple):
    """A part of which it is not known what it holds under a fault.

    Its derating table ends ``above`` what is below the flow or temperature ``at`` of the fault; or
    these are not given, and are None.
    """

    part: RatedPart
    by: str
    at: Flow | Temperature | None
    above: Flow | Temperature | None
    path: KeyPath

    @property
    def reason(self) -> str:
        """What is missing, in words."""
        if self.at is None:
            return f"what the {self.part.name} holds depends on it"
        return f"no rating of the {self.part.name} is given above {self.above}"


def not_rated(profile: Profile, fault: str = "") -> tuple[NotRated, ...]:
    """The parts up to the column of which it is not stated what they hold under a fault.

    By its name; without one, in a run of the method itself.
    """
    if not _tables(profile):
        return ()
    beyond = [
        NotRated(part, item.by, item.at, item.last, item.path)
        for part in rated_under(profile, fault)
        for item in part.deratings
        if item.beyond
    ]
    missing = [part for part in under_pressure(profile) if part.unknown]
    return (*beyond, *(NotRated(part, part.unknown, None, None, part.path) for part in missing))


def rated_under(profile: Profile, fault: str) -> tuple[RatedPart, ...]:
    """The rated parts up to the column with what each holds under a fault [Pa], by its name.

    Without those of which that is not known (``not_rated``).
    """
    own = _conditions(profile.conditions, fault)
    if own is not None and _tables(profile):
        profile = profile.model_copy(update={"conditions": own})
    return tuple(part for part in under_pressure(profile) if not part.unknown)


def overload(
    profile: Profile, fault: str, pressure: float, high: Pressure | None
) -> Overload | None:
    """The part that a fault overloads, the weakest; None where none is known to be.

    The fault's pressure [Pa] counts up to the high cutoff, where one is on.
    """
    return _overload(profile, fault, weakest(rated_under(profile, fault)), pressure, high)


def _overload(
    profile: Profile, fault: str, part: RatedPart | None, pressure: float, high: Pressure | None
) -> Overload | None:
    stopped = high is not None and pressure >= float(high)
    reached = float(high) if high is not None and stopped else pressure
    if part is None or reached <= float(part.pressure):
        return None
    normally = {rated.place: rated.pressure for rated in under_pressure(profile)}
    if normally.get(part.place) == part.pressure:
        return Overload(part, reached, stopped=stopped)
    by = "flow" if fault in FLOWS else "temperature"
    at = getattr(_conditions(profile.conditions, fault), by)
    beyond = any(d.beyond and d.pressure == part.pressure for d in part.deratings)
    told = f"{at}{', beyond its last stated point' if beyond else ''}"
    return Overload(part, reached, by, told, stopped)


class Passed(NamedTuple):
    """A fault that takes a part past what it holds, before anything stops the pump.

    ``hit`` is from the high end of the normal band. ``likely``: it does so from the most likely
    predicted pressure too, or from that of a band.
    """

    name: str
    hit: Overload
    likely: bool


class Overloads(NormalRun):
    """The faults that pass a rating below the high cutoff, or without one.

    Only their most likely pressures are worked out, not how sure these are. ``possible`` are those
    of the names under which the cutoff leaves a part unprotected; exact.
    """

    compare = staticmethod(without_interval)

    def __init__(
        self,
        profile: Profile,
        names: Iterable[str],
        high: Pressure | None,
        prediction: Prediction | None = None,
    ) -> None:
        super().__init__(profile, prediction)
        self.high = high
        usual = weakest(rated_under(profile, ""))
        self.possible = {}
        for name in names:
            own = name in FLOWS or name in TEMPERATURES
            part = weakest(rated_under(profile, name)) if own else usual
            if part is not None and (high is None or high > part.pressure):
                self.possible[name] = part

    def passing(self) -> Iterator[Passed]:
        """Those that do; raises CannotPredict where there is no normal pressure to start from."""
        normal = self.normal
        for name, part in self.possible.items():
            try:
                _, ratios = FAULTS[name](self)
            except CannotPredict:
                continue  # ``Faults.not_computed`` says why
            most = reached(normal, ratios)
            hit = _overload(self.profile, name, part, most, self.high)
            if hit is not None:
                likely = normal.highest.central * ratios[1].central
                held = _overload(self.profile, name, part, likely, self.high)
                yield Passed(name, hit, self.banded or held is not None)


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
