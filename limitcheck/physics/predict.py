"""The pressure a profile's method should make on its flow path. SI floats in and out.

How the interval is combined. Every stated error is a half-width in ln. At each composition:
the error of each segment's own resistance (bed, bore, measured value) is independent of the
others; the errors of viscosity, of its rise with pressure, of the ambient temperature where
none is given, and of the flow are each shared by all segments they touch, so they add up
over the segments first. These contributions are then combined in quadrature, below and
above the central value apart. Parts without a resistance are left out and named.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import expm1, hypot
from typing import NamedTuple

from ..profile.model import Profile
from .data.mixtures import MIXTURES
from .data.solvents import SOLVENTS
from .flow_path import AMBIENT_ERROR, Drop, Segment, State, drops, turbulent
from .liquid import CannotPredict, viscosity_ratio_error
from .solvents import pressure_rise
from .system import Change, System, system
from .viscosity import peak_fraction, viscosity_error

__all__ = [
    "CannotPredict", "Change", "Point", "Prediction", "Share", "interval", "predict",
    "predict_system", "pressure",
]  # fmt: skip

FLOW_ERROR = 0.01  # accuracy of a pump; common practice, no source
HIGHEST = 1e12  # Pa; above it the geometry or flow is a slip
PEAK_STEP = 0.02  # volume fraction, for the parabola through a peak


class Share(NamedTuple):
    """One part's pressure drop [Pa]; ``place`` is its index in the profile's flow path."""

    place: int
    name: str
    low: float
    central: float
    high: float


class Point(NamedTuple):
    """Pressure [Pa] at one moment [min] and composition [% B] of the run."""

    minute: float
    percent_b: float
    low: float
    central: float
    high: float


class Prediction(NamedTuple):
    """Predicted pressure [Pa].

    ``low``, ``central``, ``high`` and ``budget`` (by part) are at the highest point of the
    run; ``points`` holds every point of the gradient and each peak inside a step.
    ``extrapolated`` says that a correlation was used outside its range, ``reasons`` what
    the width of the interval comes from, ``left_out`` the parts without a resistance.
    """

    low: float
    central: float
    high: float
    budget: tuple[Share, ...]
    points: tuple[Point, ...]
    highest: Point
    lowest: Point
    reasons: tuple[str, ...]
    left_out: tuple[str, ...]
    extrapolated: bool

    @property
    def peak_minute(self) -> float:
        """When the pressure is highest [min]."""
        return self.highest.minute


def predict(profile: Profile, at: Change | None = None) -> Prediction:
    """The pressure the method should make, with its interval and a budget by part.

    P = sum over the parts of R eta(composition, temperature, pressure) F

    Parameters
    ----------
    profile : Profile
        The method on its instrument
    at : Change or None
        Another flow [m^3/s], temperature [K], composition [%] or column [m]

    Returns
    -------
    prediction : Prediction
        Pressures [Pa] at each point of the gradient and at peaks inside its steps

    Raises
    ------
    CannotPredict
        Something needed is missing, unknown or out of range; the reason says what.

    Notes
    -----
    The gradient delay is ignored: the composition reaches the column when it is set. The
    module's docstring says how the interval is combined.
    """
    return predict_system(system(profile, at))


def predict_system(ready: System) -> Prediction:
    """``predict`` for a system already made; pressures [Pa]."""
    points = tuple(_points(ready))
    highest = max(points, key=lambda point: point.central)
    lowest = min(points, key=lambda point: point.central)
    state = ready.at(highest.percent_b)
    found = drops(ready.path.segments, state)
    reasons, extrapolated = _reasons(ready, state)
    return Prediction(
        highest.low,
        highest.central,
        highest.high,
        tuple(_budget(ready.path.segments, state, found)),
        points,
        highest,
        lowest,
        reasons,
        ready.path.left_out,
        extrapolated,
    )


def pressure(ready: System, percent_b: float) -> tuple[float, float, float]:
    """Low, central and high pressure [Pa] at a composition [% B]; raises CannotPredict."""
    state = ready.at(percent_b)
    return interval(ready.path.segments, state, drops(ready.path.segments, state))


def _points(ready: System) -> list[Point]:
    minute, percent_b = ready.programme[0]
    known = {percent_b: pressure(ready, percent_b)}
    points = [Point(minute, percent_b, *known[percent_b])]
    for end_minute, end_percent in ready.programme[1:]:
        inside = _peak(ready, percent_b, end_percent)
        for composition in (end_percent,) if inside is None else (inside, end_percent):
            if composition not in known:
                known[composition] = pressure(ready, composition)
        if inside is not None:
            share = (inside - percent_b) / (end_percent - percent_b)
            at = minute + share * (end_minute - minute)
            points.append(Point(at, inside, *known[inside]))
        points.append(Point(end_minute, end_percent, *known[end_percent]))
        minute, percent_b = end_minute, end_percent
    return points


def _peak(ready: System, start: float, end: float) -> float | None:
    """Percent B of the highest pressure strictly inside a step, None if it is at an end.

    The column's most viscous composition, moved by a parabola through the whole path's
    pressure at three compositions around it.
    """
    low, high = min(start, end), max(start, end)
    first, last = ready.at(low).liquid, ready.at(high).liquid
    if first.fraction == last.fraction or first.organic != last.organic:
        return None
    top = peak_fraction(first.organic, ready.state.hot)
    if top is None:
        return None
    centre = 100.0 * (top if last.fraction > first.fraction else 1.0 - top)
    step = 100.0 * PEAK_STEP
    if not low - step < centre < high + step:
        return None
    left, middle, right = (
        _central(ready, min(100.0, max(0.0, centre + offset))) for offset in (-step, 0.0, step)
    )
    bend = left - 2.0 * middle + right
    if bend < 0.0:
        centre += step * max(-1.0, min(1.0, 0.5 * (left - right) / bend))
    return centre if low < centre < high else None


def _central(ready: System, percent_b: float) -> float:
    return sum(drop.pressure for drop in drops(ready.path.segments, ready.at(percent_b)))


def interval(
    segments: Sequence[Segment], state: State, found: Sequence[Drop]
) -> tuple[float, float, float]:
    """Low, central and high total [Pa] of computed drops; raises CannotPredict.

    The module's docstring says how the errors are combined.
    """
    central = sum(drop.pressure for drop in found)
    if not central < HIGHEST:
        raise CannotPredict("more than 10 million bar: check flow, bores and particle size")
    rises = _rise_errors(state)
    below = above = shared = rise = cold = 0.0
    for segment, drop in zip(segments, found, strict=True):
        amount = drop.pressure
        below = hypot(below, amount * expm1(-segment.below))
        above = hypot(above, amount * expm1(segment.above))
        shared += amount * _viscosity_error(segment, state)
        rise += amount * drop.exponent * rises[segment.heated]
        if not segment.heated and not state.cold_known:
            cold += amount * AMBIENT_ERROR
    common = hypot(shared, rise, cold, FLOW_ERROR * central)
    low = central - hypot(below, -central * expm1(-common / central)) if central else 0.0
    return max(low, 0.0), central, central + hypot(above, common)


def _rise_errors(state: State) -> tuple[float, float]:
    """Relative error of the pressure exponent: outside the oven, inside it."""
    return (
        pressure_rise(*state.liquid, state.cold).uncertainty,
        pressure_rise(*state.liquid, state.hot).uncertainty,
    )


def _viscosity_error(segment: Segment, state: State) -> float:
    temperature = state.hot if segment.heated else state.cold
    if segment.measured is None:
        return viscosity_error(*state.liquid, temperature).half_width
    return viscosity_ratio_error(*segment.measured, state.liquid, temperature)


def _budget(segments: Sequence[Segment], state: State, found: Sequence[Drop]) -> list[Share]:
    return [
        Share(segment.place, segment.name, *interval([segment], state, [drop]))
        for segment, drop in zip(segments, found, strict=True)
    ]


def _reasons(ready: System, state: State) -> tuple[tuple[str, ...], bool]:
    """What the interval rests on, and whether a correlation left its range."""
    reasons = list(ready.path.reasons)
    outside = any(not segment.heated for segment in ready.path.segments)
    if outside and not state.cold_known:
        reasons.append("no ambient temperature: 23 degC assumed for the parts outside the oven")
    organic, fraction = state.liquid
    mixed = organic != "water" and fraction > 0.0
    if mixed and SOLVENTS[organic].pressure is None:
        reasons.append(f"how the viscosity of {organic} rises with pressure is not measured")
    if mixed and fraction < 1.0 and not MIXTURES[organic].b_measured:
        reasons.append(f"how temperature acts on {organic} mixed with water is not measured")
    extrapolated = False
    for temperature in {state.hot, state.cold} if outside else {state.hot}:
        if viscosity_error(*state.liquid, temperature).extrapolated:
            extrapolated = True
            reasons.append(f"viscosity at {temperature - 273.15:.0f} degC is extrapolated")
    for name, number in turbulent(ready.path.segments, state):
        extrapolated = True
        reasons.append(f"{name}: Reynolds number {number:.0f}, no longer laminar: predicted low")
    if len(ready.programme) > 1:
        reasons.append("the gradient delay is ignored")
    return tuple(reasons), extrapolated
