"""What no one calls a fault, and yet moves the pressure: the room, a new batch."""

from __future__ import annotations

from collections.abc import Iterator

from ..physics.faults import NormalRun, NotComputed
from ..physics.liquid import CannotPredict
from ..physics.ratio import RatioInterval
from ..physics.system import System
from .mistaken_solvents import Ratios, ratios

ROOM = 5.0  # K, of a day or a season (common practice, no source)
BATCH = 3.0  # % B, of a mobile phase made up by hand (common practice, no source)


def small_changes(run: NormalRun) -> Iterator[tuple[str, str, Ratios] | NotComputed]:
    """Name, description and ratios [-] of each; raises CannotPredict for no prediction."""
    ready = run.system
    state = ready.state
    for name, text, by in (
        ("room-colder", f"a room {ROOM:.0f} K colder", -ROOM),
        ("room-warmer", f"a room {ROOM:.0f} K warmer", ROOM),
    ):
        changed = ready._replace(state=state._replace(cold=state.cold + by))
        try:
            yield name, text, ratios(run, changed)
        except CannotPredict as error:
            yield NotComputed(name, error.message)
    if ready.solvent_b is not None:
        try:
            less, more = (ratios(run, _shifted(ready, by)) for by in (-BATCH, BATCH))
            spread = _spanning(less[0], more[0]), _spanning(less[1], more[1])
            text = f"a batch made up {BATCH:.0f} % B off, either way"
            yield "new-batch", text, spread
        except CannotPredict as error:
            yield NotComputed("new-batch", error.message)


def _shifted(ready: System, by: float) -> System:
    moved = tuple((minute, min(max(b + by, 0.0), 100.0)) for minute, b in ready.programme)
    return ready._replace(programme=moved)


def _spanning(one: RatioInterval, other: RatioInterval) -> RatioInterval:
    """From the lower end of both to the higher end of both."""
    low, high = min(one.low, other.low), max(one.high, other.high)
    return RatioInterval(low, (low * high) ** 0.5, high)
