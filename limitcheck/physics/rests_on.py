"""What the interval of a prediction rests on, in words."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from functools import partial
from math import expm1, hypot
from typing import NamedTuple

from ..units import percent
from .constants import MEASURED_RISE, RISE_FROM, RISE_TO, ROOM, SOLVENTS, celsius
from .drops import Drop, drops, kept_in, tube_flows
from .flow_path import AMBIENT_ERROR, MEASURED_ERROR, Segment, State
from .interval import READING_ERROR, tied_spread
from .mobile_phase import solvents_told
from .not_counted import extrapolations, outside_oven, when_hot
from .salts import may_separate
from .system import System
from .tube import BORE_ERROR
from .uncertainty import of_bound, tells
from .viscosity import assumed_errors, pairs


class Reason(NamedTuple):
    """What an interval rests on, in words, with its half-width or shift over the pressure [-].

    Without a ``width`` it is no contribution but what a reader must know: always said.
    """

    text: str
    width: float | None = None


class _Parts(NamedTuple):
    """The segments at a state, each with its drop and its share [-] in the pressure."""

    ready: System
    state: State
    found: tuple[tuple[Segment, Drop, float], ...]

    def temperature(self, segment: Segment) -> float:
        """Temperature of a segment [K]."""
        return self.state.hot if segment.heated else self.state.cold

    def total(self, width: Callable[[Segment, Drop], float]) -> float:
        """Half-width [-] of what all segments share: the sum of theirs, by their shares."""
        return sum(share * width(segment, drop) for segment, drop, share in self.found)


def rests_on(ready: System, state: State, half_width: float) -> Iterator[str]:
    """What an interval of half_width [-] over its pressure rests on at a state, in words.

    What contributes enough to be told comes first, by its size; then what is not in the interval.
    """
    found = drops(ready.path.segments, state)
    central = sum(drop.pressure for drop in found) or 1.0
    parts = _Parts(
        ready,
        state,
        tuple(
            (segment, drop, drop.pressure / central)
            for segment, drop in zip(ready.path.segments, found, strict=True)
        ),
    )
    told = list(_contributions(parts))
    sized = [(item.width, item.text) for item in told if item.width is not None]
    for _, text in sorted((w, t) for w, t in sized if tells(w, half_width))[::-1]:
        yield text
    yield from (item.text for item in told if item.width is None)
    yield from solvents_told(("solvent_a", ready.solvent_a), ("solvent_b", ready.solvent_b))
    solvents = [name for name, _ in state.liquid.solvents]
    falls_out = [s.name for s in state.liquid.solutes if may_separate(s.name, solvents)]
    if falls_out and solvents != ["water"]:
        names = " and ".join(falls_out)
        yield f"whether {names} stays dissolved in the organic solvent is not looked at"
    yield from when_hot(ready, state)
    yield from extrapolations(ready, state)


def _contributions(parts: _Parts) -> Iterator[Reason]:
    ready, state = parts.ready, parts.state
    for assumed in ready.path.reasons:
        yield Reason(assumed.text, _own(parts, assumed.places))
    if outside_oven(ready) and not state.cold_known:
        thinning = AMBIENT_ERROR * state.liquid.thinning(state.cold)
        text = "no ambient temperature: 23 degC assumed for the parts outside the oven"
        yield Reason(text, parts.total(lambda s, _: 0.0 if s.heated else thinning))
    yield from _unmeasured(parts)
    yield from _rise(parts)
    if state.liquid.solutes:
        moved, either = state.liquid.shift, state.liquid.dissolved
        counted = (
            f"is counted as {percent(abs(expm1(moved)), 2)} "
            f"{'more' if moved > 0 else 'less'} viscosity and "
            if moved
            else ""
        )
        text = (
            f"what is dissolved {counted}widens the error of its viscosity by "
            f"{percent(either, 2)} either way"
        )
        # Of a measured part nothing where the same was in it then; this is the most it can be.
        yield Reason(text, max(abs(moved), either))
    yield from _resistances(parts)
    yield from _flows(parts)


def _own(parts: _Parts, places: tuple[int, ...]) -> float | None:
    """Half-width [-] of the resistances of some parts; None where some are fitted, or none."""
    here = [(s, share) for s, _, share in parts.found if s.place in places]
    fitted = [segment for segment, _, _ in parts.found if segment.tied is not None]
    if fitted and [segment for segment, _ in here] == fitted:
        spread = tied_spread([s for s, _ in here], [share for _, share in here])
        return hypot(expm1(max(spread)), READING_ERROR)
    if not here or any(segment.tied is not None for segment, _ in here):
        return None
    return hypot(*(share * expm1(max(s.below, s.above)) for s, share in here))


def _resistances(parts: _Parts) -> Iterator[Reason]:
    """How far a measured resistance and the bores of tubes are trusted."""
    free = [(s, share) for s, _, share in parts.found if s.tied is None and not s.usual]
    for segment, share in free:
        if segment.measured is not None:
            text = (
                f"{segment.name}: its measured pressure is taken to hold within "
                f"{percent(MEASURED_ERROR)} another day"
            )
            yield Reason(text, share * expm1(segment.above))
    bores = [share * expm1(s.above) for s, share in free if s.open and not s.measured]
    if bores:
        text = (
            f"bores of tubing may be {percent(BORE_ERROR)} off, which is "
            f"{percent(4 * BORE_ERROR)} of its pressure"
        )
        yield Reason(text, hypot(*bores))


def _unmeasured(parts: _Parts) -> Iterator[Reason]:
    """What of the solvents of a liquid is not measured, in words."""
    mixed = parts.state.liquid
    solvents = mixed.solvents
    risen = parts.total(
        lambda s, drop: abs(_risen(s, drop)) * mixed.rise(parts.temperature(s)).uncertainty
    )
    for name, _ in solvents:
        rise = SOLVENTS[name].pressure
        if rise is None or rise.error > MEASURED_RISE:
            how = "not measured" if rise is None else "estimated, not measured"
            yield Reason(f"how the viscosity of {name} rises with pressure is {how}", risen)
    for one, other, first, second, excess in pairs(solvents):
        if not excess.measured:
            width = first * second * excess.a_error
            text = (
                f"how viscous {one} and {other} are together is assumed, not measured: "
                f"{percent(expm1(width))} either way"
            )
            key = min(one, other), max(one, other)
            yield Reason(text, parts.total(partial(_not_cancelled, key, width)))
        elif not excess.b_measured:
            slope = 1000.0 * first * second * excess.b_error
            text = f"how temperature acts on {one} mixed with {other} is not measured"
            pair = min(one, other), max(one, other)
            yield Reason(text, parts.total(partial(_of_temperature, parts, pair, slope)))
    if len(solvents) > 2:
        width = assumed_errors(solvents).get((), 0.0)
        text = f"{len(solvents)} solvents together are worked out from every two of them"
        yield Reason(text, parts.total(partial(_not_cancelled, (), width)))


def _risen(segment: Segment, drop: Drop) -> float:
    """ln of how far viscosity rises with pressure [-], without what measured pairs had of it."""
    return drop.exponent - (segment.tied.exponent if segment.tied is not None else 0.0)


def _not_cancelled(key: tuple[str, ...], width: float, segment: Segment, _: Drop) -> float:
    """What is left of an assumption where a measurement has part of it in it."""
    if segment.measured is None:
        return width
    return abs(width - assumed_errors(segment.measured[0].solvents).get(key, 0.0))


def _of_temperature(
    parts: _Parts, pair: tuple[str, str], slope: float, segment: Segment, _: Drop
) -> float:
    """What is left of it where a measurement has part of it in it."""
    moved = slope * (1.0 / parts.temperature(segment) - 1.0 / ROOM)
    if segment.measured is not None:
        mixed, kelvin = segment.measured
        for one, other, first, second, excess in pairs(mixed.solvents):
            if (min(one, other), max(one, other)) == pair:
                moved -= 1000.0 * first * second * excess.b_error * (1.0 / kelvin - 1.0 / ROOM)
    return abs(moved)


def _rise(parts: _Parts) -> Iterator[Reason]:
    """What of the rise of viscosity with pressure is assumed, in words."""
    mixed = parts.state.liquid
    by_heat = {h: [item for item in parts.found if item[0].heated is h] for h in (True, False)}
    risen = {
        heated: abs(sum(share * _risen(segment, drop) for segment, drop, share in items))
        for heated, items in by_heat.items()
    }
    kelvin = {True: parts.state.hot, False: parts.state.cold}
    if len(mixed.solvents) > 1:
        width = sum(risen[h] * mixed.rise(kelvin[h]).uncertainty for h in risen)
        text = (
            "how the viscosity of a mixture rises with pressure is assumed, not measured: "
            f"{percent(expm1(width))} either way"
        )
        yield Reason(text, width)
    for heated, shift in risen.items():
        if not RISE_FROM <= kelvin[heated] <= RISE_TO:
            at = f"{celsius(kelvin[heated]):.0f} degC"
            yield Reason(f"how viscosity rises with pressure is extrapolated to {at}", shift)


def _flows(parts: _Parts) -> Iterator[Reason]:
    """What the flow itself does: heat in a bed, and open tubes that are not plainly laminar."""
    state = parts.state
    for segment, drop, share in parts.found:
        if segment.heated and (kept := kept_in(segment, state)):
            text = (
                f"{segment.name}: {state.oven} around it keeps {percent(kept[0])} to "
                f"{percent(kept[1])} of the heat of friction in it"
            )
            yield Reason(text, share * hypot(drop.heat, drop.below))
        if drop.carried:
            text = (
                f"{segment.name}: the heat of the beds before it lowers its pressure by up to "
                f"{percent(-expm1(-drop.carried))}, less as the liquid cools on the way; half of "
                "that is counted"
            )
            yield Reason(text, share * of_bound(0.5 * abs(drop.carried)))
    beds = [item for item in parts.found if item[0].heated]
    unsure = [
        (d.heat - of_bound(0.5 * abs(d.carried)), share)
        for s, d, share in beds
        if not kept_in(s, state)
    ]
    if most := 2.0 * max((heat for heat, _ in unsure), default=0.0) / of_bound(1.0):
        text = (  # from none of the heat to all of it
            "columns: heat of friction lowers the pressure by up to "
            f"{percent(-expm1(-most))}, less as the walls let more of it out; half of that "
            "is counted: give oven under [instrument]"
        )
        yield Reason(text, sum(heat * share for heat, share in unsure))
    if squeezed := max((d.squeezed for _, d, _ in beds), default=0.0) / of_bound(1.0):
        text = (
            "columns: the liquid is compressed by the pressure; whether the flow is that before "
            f"or after is not known, {percent(expm1(squeezed))} either way"
        )
        yield Reason(text, sum(d.squeezed * share for _, d, share in beds))
    widths = {s.place: share * max(d.below, d.above) for s, d, share in parts.found}
    for segment, flow in tube_flows(parts.ready.path.segments, state):
        number = f"{segment.name}: Reynolds number {flow.reynolds:.0f}"
        if flow.regime == "turbulent":
            text = f"{number}, turbulent: a smooth wall assumed, drawn tube in the interval"
        elif flow.regime == "in transition":
            text = f"{number}, between laminar and turbulent: the interval is wide"
        else:
            text = f"{number}: where it is coiled, up to {percent(expm1(flow.above))} more"
        yield Reason(text, widths[segment.place])
