"""How far a plug must close a tube until a cutoff sees it: the same physics as the fault itself."""

from __future__ import annotations

import pytest

from limitcheck.physics.drops import drops
from limitcheck.physics.faults import Faults
from limitcheck.physics.faults.plug import PLUG_BORE, plug_closed, plugged
from limitcheck.physics.flow_path import Segment
from limitcheck.physics.predict import predict
from limitcheck.physics.system import system
from limitcheck.physics.tube import OpenTube, tube_resistance
from limitcheck.profile.model import Profile

from .profiles import CELL, INJECTOR, PUMP, column, conditions, profile

EXPECTED = "{low = 60, high = 80}"


def made(flow: str, bore: str, wide: str, high: str = "150") -> Profile:
    tubes = [
        f'{{part = "tubing", label = "{label}", length = "500 mm", bore = "{bore} mm"}}'
        for label in ("first", "second")
    ]
    return profile(
        PUMP, tubes[0], INJECTOR, tubes[1], column(bore=f'"{wide} mm"'), CELL,
        conditions=conditions(flow=f'"{flow} mL/min"'), expected=EXPECTED,
        cutoffs=f"cutoffs = {{high = {high}, low = 20}}",
    )  # fmt: skip


@pytest.mark.parametrize(
    ("flow", "bore", "wide"), [("1", "0.17", "4.6"), ("40", "0.25", "21"), ("80", "0.5", "50")]
)
@pytest.mark.parametrize("rise", [0.05, 0.5, 3.0])
def test_the_plug_adds_the_rise_that_was_asked_for(
    flow: str, bore: str, wide: str, rise: float
) -> None:
    ready = system(made(flow, bore, wide))
    tube = next(segment for segment in ready.path.segments if "second" in segment.name)
    state = ready.at(18.0)
    closed = plug_closed(ready.path.segments, state, tube, rise)
    before, after = plugged(ready.path.segments, tube, (1.0 - closed) ** 0.5)
    total = [sum(drop.pressure for drop in drops(path, state)) for path in (before, after)]
    assert total[1] / total[0] == pytest.approx(1.0 + rise, rel=2e-3)


@pytest.mark.parametrize(("flow", "bore", "wide"), [("40", "0.25", "21"), ("80", "0.5", "50")])
def test_both_tables_of_the_faults_agree(flow: str, bore: str, wide: str) -> None:
    """A plug that a cutoff always stops is not said to be seen only when it closes more."""
    for high in ("100", "150", "250", "400"):
        found = Faults(made(flow, bore, wide, high))
        for effect in found.effects:
            if not effect.name.startswith("tubing-"):
                continue
            small = next(item for item in found.smallest if item.name == effect.name)
            assert small.latest is not None
            if effect.certainty == "always":
                assert small.latest <= 1.0 - PLUG_BORE**2 + 1e-3


@pytest.mark.parametrize(("metres", "stopped"), [(0.5, 5e-3), (5e-3, 5e-3), (3e-3, 3e-3)])
@pytest.mark.parametrize("fitted", [1.0, 1.7])
def test_a_plug_is_a_stretch_of_the_tube_and_the_rest_stays(
    metres: float, stopped: float, fitted: float
) -> None:
    """A tube of 0.17 mm; measured pairs may say that it resists more than its size does."""
    by_size = fitted * tube_resistance(metres, 0.17e-3)
    tube = Segment(1, "tube", by_size, False, 0.2, 0.2, open=OpenTube(0.17e-3, metres))
    before, after = plugged([tube], tube)
    for path in before, after:
        lengths = [piece.open.length for piece in path if piece.open is not None]
        assert lengths[-1] == stopped
        assert len(lengths) == (1 if metres == stopped else 2)
        assert sum(lengths) == pytest.approx(metres)
        assert all(length > 0.0 for length in lengths)
    assert sum(piece.resistance for piece in before) == pytest.approx(by_size)
    narrow = fitted * tube_resistance(stopped, 0.25 * 0.17e-3)
    assert after[-1].resistance == pytest.approx(narrow)
    assert before[:-1] == after[:-1]


def test_a_plug_that_adds_nothing_closes_nothing() -> None:
    ready = predict(made("1", "0.17", "4.6")).ready
    tube = next(segment for segment in ready.path.segments if "second" in segment.name)
    assert plug_closed(ready.path.segments, ready.at(18.0), tube, 0.0) == 0.0
