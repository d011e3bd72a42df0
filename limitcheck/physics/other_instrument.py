"""How the pressure of a method moves when it goes to another instrument. SI floats.

The ratio of two predictions, receiving over sending. What both sides share cancels: the constant
of the packing, the mobile phase. What they do not share is counted: another column, other tubes,
another oven and pump, and the parts that no prediction covers. Every stated error is a half-width
in ln of the ratio; they are combined in quadrature, below and above apart.
"""

from __future__ import annotations

from collections.abc import Iterator
from math import exp, hypot, log1p
from typing import Literal, NamedTuple

from ..profile.hardware import certified_alike, one_instrument, ovens_alike, placeless, unchanged
from ..profile.model import Column, Profile
from .drops import either_regime, regime_ends
from .flow_path import AMBIENT_ERROR, FLOW_ERROR, OVEN_ERROR
from .left_out import PARTS_LEFT_OUT, left_out_either_side
from .liquid import viscosity_ratio_error
from .mobile_phase import solvents_told
from .ratio import RatioInterval
from .resistance import bed_apart_error
from .side import Side, side
from .system import oven_not_told
from .uncertainty import tells

COLUMN_ERROR = 0.10  # two columns of one kind; common practice, no source

_ONE = RatioInterval(1.0, 1.0, 1.0)
Kinship = Literal["the same", "one kind", "other beds", "unrelated"]


class Contribution(NamedTuple):
    """What the width of a ratio rests on: half-widths in ln of it, below and above [-]."""

    why: str
    below: float
    above: float


class PressureRatio(NamedTuple):
    """Receiving over sending pressure [-], where each run's is lowest and where highest.

    `rests_on` is what the width of `highest` rests on, the largest contribution first, as far as
    it tells (`uncertainty.LEAST_SHARE`);
    `predicted_as` says what a mobile phase is taken as where it is more than its solvents.
    """

    lowest: RatioInterval
    highest: RatioInterval
    rests_on: tuple[Contribution, ...] = ()
    predicted_as: tuple[str, ...] = ()


def pressure_ratio(sending: Profile, receiving: Profile) -> PressureRatio:
    """The pressure on the receiving side over that on the sending side [-].

    One, without doubt, for the same parts and conditions on the same instrument. Else raises
    CannotPredict as ``predict`` does for either, where there is no resistance to compare, for a
    restrictor whose resistance is not given, and where a side gives no temperature of its columns.
    Both sides are taken by geometry and certificates: what measured pairs say of one instrument
    holds there.
    """
    if unchanged(sending, receiving):
        return PressureRatio(_ONE, _ONE)
    sides = [side.model_copy(update={"measured": ()}) for side in (sending, receiving)]
    sending, receiving = ovens_alike(*certified_alike(*sides))
    lowest, highest = ((side(sending, end), side(receiving, end)) for end in ("lowest", "highest"))
    if not all(run.state.hot_known for run in highest):
        raise oven_not_told()
    every = list(_contributions(*highest))
    below, above = hypot(*(i.below for i in every)), hypot(*(i.above for i in every))
    rests_on = sorted(
        (item for item in every if tells(item.below, below) or tells(item.above, above)),
        key=lambda item: -max(item.below, item.above),
    )
    told = dict.fromkeys(
        text
        for conditions in (sending.conditions, receiving.conditions)
        if conditions is not None
        for text in solvents_told(
            ("solvent_a", conditions.solvent_a), ("solvent_b", conditions.solvent_b)
        )
    )
    ratios = _interval(*lowest), _interval(*highest)
    return PressureRatio(*ratios, tuple(rests_on), tuple(told))


def _interval(one: Side, other: Side) -> RatioInterval:
    found, central = list(_contributions(one, other)), other.pressure / one.pressure
    below = hypot(*(item.below for item in found))
    above = hypot(*(item.above for item in found))
    return RatioInterval(central * exp(-below), central, central * exp(above))


def _contributions(one: Side, other: Side) -> Iterator[Contribution]:
    """What moves the ratio, by where it comes from; nothing where both sides are the same."""
    pairs = list(_paired(one, other))
    for why in ("columns", "tubes and measured parts"):
        below = above = 0.0
        for first, second, kin in pairs:
            if why == _called(one, other, first, second):
                down, up = _of_pair(one, other, first, second, kin)
                below, above = hypot(below, down), hypot(above, up)
        if below or above:
            yield Contribution(why, below, above)
    for why, width in (
        ("viscosity", _viscosity(one, other, pairs)),
        ("rise of viscosity with pressure", abs(other.rise - one.rise)),
        ("ambient temperature not given", _ambient(one, other)),
    ):
        if width:
            yield Contribution(why, width, width)
    if any(regimes := _regimes(one, other)):
        yield Contribution("tubes laminar on one side and turbulent on the other", *regimes)
    if any(heat := _heat(one, other)):
        yield Contribution("heat of friction and compression", *heat)
    if not one_instrument(one.profile, other.profile):
        devices = hypot(FLOW_ERROR, FLOW_ERROR)
        ovens = OVEN_ERROR * hypot(
            *(run.heated * run.state.liquid.thinning(run.state.hot) for run in (one, other))
        )
        yield Contribution("flow of two pumps", devices, devices)
        yield Contribution("temperature of two ovens", ovens, ovens)
        unseen = (
            log1p(left_out_either_side(run.profile, run.segments) / run.pressure)
            for run in (one, other)
        )
        below, above = unseen
        if below or above:
            yield Contribution(PARTS_LEFT_OUT, below, above)


def _regimes(one: Side, other: Side) -> tuple[float, float]:
    """Half-widths below and above [-] from tubes in transition: ``either_regime``.

    Nothing where the same tubes carry the same flow.
    """
    ends = regime_ends(one.drops), regime_ends(other.drops)
    same = one_instrument(one.profile, other.profile)
    before, after = (
        [drop.regimes for drop in run.drops if any(drop.regimes)] for run in (one, other)
    )
    if same and len(before) == len(after):
        moved = [either_regime(*pair) for pair in zip(before, after, strict=True)]
        if not any(map(any, moved)):
            return 0.0, 0.0
    return either_regime(*ends, one_tube=False)


def _heat(one: Side, other: Side) -> tuple[float, float]:
    """Half-widths below and above [-] from heat and compression in the columns of both sides.

    In one oven the same share of the heat stays on both sides; in two it need not.
    """
    (less, more, kept), (less_after, more_after, kept_after) = one.heat, other.heat
    if not one_instrument(one.profile, other.profile):
        return hypot(less_after, more, kept, kept_after), hypot(more_after, less, kept, kept_after)
    down, up, heat = less_after - less, more_after - more, kept_after - kept
    return (
        hypot(max(down, 0.0) + max(-up, 0.0), heat),
        hypot(max(up, 0.0) + max(-down, 0.0), heat),
    )


def _paired(one: Side, other: Side) -> Iterator[tuple[int | None, int | None, Kinship]]:
    """Segments that share an error, by index on both sides; the others alone."""
    rest = list(range(len(other.segments)))
    for first in range(len(one.segments)):
        kin, second = _kin(one, first, other, rest)
        if second is not None:
            rest.remove(second)
        yield first, second, kin
    for second in rest:
        yield None, second, "unrelated"


def _kin(one: Side, first: int, other: Side, rest: list[int]) -> tuple[Kinship, int | None]:
    part = one.part(first)
    same_instrument = one_instrument(one.profile, other.profile)
    for second in rest:
        twin = other.part(second)
        if isinstance(part, Column) and isinstance(twin, Column) and part.part == twin.part:
            one_column = part.serial is not None or same_instrument
            if part.serial == twin.serial and one_column and _physical(part) == _physical(twin):
                return "the same", second
            measured = [one.segments[first].measured, other.segments[second].measured]
            if part.certificate == twin.certificate and _packing(part) == _packing(twin):
                return "one kind", second
            beds = measured == [None, None] and _shape(part) == _shape(twin)
            return "other beds" if beds else "unrelated", second
        if same_instrument and not isinstance(part, Column) and placeless(part) == placeless(twin):
            return "the same", second
    return "unrelated", None


def _packing(part: Column) -> tuple[object, ...]:
    return part.particle_size, part.particle, part.permeability


def _shape(part: Column) -> object:
    """What packings share an error by: a permeability of their own, or the shape of particles."""
    if part.permeability is not None:
        return part.label, part.permeability
    return part.particle if part.particle in ("irregular", "monolith") else "spheres"


def _physical(part: Column) -> tuple[object, ...]:
    return part.length, part.bore, *_packing(part), part.certificate


def _called(one: Side, other: Side, first: int | None, second: int | None) -> str:
    part = one.part(first) if first is not None else other.part(second or 0)
    return "columns" if isinstance(part, Column) else "tubes and measured parts"


def _of_pair(
    one: Side, other: Side, first: int | None, second: int | None, kin: Kinship
) -> tuple[float, float]:
    """Half-widths below and above [-] from the resistances of two segments, or of one alone."""
    before = one.share(first) if first is not None else 0.0
    after = other.share(second) if second is not None else 0.0
    first_error = one.error(first) if first is not None else (0.0, 0.0)
    second_error = other.error(second) if second is not None else (0.0, 0.0)
    if first is None or second is None or kin == "unrelated":
        # more on the sending side is less in the ratio
        down = hypot(before * first_error[1], after * second_error[0])
        up = hypot(before * first_error[0], after * second_error[1])
        return down, up
    moved = abs(after - before)
    down, up = second_error if after > before else second_error[::-1]
    own = 0.0
    if kin == "one kind":
        own = COLUMN_ERROR * max(before, after)
    elif kin == "other beds":
        own = hypot(before * _apart(one, first), after * _apart(other, second))
    return hypot(moved * down, own), hypot(moved * up, own)


def _apart(run: Side, index: int) -> float:
    part = run.part(index)
    return bed_apart_error(part.particle) if isinstance(part, Column) else 0.0


def _viscosity(
    one: Side, other: Side, pairs: list[tuple[int | None, int | None, Kinship]]
) -> float:
    """Half-width [-] from viscosities: those of two states, and of certificates against both."""
    width = 0.0
    certified = {(0, i) for i, s in enumerate(one.segments) if s.measured is not None}
    certified |= {(1, i) for i, s in enumerate(other.segments) if s.measured is not None}
    for first, second, _ in pairs:
        if first is None or second is None or not {(0, first), (1, second)} <= certified:
            continue
        measured = one.segments[first].measured
        if measured is None or measured != other.segments[second].measured:
            continue
        certified -= {(0, first), (1, second)}
        between = viscosity_ratio_error(
            one.state.liquid, one.temperature(first), other.state.liquid, other.temperature(second)
        )
        alone = viscosity_ratio_error(*measured, one.state.liquid, one.temperature(first))
        width += other.share(second) * between
        width += abs(other.share(second) - one.share(first)) * alone
    for which, index in certified:
        run = (one, other)[which]
        measured = run.segments[index].measured
        assert measured is not None
        error = viscosity_ratio_error(*measured, run.state.liquid, run.temperature(index))
        width += run.share(index) * error
    shares = [run.computed for run in (one, other)]
    states = one.state, other.state
    liquids = states[0].liquid, states[1].liquid
    (cold, hot), (cold_after, hot_after) = shares
    width += hot_after * viscosity_ratio_error(liquids[0], states[0].hot, liquids[1], states[1].hot)
    width += cold_after * viscosity_ratio_error(
        liquids[0], states[0].cold, liquids[1], states[1].cold
    )
    width += abs(hot_after - hot) * viscosity_ratio_error(
        liquids[0], states[0].hot, liquids[0], states[0].cold
    )
    absolute = abs(hot_after + cold_after - hot - cold)
    return width + absolute * liquids[0].error(states[0].cold).half_width


def _ambient(one: Side, other: Side) -> float:
    """Half-width [-] from an ambient temperature that is not given."""
    outside = [
        0.0
        if r.state.cold_known
        else AMBIENT_ERROR * r.state.liquid.thinning(r.state.cold) * (1.0 - r.heated)
        for r in (one, other)
    ]
    if one_instrument(one.profile, other.profile):
        return abs(outside[1] - outside[0])
    return hypot(*outside)
