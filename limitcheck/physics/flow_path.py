"""A profile as hydraulic resistances in series; ``drops`` has the pressure. SI floats."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import lru_cache
from math import exp
from typing import TYPE_CHECKING, NamedTuple

from ..findings import KeyPath
from ..profile.measured import Resistance
from ..profile.model import AnyPart, Column, Conditions, Profile, Tube
from ..units import percent
from .constants import PRESSURE_MAX, WATER_RANGE, celsius
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
from .tube import BORE_ERROR, OpenTube, TubeFlow, flow_of, tube_resistance
from .uncertainty import of_bound
from .usual import as_tube, bores, frit_resistance, usual_error, usual_frit, usual_told, with_frits
from .viscosity import sinh_over

if TYPE_CHECKING:
    from .pairs import Fit

AMBIENT = 296.15  # K, assumed where no ambient temperature is given (common practice, no source)
AMBIENT_ERROR = of_bound(5.0)  # K around it
OVEN_ERROR = (
    1.0  # K of a column oven, and of its setting from day to day; common practice, no source
)
_NO_RESISTANCE = "pump", "waste"  # what is before the display's sensor, and an open end
MEASURED_ERROR = 0.10  # run-to-run variation of a pressure (common practice, no source)


# Of a pressure from day to day, and of one reading beside another (common practice, no source).
DAY_ERROR, REPEAT_ERROR = 0.07, 0.04
FLOW_ERROR = of_bound(0.01)  # accuracy of a pump; common practice, no source


class State(NamedTuple):
    """What runs through the flow path: flow [m^3/s], liquid, temperatures [K].

    ``hot`` is that of the columns, ``cold`` of everything outside the oven; ``hot_known`` and
    ``cold_known`` say whether the profile gives them, else they are only assumed. ``oven`` is what
    surrounds the columns, where the profile says so.
    """

    flow: float
    liquid: Liquid
    hot: float
    cold: float
    cold_known: bool
    oven: str | None = None
    hot_known: bool = True

    @property
    def heat_flow(self) -> float:
        """Mass flow times heat capacity, at the columns' temperature [W/K]."""
        return self.flow * self.liquid.heat_capacity(self.hot)


class Tied(NamedTuple):
    """What measured pairs leave unknown of a segment, together with the others.

    ``below`` and ``above`` are its row, at ``place`` of all, of the segments' covariance in ln, as
    half-widths squared [-]; ``exponent``, the errors of the flow and ``regimes`` are those of the
    ``Drop`` at the reference pair.
    """

    place: int
    below: tuple[float, ...]
    above: tuple[float, ...]
    exponent: float
    flow_below: float
    flow_above: float
    regimes: tuple[float, float]


class Segment(NamedTuple):
    """One part that resists the flow: dP = resistance [1/m^3] x viscosity x flow.

    In an ``open`` tube that holds for laminar flow; ``TubeFlow`` has the factor beyond.

    ``place`` is its index in the profile's flow path; ``below`` and ``above`` are the error
    of the resistance in ln [-]; ``measured`` is the liquid and temperature [K] a measured
    resistance stands for, whose viscosity error partly cancels; ``bed`` is length and bore [m] of
    a column, where given; ``usual`` says that nobody measured it; columns ``alike`` rest on one
    assumption of how their particles pack.
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
    bed: tuple[float, float] | None = None
    usual: bool = False
    alike: str = ""
    tied: Tied | None = None  # fitted to measured pairs: their errors go together
    other_bed: float = 0.0  # half-width in ln [-] of it against the bed that is described
    flowed: TubeFlow | None = None  # how it flowed when a measured resistance was measured


class Assumed(NamedTuple):
    """What was assumed, in words, and of which segments, by place; of none: to be said anyway."""

    text: str
    places: tuple[int, ...] = ()


class FlowPath(NamedTuple):
    """The segments in flow order, what was left out, what was assumed, and the fit to pairs."""

    segments: tuple[Segment, ...]
    left_out: tuple[str, ...]
    reasons: tuple[Assumed, ...]
    fit: Fit | None = None


def first_column(profile: Profile) -> tuple[int, Column]:
    """The first column and its place in the flow path; every profile has one [-]."""
    return next(
        (place, part)
        for place, part in enumerate(profile.flow_path)
        if isinstance(part, Column) and part.part == "column"
    )


def in_range(temperature: float, at: KeyPath | None = None) -> float:
    """The temperature [K]; raises CannotPredict outside the range of the water standard.

    ``at`` is its key in the profile, where it stands there.
    """
    low, high = WATER_RANGE
    if not low <= temperature <= high:
        covered = f"{celsius(low):.0f} to {celsius(high):.0f} degC"
        raise CannotPredict(
            f"no viscosity data at {celsius(temperature):.0f} degC ({covered} is covered)",
            f"a temperature from {covered}, where that is what was meant",
            at,
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
    reasons: list[Assumed] = []
    beside = bores(profile.flow_path)
    for index, part in enumerate(profile.flow_path):
        segment, assumed = _segment(index, part, profile, state, beside)
        if segment is not None:
            segments.append(segment)
        elif part.part not in _NO_RESISTANCE:
            left_out.append(part.name)
        reasons.extend(assumed)
    conditions = profile.conditions
    if conditions is not None and conditions.temperature is None:
        told = "no column temperature: the columns are taken at ambient temperature"
        reasons.append(Assumed(told, ()))
    usual = [segment for segment in segments if segment.usual]
    if told := usual_told(tuple([(s.name, s.open) for s in usual])):
        reasons.append(Assumed(told, tuple(s.place for s in usual if s.open is not None)))
    return FlowPath(tuple(segments), tuple(left_out), tuple(reasons))


def _segment(
    index: int, part: AnyPart, profile: Profile, state: State, beside: Mapping[int, float]
) -> tuple[Segment | None, tuple[Assumed, ...]]:
    """The part as a segment if it resists the flow, and what had to be assumed."""
    heated = isinstance(part, Column)
    given = part.certificate if isinstance(part, Column) else part.resistance_at
    unusable: tuple[Assumed, ...] = ()
    if given is not None:
        try:
            measured = measured_state(given, profile.conditions, state, heated)
            below = above = MEASURED_ERROR
            value = _resistance(given, *measured)
            drop = float(given.pressure)
            pipe, flowed = _open_tube(part), None
            if pipe is not None:
                flowed = flow_of(pipe, float(given.flow), *measured)
                value /= flowed.factor
            found = Segment(
                index, part.name, value, heated, below, above, measured, pipe, drop, _bed_size(part)
            )
            return found._replace(flowed=flowed), ()
        except CannotPredict as error:
            text = f"{part.name}: its measured resistance is not used ({error.message})"
            unusable = (Assumed(text, ()),)
    if isinstance(part, Column):
        return _bed(index, part, unusable)
    if not isinstance(part, Tube):
        like = as_tube(index, part.part, beside)
        if like is None:
            return None, unusable
        value, width = tube_resistance(like.length, like.bore), usual_error(part.part)
        device = Segment(index, part.name, value, heated, width, width, None, like, usual=True)
        return device, unusable
    tube = _open_tube(part)
    if tube is None:
        return None, unusable
    value, width = tube_resistance(tube.length, tube.bore), of_bound(4.0 * BORE_ERROR)
    return Segment(index, part.name, value, heated, width, width, None, tube), unusable


def _open_tube(part: AnyPart) -> OpenTube | None:
    """A tube by its geometry; None without it."""
    if not isinstance(part, Tube) or part.length is None or part.bore is None:
        return None
    coil = None if part.coil_diameter is None else float(part.coil_diameter)
    return OpenTube(float(part.bore), float(part.length), coil)


def _bed(
    index: int, part: Column, unusable: tuple[Assumed, ...]
) -> tuple[Segment, tuple[Assumed, ...]]:
    """A column by its geometry: its permeability, that of its kind, or a bed of its particles."""
    kind, size = part.particle, part.particle_size
    packed = part.permeability is None and kind != "monolith"
    if part.length is None or part.bore is None or (packed and size is None):
        keys = "length, bore and particle_size" if packed else "length and bore"
        lacking = f"no {part.part} geometry: give {keys}, or a certificate"
        why = unusable[0].text if unusable else lacking
        raise CannotPredict(why, at=("flow_path", index))
    tube = float(part.length), float(part.bore)
    if part.permeability is not None:
        value = permeable_resistance(*tube, float(part.permeability))
        errors = permeability_error(kind)
        reason = f"{part.name}: its permeability taken by the velocity in the empty tube"
    elif size is None or not packed:
        value, errors = permeable_resistance(*tube, MONOLITH[1]), monolith_error()
        low, usual, high = MONOLITH
        reason = (
            f"{part.name}: no certificate or permeability of the monolith, {usual:.1e} m2 "
            f"({low:.1e} to {high:.1e}) assumed"
        )
    else:
        frits = [float(f) for f in (part.inlet_frit, part.outlet_frit) if f is not None]
        value, errors, of_frits = _packed(*tube, float(size), kind, *frits)
        reason = f"{part.name}: {told(kind)}; clean frits are {of_frits} of it"
    assumed = part.permeability is None and not packed
    alike = kind if part.permeability is None else ""
    bed = Segment(index, part.name, value, True, *errors, bed=tube, usual=assumed, alike=alike)
    return bed, (*unusable, Assumed(reason, (index,)))


@lru_cache(maxsize=1024)  # many methods run on columns of a few sizes
def _packed(
    length: float, bore: float, size: float, kind: str, *given: float
) -> tuple[float, tuple[float, float], str]:
    """Resistance [1/m^3] of a bed and its frits, its errors [-], and the share of the frits."""
    frits = [*given, *[usual_frit(size)] * (2 - len(given))]
    both = sum(frit_resistance(frit, bore) for frit in frits)
    bed = packed_resistance(length, bore, size, kind)
    value, errors = with_frits(bed, bed_error(kind), both)
    return value, errors, percent(both / value)


def _bed_size(part: AnyPart) -> tuple[float, float] | None:
    if not isinstance(part, Column) or part.length is None or part.bore is None:
        return None
    return float(part.length), float(part.bore)


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
    rise = mixed.rise(temperature)
    middle = 0.5 * min(pressure, 2.0 * PRESSURE_MAX)
    slope = 0.0 if 0.5 * pressure > PRESSURE_MAX else rise.linear + 2.0 * rise.square * middle
    mean = exp(rise.exponent(middle)) / sinh_over(0.5 * slope * pressure)  # as in ``drops``
    return pressure / (mean * mixed.viscosity(temperature) * float(given.flow))


def scaled(segments: Sequence[Segment], factors: Mapping[int, float]) -> tuple[Segment, ...]:
    """Segments with resistances [1/m^3] times a factor [-] by place in the flow path."""
    return tuple(
        segment._replace(resistance=segment.resistance * factors.get(segment.place, 1.0))
        for segment in segments
    )
