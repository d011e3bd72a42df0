"""What a prediction does not count, or takes from beyond a range, in words."""

from __future__ import annotations

from collections.abc import Iterator

from ..units import percent
from ..units.printing import short
from .constants import DO_NOT_MIX, LOWEST_BOILING, SOLVENTS, TWO_LAYERS_ABOVE, celsius
from .drops import drops
from .flow_path import State
from .system import System

_MUCH_HEAT = 5.0  # W, about what the oven gives to a tube before the column; assumed, no source


def when_hot(ready: System, state: State) -> Iterator[str]:
    """What a liquid may do when it is hot that no viscosity [Pa s] tells, in words."""
    hottest = max(state.hot, state.cold) if outside_oven(ready) else state.hot
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
        f"needs {short(watts, 2)} W; if it enters at {celsius(state.cold):.0f} degC, "
        f"{short(pressure * 1e-5, 3)} bar is most likely"
    )
    if warmer > 0.0 and any(not s.heated for s in ready.path.segments[-1:]):
        yield "behind the columns the liquid is taken to cool at once"


def extrapolations(ready: System, state: State) -> Iterator[str]:
    """Where a correlation is used outside its range, in words; temperatures [K]."""
    for temperature in {state.hot, state.cold} if outside_oven(ready) else {state.hot}:
        if state.liquid.error(temperature).extrapolated:
            yield f"viscosity at {celsius(temperature):.0f} degC is extrapolated"


def outside_oven(ready: System) -> bool:
    """Whether a part with a resistance [1/m^3] stands outside the oven."""
    return any(not segment.heated for segment in ready.path.segments)
