"""The pressure a profile's method should make on its flow path. SI floats in and out.

How the interval is combined. Every stated error is a half-width in ln, of two standard deviations
(``uncertainty``). At each composition: the error of each segment's own resistance (bed, bore,
measured value) is independent of the others; the errors of viscosity, of its rise with pressure, of
the ambient temperature where none is given, of the flow, and of heat and compression in a column
are each shared by all segments they touch, so they add up over the segments first. Segments fitted
to measured pairs share what these leave unknown (a covariance), in place of the first and of the
flow, and a pressure varies from day to day. These contributions are then combined in quadrature,
below and above the central value apart. Devices that nobody measured have their usual resistance
(``usual``); restrictors, and devices without tubing beside them, are left out and named.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache, cached_property
from math import exp, expm1, hypot
from typing import NamedTuple

from ..profile.model import Profile
from .drops import Drop, drops, tube_flows
from .extremes import extremes
from .flow_path import (
    AMBIENT_ERROR,
    DAY_ERROR,
    FLOW_ERROR,
    OVEN_ERROR,
    REPEAT_ERROR,
    Segment,
    State,
    tied_spread,
)
from .liquid import CannotPredict, viscosity_ratio_error
from .rests_on import extrapolations, rests_on
from .system import Change, System, system

HIGHEST = 1e12  # Pa; above it the geometry or flow is a slip
_READING = hypot(DAY_ERROR, REPEAT_ERROR)  # of a pressure read another day


class Share(NamedTuple):
    """One part's pressure drop [Pa]; ``place`` is its index in the profile's flow path."""

    place: int
    name: str
    low: float
    central: float
    high: float


class RunPoint(NamedTuple):
    """Pressure [Pa] at one moment [min] and composition [% B] of the run."""

    minute: float
    percent_b: float
    low: float
    central: float
    high: float


class Prediction:
    """Predicted pressure [Pa].

    ``points`` holds every point of the gradient, and the highest and lowest inside each step.
    ``low``, ``central``, ``high`` and ``budget`` (by part) are at the ``highest`` point of the
    run.
    """

    def __init__(self, ready: System, points: tuple[RunPoint, ...]) -> None:
        self.ready = ready
        self.points = points

    @cached_property
    def highest(self) -> RunPoint:
        """The point of the highest pressure [Pa]."""
        return max(self.points, key=lambda point: point.central)

    @cached_property
    def lowest(self) -> RunPoint:
        """The point of the lowest pressure [Pa]."""
        return min(self.points, key=lambda point: point.central)

    @property
    def low(self) -> float:
        """Low end of the interval [Pa]."""
        return self.highest.low

    @property
    def central(self) -> float:
        """Best estimate [Pa]."""
        return self.highest.central

    @property
    def high(self) -> float:
        """High end of the interval [Pa]."""
        return self.highest.high

    @property
    def left_out(self) -> tuple[str, ...]:
        """Parts without a known resistance."""
        return self.ready.path.left_out

    @cached_property
    def budget(self) -> tuple[Share, ...]:
        """The pressure of each part [Pa], at the highest point."""
        segments, state = self.ready.path.segments, self._state
        return tuple(
            Share(segment.place, segment.name, *interval([segment], state, [drop]))
            for segment, drop in zip(segments, drops(segments, state), strict=True)
        )

    @cached_property
    def reasons(self) -> tuple[str, ...]:
        """What the width of the interval rests on, the largest contribution first."""
        low, central, high = self.highest.low, self.highest.central, self.highest.high
        half_width = max(high - central, central - low) / central if central else 0.0
        return tuple(rests_on(self.ready, self._state, half_width))

    @cached_property
    def extrapolated(self) -> bool:
        """Whether a correlation was used outside its range."""
        return next(extrapolations(self.ready, self._state), None) is not None

    @property
    def _state(self) -> State:
        return self.ready.at(self.highest.percent_b)


def predict(profile: Profile, at: Change | None = None) -> Prediction:
    """The pressure [Pa] the method should make, or would make under the change ``at``.

    P = sum over the parts of R eta(composition, temperature, pressure) F, at each point of the
    gradient and at the highest and lowest inside its steps, each composition in the whole flow
    path: no peak of the run is more than 2 % higher. ``course`` has the run as the column sees
    it. Raises CannotPredict where something needed is missing, unknown or out of range; its
    message says what.
    """
    return predict_system(system(profile, at))


def predict_to_judge(profile: Profile) -> Prediction:
    """``predict``, where the pressure [Pa] is to stand against the numbers of a profile.

    Raises CannotPredict as ``predict`` and ``fit_to_judge`` do.
    """
    return fit_to_judge(predict(profile))


def fit_to_judge(found: Prediction) -> Prediction:
    """A prediction [Pa] that may stand against the numbers of a profile.

    Raises CannotPredict for a column of which is only known what is usual for its kind, and where
    measured pairs contradict each other or the geometry: neither is evidence against a number.
    """
    fit = found.ready.path.fit
    if fit is not None and fit.unused and fit.estimate is not None:
        raise CannotPredict(
            f"the measured pairs are not used, as {fit.unused}", "[[measured]] pairs that agree"
        )
    for segment in found.ready.path.segments:
        if segment.heated and segment.usual and segment.tied is None:
            raise CannotPredict(
                f"{segment.name}: what it resists is only assumed, to a factor of "
                f"{exp(segment.above):.0f}",
                "its certificate, or its permeability",
            )
    return found


def predict_system(ready: System) -> Prediction:
    """``predict`` for a system already made; pressures [Pa]."""
    return Prediction(ready, tuple(_points(ready)))


def pressure(ready: System, percent_b: float) -> tuple[float, float, float]:
    """Low, central and high pressure [Pa] at percent_b [%]; raises CannotPredict."""
    state = ready.at(percent_b)
    return interval(ready.path.segments, state, drops(ready.path.segments, state))


def _points(ready: System) -> list[RunPoint]:
    minute, percent_b = ready.programme[0]
    segments = ready.path.segments
    state = cache(ready.at)

    @cache
    def found(composition: float) -> tuple[Drop, ...]:
        return drops(segments, state(composition))

    def central(composition: float) -> float:
        return sum(drop.pressure for drop in found(composition))

    warm = sum(segment.resistance for segment in segments if segment.heated)
    cool = sum(segment.resistance for segment in segments if not segment.heated)

    def laminar(composition: float) -> float:
        mixed = ready.liquid(composition)
        return warm * mixed.viscosity(ready.state.hot) + cool * mixed.viscosity(ready.state.cold)

    @cache
    def inside(low: float, high: float) -> tuple[float, ...]:
        # Turbulence in a tube begins within a step of the grid: there the path itself says where.
        flows = (flow for end in (low, high) for _, flow in tube_flows(segments, state(end)))
        estimate = laminar if all(flow.factor == 1.0 for flow in flows) else central
        return tuple(extremes(central, estimate, low, high))

    @cache
    def ends(composition: float) -> tuple[float, float, float]:
        return interval(segments, state(composition), found(composition))

    points = [RunPoint(minute, percent_b, *ends(percent_b))]
    for end_minute, end_percent in ready.programme[1:]:
        low, high = sorted((percent_b, end_percent))
        for composition in sorted(inside(low, high), reverse=percent_b > end_percent):
            share = (composition - percent_b) / (end_percent - percent_b)
            at = minute + share * (end_minute - minute)
            points.append(RunPoint(at, composition, *ends(composition)))
        points.append(RunPoint(end_minute, end_percent, *ends(end_percent)))
        minute, percent_b = end_minute, end_percent
    return points


def interval(
    segments: Sequence[Segment], state: State, found: Sequence[Drop]
) -> tuple[float, float, float]:
    """Low, central and high total [Pa] of computed drops; raises CannotPredict.

    The module's docstring says how the errors are combined.
    """
    central = sum(drop.pressure for drop in found)
    if not central < HIGHEST:
        raise CannotPredict(
            "more than 10 million bar: check flow, bores and particle size",
            "a flow, bores and a particle size that fit each other",
        )
    mixed = state.liquid
    temperatures = state.cold, state.hot
    rises = [mixed.rise(kelvin).uncertainty for kelvin in temperatures]
    errors = [mixed.error(kelvin).half_width for kelvin in temperatures]
    below = above = shared = rise = cold = warm = tied = bed = 0.0
    for segment, drop in zip(segments, found, strict=True):
        amount, heated = drop.pressure, segment.heated
        narrow, wide, known = segment.below, segment.above, 0.0
        if segment.tied is not None:
            narrow = drop.below - segment.tied.flow_below
            wide, known = drop.above - segment.tied.flow_above, segment.tied.exponent
            narrow, wide = abs(narrow), abs(wide)
            tied += amount
        elif drop.below or drop.above:
            narrow, wide = hypot(narrow, drop.below), hypot(wide, drop.above)
        bed += amount * drop.bed
        below = hypot(below, amount * expm1(-narrow))
        above = hypot(above, amount * expm1(wide))
        if segment.measured is None:
            shared += amount * errors[heated]
        else:
            kelvin = temperatures[heated]
            shared += amount * viscosity_ratio_error(*segment.measured, mixed, kelvin)
        rise += amount * (drop.exponent - known) * rises[heated]
        if not heated and not state.cold_known:
            cold += amount * AMBIENT_ERROR * mixed.thinning(state.cold)
        elif heated:
            warm += amount * OVEN_ERROR * mixed.thinning(state.hot)
    if tied:
        less, more = tied_spread(segments, [drop.pressure / central for drop in found])
        below, above = hypot(below, central * expm1(-less)), hypot(above, central * expm1(more))
    common = hypot(shared, rise, cold, warm, bed, FLOW_ERROR * (central - tied), _READING * tied)
    if not central:
        return 0.0, 0.0, hypot(above, common)
    low = central - hypot(below, -central * expm1(-common / central))
    return max(low, 0.0), central, central + hypot(above, central * expm1(common / central))
