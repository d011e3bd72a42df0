"""How sure a pressure over parts in series is. SI floats in and out.

Every stated error is a half-width in ln, of two standard deviations (``uncertainty``). At each
composition: the error of each segment's own resistance (bed, bore, measured value) is independent
of the others, but beds of one kind of particle rest on one assumption, and those of two kinds
share the packing constant. What nobody tells of the flow in tubes, a coil, turbulence, may be so in
all of them: it adds up. That error and those of
viscosity, of its rise with pressure, of the ambient temperature where none is given, of the flow,
and of heat and compression in a column are each shared by all segments they touch, so they add up
over the segments first. Segments fitted to measured pairs share what these leave unknown (a
covariance), in place of the first and of the flow, as far as the pairs were read at that flow; and
a pressure varies from day to day. These contributions are then combined in quadrature, below and
above the central value apart.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import combinations
from math import exp, expm1, hypot, sqrt

from .drops import Drop, either_regime
from .flow_path import (
    AMBIENT_ERROR,
    DAY_ERROR,
    FLOW_ERROR,
    OVEN_ERROR,
    REPEAT_ERROR,
    Segment,
    State,
)
from .liquid import CannotPredict, viscosity_ratio_error
from .resistance import constant_shared
from .tube import TURBULENT_ERROR

HIGHEST = 1e12  # Pa; above it the geometry or flow is a slip
READING_ERROR = hypot(DAY_ERROR, REPEAT_ERROR)  # of a pressure read another day


def interval(
    segments: Sequence[Segment], state: State, found: Sequence[Drop]
) -> tuple[float, float, float]:
    """Low, central and high total [Pa] of computed drops; raises CannotPredict.

    The module's docstring says how the errors are combined.
    """
    low, central, high = _about(segments, state, found)
    if any(drop.laminar or drop.turbulent for drop in found):
        least = [_if_laminar(*both) for both in zip(segments, found, strict=True)]
        most = [_if_turbulent(*both) for both in zip(segments, found, strict=True)]
        low = min(low, _about(segments, state, least)[0])
        high = max(high, _about(segments, state, most)[2])
    return low, central, high


def _if_laminar(segment: Segment, drop: Drop) -> Drop:
    """A drop with its tube laminar, as far as it may be, and what is unsure of it then.

    As it is where a measurement tells of it: ``_flow_errors`` counts the regime.
    """
    reach = min(drop.laminar, drop.below)
    if not reach or segment.tied is not None or segment.flowed is not None:
        return drop
    left = sqrt(drop.below**2 - reach**2)
    return drop._replace(pressure=drop.pressure * exp(-reach), below=left)


def _if_turbulent(segment: Segment, drop: Drop) -> Drop:
    """The same with its tube turbulent, where it may be."""
    reach = min(drop.turbulent, drop.above)
    if not reach or segment.tied is not None or segment.flowed is not None:
        return drop
    left = max(sqrt(drop.above**2 - reach**2), TURBULENT_ERROR)
    return drop._replace(pressure=drop.pressure * exp(reach), above=left)


def _about(
    segments: Sequence[Segment], state: State, found: Sequence[Drop]
) -> tuple[float, float, float]:
    """``interval`` with the flow in every tube as it is in its drop."""
    central = sum([drop.pressure for drop in found])
    if not central < HIGHEST:
        raise CannotPredict(
            "more than 10 million bar: check flow, bores and particle size",
            "a flow, bores and a particle size that fit each other",
        )
    mixed = state.liquid
    temperatures = state.cold, state.hot
    rises = [mixed.rise(kelvin).uncertainty for kelvin in temperatures]
    errors = [mixed.error(kelvin).half_width for kelvin in temperatures]
    shared = rise = cold = warm = tied = bed = less_flow = more_flow = 0.0
    own_below: dict[str | int, float] = {}
    own_above: dict[str | int, float] = {}
    for segment, drop in zip(segments, found, strict=True):
        amount, heated = drop.pressure, segment.heated
        narrow, wide, known = segment.below, segment.above, 0.0
        less, more = _flow_errors(segment, drop)
        if segment.tied is not None:
            narrow, wide, known = 0.0, 0.0, segment.tied.exponent
            tied += amount
        if segment.open is not None:
            less_flow += amount * expm1(-less)
            more_flow += amount * expm1(more)
        elif less or more:
            narrow, wide = hypot(narrow, less), hypot(wide, more)
        if segment.other_bed and (segment.measured or segment.tied):
            narrow, wide = hypot(narrow, segment.other_bed), hypot(wide, segment.other_bed)
        bed += amount * drop.bed
        alike = segment.place if segment.tied is not None else segment.alike or segment.place
        own_below[alike] = own_below.get(alike, 0.0) + amount * expm1(-narrow)
        own_above[alike] = own_above.get(alike, 0.0) + amount * expm1(wide)
        if segment.measured is None:
            shared += amount * errors[heated]
        else:
            kelvin = temperatures[heated]
            shared += amount * viscosity_ratio_error(*segment.measured, mixed, kelvin)
        rise += amount * (drop.exponent - known) * rises[heated]
        if not heated and not state.cold_known:
            cold += amount
        elif heated:
            warm += amount
    below = hypot(joined(own_below, 0), less_flow)
    above = hypot(joined(own_above, 1), more_flow)
    if tied:
        less, more = tied_spread(segments, [drop.pressure / central for drop in found])
        below, above = hypot(below, central * expm1(-less)), hypot(above, central * expm1(more))
    cold *= AMBIENT_ERROR * mixed.thinning(state.cold)
    warm *= OVEN_ERROR * mixed.thinning(state.hot)
    common = hypot(
        shared, rise, cold, warm, bed, FLOW_ERROR * (central - tied), READING_ERROR * tied
    )
    if not central:
        return 0.0, 0.0, hypot(above, common)
    low = central - hypot(below, -central * expm1(-common / central))
    return max(low, 0.0), central, central + hypot(above, central * expm1(common / central))


def _flow_errors(segment: Segment, drop: Drop) -> tuple[float, float]:
    """Half-widths in ln of what the flow does to a drop [-].

    Where the part was measured, of what it does otherwise than then: what errs alike at both flows
    cancels, but a tube in transition may be laminar at one and turbulent at the other.
    """
    if (pair := segment.tied) is not None:
        then, below, above = pair.regimes, pair.flow_below, pair.flow_above
    elif (flowed := segment.flowed) is not None:
        then, below, above = flowed.regimes, flowed.below, flowed.above
    else:
        return drop.below, drop.above
    lower, higher = either_regime(then, drop.regimes)
    return max(abs(drop.below - below), lower), max(abs(drop.above - above), higher)


def joined(errors: Mapping[str | int, float], side: int) -> float:
    """Half-width [Pa or -] of errors together, by place or by kind of particle; else independent.

    Two kinds share the packing constant (``constant_shared``; side 0 below, 1 above). Errors of
    opposite signs cancel as far as they share it on either side.
    """
    squared = sum([error * error for error in errors.values()])
    kinds = [alike for alike in errors if isinstance(alike, str)]
    for one, other in combinations(kinds, 2):
        both, shared = errors[one] * errors[other], constant_shared(one, other)
        squared += 2.0 * both * (shared[side] if both > 0.0 else min(shared))
    return sqrt(max(squared, 0.0))


def tied_spread(segments: Sequence[Segment], weights: Sequence[float]) -> tuple[float, float]:
    """Half-widths below and above of the sum of weights [-] times the errors of tied segments."""
    tied = [(s.tied, w) for s, w in zip(segments, weights, strict=True) if s.tied is not None]
    below = above = 0.0
    for one, weight in tied:
        for other, by in tied:
            below += weight * by * one.below[other.place]
            above += weight * by * one.above[other.place]
    return sqrt(max(below, 0.0)), sqrt(max(above, 0.0))
