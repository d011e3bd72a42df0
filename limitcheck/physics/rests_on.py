"""What the interval of a prediction rests on, in words."""

from __future__ import annotations

from collections.abc import Iterator
from math import expm1

from ..units import percent
from .constants import (
    DO_NOT_MIX,
    LOWEST_BOILING,
    MEASURED_RISE,
    NEAR_25,
    RISE_FROM,
    RISE_TO,
    ROOM,
    SOLVENTS,
    TWO_LAYERS_ABOVE,
    celsius,
)
from .drops import drops, kept_in, tube_flows
from .flow_path import State
from .mobile_phase import solvents_told
from .system import System
from .uncertainty import of_bound
from .viscosity import pairs

_MUCH_HEAT = 5.0  # W, about what the oven gives to a tube before the column; assumed, no source
_WORTH_SAYING = 0.05  # in ln, of what the flow adds to an error


def rests_on(ready: System, state: State) -> Iterator[str]:
    """What the width of an interval [Pa] at a state rests on, in words."""
    yield from ready.path.reasons
    if _outside(ready) and not state.cold_known:
        yield "no ambient temperature: 23 degC assumed for the parts outside the oven"
    yield from _unmeasured(ready, state)
    yield from _rise(ready, state)
    yield from solvents_told(("solvent_a", ready.solvent_a), ("solvent_b", ready.solvent_b))
    if state.liquid.solutes:
        moved = state.liquid.shift
        counted = (
            f"is counted as {percent(abs(expm1(moved)), 2)} "
            f"{'more' if moved > 0 else 'less'} viscosity and "
            if moved
            else ""
        )
        yield (
            f"what is dissolved in it {counted}widens the error of its viscosity by "
            f"{percent(state.liquid.dissolved, 2)} either way"
        )
        if any(name != "water" for name, _ in state.liquid.solvents):
            yield "whether it stays dissolved in the organic solvent is not looked at"
    yield from _hot(ready, state)
    yield from _flows(ready, state)
    yield from extrapolations(ready, state)


def _unmeasured(ready: System, state: State) -> Iterator[str]:
    """What of the solvents of a liquid is not measured, in words."""
    solvents = state.liquid.solvents
    for name, _ in solvents:
        rise = SOLVENTS[name].pressure
        if rise is None or rise.error > MEASURED_RISE:
            how = "not measured" if rise is None else "estimated, not measured"
            yield f"how the viscosity of {name} rises with pressure is {how}"
    used = {state.hot, state.cold} if _outside(ready) else {state.hot}
    away = any(abs(temperature - ROOM) > NEAR_25 for temperature in used)
    for one, other, first, second, excess in pairs(solvents):
        if not excess.measured:
            width = percent(expm1(first * second * excess.a_error))
            yield (
                f"how viscous {one} and {other} are together is assumed, not measured: {width} "
                "either way"
            )
        elif away and not excess.b_measured:
            yield f"how temperature acts on {one} mixed with {other} is not measured"
    if len(solvents) > 2:
        yield f"{len(solvents)} solvents together are worked out from every two of them"


def _hot(ready: System, state: State) -> Iterator[str]:
    """What a liquid may do when it is hot that no viscosity tells, in words."""
    hottest = max(state.hot, state.cold) if _outside(ready) else state.hot
    boiling, which = _boiling(state)
    if hottest > boiling:
        yield (
            f"{which} boils at {celsius(boiling):.0f} degC where nothing holds the pressure up: "
            "vapour is not counted"
        )
    yield from _traces(state)
    yield from _preheating(ready, state)
    both = {"tetrahydrofuran", "water"} <= dict(state.liquid.solvents).keys()
    if both and hottest > TWO_LAYERS_ABOVE:
        yield "tetrahydrofuran and water may form two layers when this hot: not counted"


def _boiling(state: State) -> tuple[float, str]:
    """The lowest temperature [K] at which a liquid of its solvents may boil, and which does."""
    names = [name for name, _ in state.liquid.solvents]
    found = [(SOLVENTS[name].boils, name) for name in names]
    found += [
        (kelvin, " with ".join(name for name in names if name in both))
        for both, kelvin in LOWEST_BOILING.items()
        if both <= set(names)
    ]
    return min(found)


def _traces(state: State) -> Iterator[str]:
    """Traces that may not dissolve, in words."""
    shares = dict(state.liquid.solvents)
    for pair in map(sorted, DO_NOT_MIX):
        if shares.keys() >= set(pair):
            least, rest = sorted(pair, key=lambda name: shares[name])
            yield f"whether {percent(shares[least], 2)} of {least} dissolves in {rest} is not known"


def _preheating(ready: System, state: State) -> Iterator[str]:
    """How much heat brings the liquid to the columns' temperature, where that is much, in words."""
    warmer = state.hot - state.cold
    watts = state.flow * state.liquid.heat_capacity(state.cold) * abs(warmer)
    if watts < _MUCH_HEAT or not any(segment.heated for segment in ready.path.segments):
        return
    cold = state._replace(hot=state.cold)
    pressure = sum(drop.pressure for drop in drops(ready.path.segments, cold))
    yield (
        f"columns: the liquid is taken to enter at {celsius(state.hot):.0f} degC, for which it "
        f"needs {watts:.2g} W; if it enters at {celsius(state.cold):.0f} degC, "
        f"{pressure * 1e-5:.3g} bar is most likely"
    )
    if warmer > 0.0 and any(not s.heated for s in ready.path.segments[-1:]):
        yield "behind the columns the liquid is taken to cool at once"


def _rise(ready: System, state: State) -> Iterator[str]:
    """What of the rise of viscosity with pressure is assumed, where it tells, in words."""
    segments = ready.path.segments
    most: dict[bool, float] = {}
    for segment, drop in zip(segments, drops(segments, state), strict=True):
        most[segment.heated] = max(most.get(segment.heated, 0.0), abs(drop.exponent))
    for heated, exponent in most.items():
        temperature = state.hot if heated else state.cold
        width = exponent * state.liquid.rise(temperature).uncertainty
        if width > _WORTH_SAYING and len(state.liquid.solvents) > 1:
            yield (
                "how the viscosity of a mixture rises with pressure is assumed, not measured: "
                f"{percent(expm1(width))} either way"
            )
            break
    for heated, exponent in most.items():
        temperature = state.hot if heated else state.cold
        if exponent > _WORTH_SAYING and not RISE_FROM <= temperature <= RISE_TO:
            yield (
                f"how viscosity rises with pressure is extrapolated to {celsius(temperature):.0f} "
                "degC"
            )


def _flows(ready: System, state: State) -> Iterator[str]:
    """What the flow itself does: heat in a bed, and open tubes that are not plainly laminar."""
    segments = ready.path.segments
    found = list(zip(segments, drops(segments, state), strict=True))
    unsure = max((d.heat for s, d in found if s.heated and not kept_in(s, state)), default=0.0)
    most = 2.0 * unsure / of_bound(1.0)  # from none of the heat to all of it
    for segment in segments:
        if segment.heated and (kept := kept_in(segment, state)):
            yield (
                f"{segment.name}: {state.oven} around it keeps {percent(kept[0])} to "
                f"{percent(kept[1])} of the heat of friction in it"
            )
    if most > _WORTH_SAYING:
        yield (
            "columns: heat of friction lowers the pressure by up to "
            f"{percent(-expm1(-most))}, less as the walls let more of it out; half of that "
            "is counted: give oven under [instrument]"
        )
    squeezed = max((d.squeezed for s, d in found if s.heated), default=0.0) / of_bound(1.0)
    if squeezed > _WORTH_SAYING:
        yield (
            "columns: the liquid is compressed by the pressure; whether the flow is that before "
            f"or after is not known, {percent(expm1(squeezed))} either way"
        )
    for name, flow in tube_flows(ready.path.segments, state):
        number = f"{name}: Reynolds number {flow.reynolds:.0f}"
        if flow.regime == "turbulent":
            yield f"{number}, turbulent: a smooth wall assumed, drawn tube in the interval"
        elif flow.regime == "in transition":
            yield f"{number}, between laminar and turbulent: the interval is wide"
        elif flow.above > _WORTH_SAYING:
            yield f"{number}: where it is coiled, up to {percent(expm1(flow.above))} more"


def extrapolations(ready: System, state: State) -> Iterator[str]:
    """Where a correlation is used outside its range, in words; temperatures [K]."""
    for temperature in {state.hot, state.cold} if _outside(ready) else {state.hot}:
        if state.liquid.error(temperature).extrapolated:
            yield f"viscosity at {celsius(temperature):.0f} degC is extrapolated"


def _outside(ready: System) -> bool:
    """Whether a part with a resistance stands outside the oven."""
    return any(not segment.heated for segment in ready.path.segments)
