"""A profile as hydraulic resistances in series, and the pressure they make. SI floats."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from math import exp, sqrt
from typing import TYPE_CHECKING, NamedTuple

from ..profile.measured import Resistance
from ..profile.model import AnyPart, Column, Conditions, Device, Profile, Pump
from .liquid import CannotPredict, Liquid
from .mobile_phase import liquid
from .resistance import (
    MONOLITH,
    bed_error,
    monolith_error,
    packed_resistance,
    permeability_error,
    permeable_resistance,
    told,
)
from .tube import BORE_ERROR, OpenTube, TubeFlow, reynolds, tube_flow, tube_resistance
from .viscosity import PRESSURE_MAX, PressureRise

if TYPE_CHECKING:
    from .pairs import Fit

T_LOW, T_HIGH = 253.15, 383.15  # K, the range of the water standard
AMBIENT = 296.15  # K, assumed where no ambient temperature is given (common practice, no source)
AMBIENT_ERROR = 0.12  # ln(eta) for 5 K around it, at water's 2.3 % a kelvin
MEASURED_ERROR = 0.10  # run-to-run variation of a pressure (common practice, no source)


# Of a pressure from day to day, and of one reading beside another (common practice, no source).
DAY_ERROR, REPEAT_ERROR = 0.07, 0.04
FLOW_ERROR = 0.01  # accuracy of a pump; common practice, no source


class State(NamedTuple):
    """What runs through the flow path: flow [m^3/s], liquid, temperatures [K].

    ``hot`` is that of the columns, ``cold`` of everything outside the oven;
    ``cold_known`` says whether the profile gives it.
    """

    flow: float
    liquid: Liquid
    hot: float
    cold: float
    cold_known: bool


class Tied(NamedTuple):
    """What measured pairs leave unknown of a segment, together with the others.

    ``below`` and ``above`` are its row, at ``place`` of all, of the segments' covariance in ln, as
    half-widths squared [-]; ``exponent`` and the errors of the flow are those of the ``Drop`` at
    the reference pair.
    """

    place: int
    below: tuple[float, ...]
    above: tuple[float, ...]
    exponent: float
    flow_below: float
    flow_above: float


class Segment(NamedTuple):
    """One part that resists the flow: dP = resistance [1/m^3] x viscosity x flow.

    In an ``open`` tube that holds for laminar flow; ``TubeFlow`` has the factor beyond.

    ``place`` is its index in the profile's flow path; ``below`` and ``above`` are the error
    of the resistance in ln [-]; ``measured`` is the liquid and temperature [K] a measured
    resistance stands for, whose viscosity error partly cancels.
    """

    place: int
    name: str
    resistance: float
    heated: bool
    below: float
    above: float
    measured: tuple[Liquid, float] | None = None
    open: OpenTube | None = None
    certified: float = 0.0  # Pa, the drop at which a measured resistance was measured
    tied: Tied | None = None  # fitted to measured pairs: their errors go together


class FlowPath(NamedTuple):
    """The segments in flow order, what was left out, what was assumed, and the fit to pairs."""

    segments: tuple[Segment, ...]
    left_out: tuple[str, ...]
    reasons: tuple[str, ...]
    fit: Fit | None = None


class Drop(NamedTuple):
    """Pressure drop over one segment [Pa] and ln(eta(p) / eta(0)) in it [-].

    ``below`` and ``above`` are half-widths in ln [-] of what the flow adds to the error of the
    resistance: in an open tube, and in a bed by heat and compression.
    """

    pressure: float
    exponent: float
    below: float = 0.0
    above: float = 0.0


def first_column(profile: Profile) -> tuple[int, Column]:
    """The first column and its place in the flow path; every profile has one [-]."""
    return next(
        (place, part)
        for place, part in enumerate(profile.flow_path)
        if isinstance(part, Column) and part.part == "column"
    )


def in_range(temperature: float) -> float:
    """The temperature [K]; raises CannotPredict outside the range of the water standard."""
    if not T_LOW <= temperature <= T_HIGH:
        raise CannotPredict(
            f"no viscosity data at {temperature - 273.15:.0f} degC (-20 to 110 degC is covered)",
            "a temperature from -20 to 110 degC, where that is what was meant",
        )
    return temperature


def flow_path(profile: Profile, state: State) -> FlowPath:
    """The profile's parts as resistances [1/m^3]; what a certificate lacks comes from ``state``.

    Columns by their certificate, permeability or Kozeny-Carman, tubes by Hagen-Poiseuille, any part
    by a measured resistance R = dP / (eta F), eta at the certificate's own composition,
    temperature and mean pressure. Raises CannotPredict where a column has neither a usable
    certificate nor its geometry.
    """
    segments: list[Segment] = []
    left_out: list[str] = []
    reasons: list[str] = []
    for index, part in enumerate(profile.flow_path):
        segment, reason = _segment(index, part, profile.conditions, state)
        if segment is not None:
            segments.append(segment)
        else:
            left_out.append(part.name)
        if reason:
            reasons.append(reason)
    return FlowPath(tuple(segments), tuple(left_out), tuple(reasons))


def _segment(
    index: int, part: AnyPart, conditions: Conditions | None, state: State
) -> tuple[Segment | None, str]:
    """The part as a segment if it resists the flow, and what had to be assumed."""
    heated = isinstance(part, Column)
    given = part.certificate if isinstance(part, Column) else part.resistance_at
    unusable = ""
    if given is not None:
        try:
            measured = measured_state(given, conditions, state, heated)
            below = above = MEASURED_ERROR
            value = _resistance(given, *measured)
            drop = float(given.pressure)
            return Segment(
                index, part.name, value, heated, below, above, measured, certified=drop
            ), ""
        except CannotPredict as error:
            unusable = f"{part.name}: its measured resistance is not used ({error.message})"
    if isinstance(part, Column):
        return _bed(index, part, unusable)
    if isinstance(part, Pump | Device):
        return None, unusable
    if part.length is None or part.bore is None:
        return None, unusable
    coil = None if part.coil_diameter is None else float(part.coil_diameter)
    tube = OpenTube(float(part.bore), float(part.length), coil)
    value, width = tube_resistance(tube.length, tube.bore), 4.0 * BORE_ERROR
    return Segment(index, part.name, value, heated, width, width, None, tube), unusable


def _bed(index: int, part: Column, unusable: str) -> tuple[Segment, str]:
    """A column by its geometry: its permeability, that of its kind, or a bed of its particles."""
    kind, size = part.particle, part.particle_size
    packed = part.permeability is None and kind != "monolith"
    if part.length is None or part.bore is None or (packed and size is None):
        keys = "length, bore and particle_size" if packed else "length and bore"
        raise CannotPredict(unusable or f"no {part.part} geometry: give {keys}, or a certificate")
    tube = float(part.length), float(part.bore)
    if part.permeability is not None:
        value = permeable_resistance(*tube, float(part.permeability))
        errors = permeability_error(kind)
        reason = f"{part.name}: its permeability taken by the velocity in the empty tube"
    elif size is None or not packed:
        value, errors = permeable_resistance(*tube, MONOLITH[1]), monolith_error()
        low, usual, high = MONOLITH
        reason = (
            f"{part.name}: no certificate or permeability of the monolith, {usual:.0e} m2 "
            f"({low:.1e} to {high:.1e}) assumed"
        )
    else:
        value, errors = packed_resistance(*tube, float(size), kind), bed_error(kind)
        reason = f"{part.name}: {told(kind)}"
    texts = "; ".join(text for text in (unusable, reason) if text)
    return Segment(index, part.name, value, True, *errors), texts


def measured_state(
    given: Resistance, conditions: Conditions | None, state: State, heated: bool
) -> tuple[Liquid, float]:
    """Liquid and temperature [K] of a measured pressure; gaps filled from the method.

    Raises CannotPredict where they are not known or out of range.
    """
    temperature = state.hot if heated else state.cold
    if given.temperature is not None:
        temperature = in_range(float(given.temperature))
    if given.solvent_a is None and given.solvent_b is None and given.percent_b is None:
        if conditions is not None and conditions.gradient is not None:
            raise CannotPredict("a gradient method, and no percent_b beside the pressure")
        return state.liquid, temperature
    solvent_a = given.solvent_a or (conditions and conditions.solvent_a)
    solvent_b = given.solvent_b or (conditions and conditions.solvent_b)
    if given.percent_b is None and given.solvent_b is not None:
        raise CannotPredict("solvent_b without percent_b beside the pressure")
    return liquid(solvent_a, solvent_b, float(given.percent_b or 0)), temperature


def _resistance(given: Resistance, mixed: Liquid, temperature: float) -> float:
    pressure = float(given.pressure)
    rise = mixed.rise(temperature).exponent(0.5 * pressure)
    return pressure / (exp(rise) * mixed.viscosity(temperature) * float(given.flow))


def scaled(segments: Sequence[Segment], factors: Mapping[int, float]) -> tuple[Segment, ...]:
    """Segments with resistances [1/m^3] times a factor [-] by place in the flow path."""
    return tuple(
        segment._replace(resistance=segment.resistance * factors.get(segment.place, 1.0))
        for segment in segments
    )


def tied_spread(segments: Sequence[Segment], weights: Sequence[float]) -> tuple[float, float]:
    """Half-widths below and above of the sum of weights [-] times the errors of tied segments."""
    tied = [(s.tied, w) for s, w in zip(segments, weights, strict=True) if s.tied is not None]
    below = above = 0.0
    for one, weight in tied:
        for other, by in tied:
            below += weight * by * one.below[other.place]
            above += weight * by * one.above[other.place]
    return sqrt(max(below, 0.0)), sqrt(max(above, 0.0))


def drops(segments: Sequence[Segment], state: State) -> tuple[Drop, ...]:
    """Pressure drop over each segment [Pa], in flow order.

    dP = R F eta(p), p the mean pressure in the segment, counted up from the outlet. The
    viscosity at the middle of a segment stands for the whole of it: 0.2 % of the drop at
    400 bar of methanol. Solved to 1e-7.
    """
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
            drop = _drop(segment.resistance * hot_base, outlet, hot_rise)
            eased = mixed.eased(hot, drop.pressure, outlet)
            if segment.measured is not None:  # as much of it as was not there when it was measured
                own, kelvin = segment.measured
                eased -= own.eased(kelvin, segment.certified, 0.0)
            drop = drop._replace(below=max(eased, 0.0), above=max(-eased, 0.0))
        elif segment.open is None:
            drop = _drop(segment.resistance * cold_base, outlet, cold_rise)
        else:
            flow = tube_flow(reynolds(inertia, segment.open.bore, cold_viscosity), segment.open)
            drop = _drop(segment.resistance * cold_base * flow.factor, outlet, cold_rise)
            if flow.above:
                drop = drop._replace(below=flow.below, above=flow.above)
        outlet += drop.pressure
        found.append(drop)
    found.reverse()
    return tuple(found)


def _drop(at_zero: float, outlet: float, rise: PressureRise) -> Drop:
    """Newton's method on P = P0 exp(r(p)), p = outlet + P / 2; r is constant from 100 MPa on."""
    linear, square, _ = rise
    pressure = at_zero
    for _ in range(40):
        mean = outlet + 0.5 * pressure
        slope = linear + 2.0 * square * mean
        if mean > PRESSURE_MAX:
            mean, slope = PRESSURE_MAX, 0.0
        exponent = mean * (linear + square * mean)
        risen = at_zero * exp(exponent)
        step = (risen - pressure) / (1.0 - 0.5 * slope * risen)
        pressure += step
        if -1e-7 * pressure <= step <= 1e-7 * pressure:
            break
    return Drop(pressure, exponent)


def tube_flows(segments: Sequence[Segment], state: State) -> Iterator[tuple[str, TubeFlow]]:
    """Every open tube with the flow in it: Reynolds number, factor and its errors [-]."""
    viscosity, density = state.liquid.viscosity(state.cold), state.liquid.density(state.cold)
    for segment in segments:
        if segment.open is not None:
            number = reynolds(state.flow * density, segment.open.bore, viscosity)
            yield segment.name, tube_flow(number, segment.open)
