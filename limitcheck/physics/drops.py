"""Pressure drops over the parts of a flow path, solved from the outlet back. SI floats."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from math import exp, expm1, isclose, log1p
from typing import NamedTuple

from .constants import PRESSURE_MAX
from .flow_path import Segment, State
from .heat import FILM, HEAT_ERROR, KEEPS_MOST, heat_kept, heat_passed, share_kept, warming
from .tube import TURBULENT_ERROR, TubeFlow, flow_of, reynolds, tube_flow
from .uncertainty import of_bound
from .viscosity import PressureRise, sinh_over

_LAST_STEP = 2e-6  # of a pressure; each is at most a twentieth of the one before
_LEFT = 2e-8  # of a pressure
_SAME = 1e-3  # two states of the flow in tubes, but for rounding


class Drop(NamedTuple):
    """Pressure drop over one segment [Pa] and ln(eta(p) / eta(0)) in it [-].

    ``below`` and ``above`` are half-widths in ln [-] of what the flow adds to the error of the
    resistance: in an open tube, and in a bed by the heat of friction. ``heat`` is the half-width of
    which share of that heat stays in a bed, ``squeezed`` that of where the flow is the pump's: both
    are the same for all beds. ``carried`` is how far the heat of the beds before it may lower the
    drop over a bed, in ln [-]; half of that is counted, and either end is in ``heat``.
    ``straight`` is ``above`` without a coil that nobody tells of; None where that is the same.
    ``laminar`` and ``turbulent`` are those of a ``TubeFlow``.
    """

    pressure: float
    exponent: float
    below: float = 0.0
    above: float = 0.0
    heat: float = 0.0
    squeezed: float = 0.0
    carried: float = 0.0
    straight: float | None = None
    laminar: float = 0.0
    turbulent: float = 0.0

    @property
    def regimes(self) -> tuple[float, float]:
        """``laminar`` and ``turbulent`` [-]."""
        return self.laminar, self.turbulent

    @property
    def bed(self) -> float:
        """Half-width in ln of both together [-].

        Each is one thing or another, and often at its end (still air, a pump that allows for
        compression), so they add up.
        """
        return self.heat + self.squeezed


def either_regime(
    before: tuple[float, float], after: tuple[float, float], one_tube: bool = True
) -> tuple[float, float]:
    """How far in ln a drop over another, or a sum of them, may lie lower and higher [-].

    Each by its ``laminar`` and ``turbulent``, as in a ``Drop`` [-]. That a tube is turbulent at one
    flow says nothing sure of another flow: it may be laminar in either and turbulent in the other.
    In one tube it is at the same flow as it was.
    """
    same = all(isclose(one, other, rel_tol=_SAME) for one, other in zip(before, after, strict=True))
    if one_tube and same:
        return 0.0, 0.0
    (laminar, turbulent), (laminar_after, turbulent_after) = before, after
    lower, higher = turbulent + laminar_after, turbulent_after + laminar
    # Bounds, with nothing in them more likely: the error of turbulent flow comes on top of them.
    return lower + min(lower, TURBULENT_ERROR), higher + min(higher, TURBULENT_ERROR)


def regime_ends(found: Sequence[Drop]) -> tuple[float, float]:
    """How far in ln the total lies above that with all tubes laminar, and below turbulent [-]."""
    if not any(drop.laminar or drop.turbulent for drop in found):
        return 0.0, 0.0
    total = sum(drop.pressure for drop in found)
    less = sum(drop.pressure * expm1(-drop.laminar) for drop in found)
    more = sum(drop.pressure * expm1(drop.turbulent) for drop in found)
    return -log1p(less / total), log1p(more / total)


def drops(segments: Sequence[Segment], state: State) -> tuple[Drop, ...]:
    """Pressure drop over each segment [Pa], in flow order.

    dP = R F eta(p) x / sinh(x), p the mean pressure in the segment, counted up from the outlet,
    x = a dP / 2, a the slope of ln(eta) there (Barus' law over the segment). Solved to 1e-7.
    At a mean pressure of 100 MPa the slope ends at once: near it two pressures may fit, a few per
    cent apart, and either is given.
    Beds in series: a later one may get its liquid as warm as the earlier ones leave it, or cooled
    to the oven's temperature on the way.
    """
    found = _solved(segments, state, {})
    if sum([segment.heated for segment in segments]) < 2:
        return found
    return _solved(segments, state, _carried(segments, state, found))


def _carried(segments: Sequence[Segment], state: State, found: Sequence[Drop]) -> dict[int, float]:
    """How far the heat of earlier beds may lower the drop over each later one, in ln [-].

    By the place of each; nothing is lost between two beds, and as little as may be in them.
    """
    kelvin, slope = warming(state.liquid.solvents, state.hot)
    oven = state.oven or KEEPS_MOST
    warmer, later = 0.0, {}
    for segment, drop in zip(segments, found, strict=True):
        if segment.heated:
            left, of_brought = 1.0, 1.0
            if segment.bed is not None:
                left, of_brought = heat_passed(oven, *segment.bed, state.heat_flow)
            later[segment.place] = slope * warmer * left
            warmer = of_brought * warmer + kelvin * drop.pressure * left
    return later


def _solved(
    segments: Sequence[Segment], state: State, carried: Mapping[int, float]
) -> tuple[Drop, ...]:
    mixed, hot, cold = state.liquid, state.hot, state.cold
    hot_base = state.flow * mixed.viscosity(hot)
    hot_rise = mixed.rise(hot)
    cold_viscosity = mixed.viscosity(cold)
    cold_base = state.flow * cold_viscosity
    cold_rise = mixed.rise(cold)
    inertia = state.flow * mixed.density(cold)
    outlet = 0.0
    found: list[Drop] = []
    for segment in reversed(segments):
        if segment.heated:
            warmed = carried.get(segment.place, 0.0)
            thinned = exp(-0.5 * warmed) if warmed else 1.0
            pressure, exponent = _drop(segment.resistance * hot_base * thinned, outlet, hot_rise)
            drop = _eased(pressure, exponent, segment, state, outlet, warmed)
        elif segment.open is None:
            drop = Drop(*_drop(segment.resistance * cold_base, outlet, cold_rise))
        else:
            number = reynolds(inertia, segment.open.bore, cold_viscosity)
            flow = tube_flow(number, segment.open)
            at_zero = segment.resistance * cold_base * flow.factor
            drop = Drop(
                *_drop(at_zero, outlet, cold_rise),
                flow.below,
                flow.above,
                straight=flow.straight,
                laminar=flow.laminar,
                turbulent=flow.turbulent,
            )
        outlet += drop.pressure
        found.append(drop)
    found.reverse()
    return tuple(found)


def _eased(
    pressure: float, exponent: float, segment: Segment, state: State, outlet: float, carried: float
) -> Drop:
    """A drop over a bed with what heat and compression do to it.

    The middle of what the share of the heat that stays allows, from none to all where nothing is
    said about the oven; either end is in the error. So is compression: the flow may be that of the
    liquid without pressure, less in the bed, or that of the pump's strokes, more in the bed.
    """
    warm, squeezed = state.liquid.eased(state.hot, pressure, outlet)
    if segment.measured is not None:  # as much of it as was not there when it was measured
        own, kelvin = segment.measured
        before = own.eased(kelvin, segment.certified, 0.0)
        warm, squeezed = warm - before[0], squeezed - before[1]
    least, most = kept_in(segment, state) or (0.0, _most_kept(segment, state))
    heat = of_bound(0.5 * (abs(warm) * (most - least) + abs(carried)))
    spread = (abs(warm) * most + abs(carried)) * HEAT_ERROR
    lower = pressure * exp(-0.5 * warm * (least + most))
    return Drop(lower, exponent, spread, spread, heat, of_bound(abs(squeezed)), carried)


def kept_in(segment: Segment, state: State) -> tuple[float, float] | None:
    """Least and greatest share of the heat of friction that stays in a bed [-].

    None where oven or bed is not known.
    """
    if state.oven is None or segment.bed is None:
        return None
    return heat_kept(state.oven, *segment.bed, state.heat_flow)


def _most_kept(segment: Segment, state: State) -> float:
    """The greatest share of the heat that stays in a bed in any oven [-]."""
    if segment.bed is None:
        return 1.0
    return share_kept(FILM[KEEPS_MOST][0], *segment.bed, state.heat_flow)


def _drop(at_zero: float, outlet: float, rise: PressureRise) -> tuple[float, float]:
    """A pressure and its exponent, as in a ``Drop``.

    Newton's method on P = P0 exp(r(p)), p = outlet + P / 2; r is constant from 100 MPa on.
    """
    linear, square, _ = rise
    # What a step leaves, of the pressure, is its square times this, away from that end of r.
    curve = 0.125 * linear * linear + 0.25 * abs(square)
    mean = min(outlet + 0.5 * at_zero, PRESSURE_MAX)
    exponent = mean * (linear + square * mean)
    second = 0.5 * (exponent + linear * at_zero) if at_zero < PRESSURE_MAX else 0.0
    pressure = at_zero * (1.0 + exponent * (1.0 + second))
    for _ in range(40):
        mean = outlet + 0.5 * pressure
        slope = linear + 2.0 * square * mean
        if mean > PRESSURE_MAX:
            mean, slope = PRESSURE_MAX, 0.0
        exponent = mean * (linear + square * mean)
        # Over the segment the viscosity is exp(slope p): its mean is not that of the middle.
        half = 0.5 * slope
        x = half * pressure
        risen = at_zero * exp(exponent) / sinh_over(x)
        # Where the pressure runs away with itself Newton's step leads anywhere.
        steep = risen * (half - x * (half + 0.5 * square * pressure) / 3.0)
        step = (risen - pressure) / (1.0 - steep if steep < 0.6 else 1.0)
        pressure += step
        if step * step * curve < _LEFT:
            return pressure, exponent + half * step
        if -_LAST_STEP * pressure <= step <= _LAST_STEP * pressure:
            break
    return pressure, exponent


def tube_flows(segments: Sequence[Segment], state: State) -> Iterator[tuple[Segment, TubeFlow]]:
    """Every open tube with the flow in it: Reynolds number, factor and its errors [-]."""
    for segment in segments:
        if segment.open is not None:
            yield segment, flow_of(segment.open, state.flow, state.liquid, state.cold)
