"""A gradient as the column sees it: delay and front, against a cell model integrated apart."""

from __future__ import annotations

from math import pi

import pytest

from limitcheck.physics.course import TOTAL_POROSITY, course, course_ends
from limitcheck.physics.predict import predict, pressure
from limitcheck.physics.system import System
from limitcheck.profile.model import Profile

from .profiles import PARTS, PUMP, column, profile

STEEP = (
    'conditions = {flow = "1.0 mL/min", temperature = "35 degC", ambient = "21 degC", '
    'solvent_a = "water", solvent_b = "methanol", gradient = ['
    "{minute = 0, percent_b = 5}, {minute = 4, percent_b = 95}, {minute = 6, percent_b = 95}]}"
)
SLOW = STEEP.replace("minute = 4", "minute = 400").replace("minute = 6", "minute = 410")


def with_dwell(made: Profile, volume: str) -> Profile:
    from limitcheck.units import Volume

    instrument = made.instrument.model_copy(update={"dwell_volume": Volume.parse(volume)})
    return made.model_copy(update={"instrument": instrument})


def cells(made: Profile, ready: System, minute: float, delay: float) -> float:
    """The column alone in 200 cells that move on by one each time step, in pascal."""
    volume = TOTAL_POROSITY["fully porous"] * pi / 4 * 4.6e-3**2 * 0.150
    transit = volume / (ready.state.flow * 60)
    count = 200
    held = [ready.composition(0.0)] * count
    step, now = transit / count, 0.0
    while now < minute - 1e-9:
        now += step
        held = [ready.composition(now - delay), *held[:-1]]
    return sum(pressure(ready, percent_b)[1] for percent_b in held) / count


@pytest.mark.parametrize("minute", [1.0, 2.5, 3.7, 5.0, 6.5])
def test_the_front_is_that_of_cells_moved_one_by_one(minute: float) -> None:
    made = with_dwell(profile(PUMP, column(), conditions=STEEP), "0.8 mL")
    ready = predict(made).ready
    found = course(made, ready)
    nearest = min(found.points, key=lambda point: abs(point.minute - minute))
    assert nearest.central == pytest.approx(cells(made, ready, nearest.minute, 0.8), rel=0.01)
    assert nearest.low < nearest.central < nearest.high


def test_a_slow_gradient_is_the_same_but_later() -> None:
    made = with_dwell(profile(*PARTS, conditions=SLOW), "1.0 mL")
    plain = predict(made)
    found = course(made, plain.ready)
    assert found.highest.central == pytest.approx(plain.central, rel=0.005)
    assert found.delay == pytest.approx(1.0)
    late = found.highest.minute - plain.highest.minute
    assert 0.0 < late < 5.0


def test_a_steep_gradient_is_smoothed_and_never_above_its_bound() -> None:
    made = with_dwell(profile(*PARTS, conditions=STEEP), "1.0 mL")
    plain = predict(made)
    found = course(made, plain.ready)
    assert found.transit == pytest.approx(0.65 * pi / 4 * 0.46**2 * 15, rel=1e-6)
    assert max(point.central for point in found.points) <= plain.central * 1.001
    assert found.highest.central < 0.99 * plain.central
    assert found.points[-1].minute == pytest.approx(7.0)
    assert found.highest.minute > plain.highest.minute + 1.0
    assert found.lowest.central >= plain.lowest.central * 0.999


def test_what_is_not_given_is_said() -> None:
    made = profile(*PARTS, conditions=STEEP)
    assert "no dwell_volume" in course(made, predict(made).ready).told
    bare = (
        'certificate = {pressure = "88 bar", flow = "1.0 mL/min", temperature = "25 degC", '
        'solvent_a = "water", percent_b = 0}'
    )
    certified = f'{{part = "column", {bare}}}'
    other = with_dwell(profile(PUMP, certified, conditions=STEEP), "1.0 mL")
    found = course(other, predict(other).ready)
    assert found.transit is None
    assert "fills it at once" in found.told


def test_a_gradient_that_does_not_change_or_takes_no_time() -> None:
    level = STEEP.replace("percent_b = 95", "percent_b = 5")
    made = with_dwell(profile(*PARTS, conditions=level), "1.0 mL")
    plain = predict(made)
    found = course(made, plain.ready)
    assert found.highest.central == pytest.approx(plain.central)
    none = STEEP.replace("minute = 4", "minute = 0").replace("minute = 6", "minute = 0")
    at_once = profile(*PARTS, conditions=none)
    seen = course(at_once, predict(at_once).ready)
    assert seen.highest.central <= predict(at_once).central * 1.001


@pytest.mark.parametrize("long", [20, 200, 2000])
@pytest.mark.parametrize(("short", "share"), [(1.5, 46), (0.3, 46), (1.5, 100)])
def test_a_short_step_of_a_long_run_is_seen(long: int, short: float, share: int) -> None:
    """A wash of a minute makes the peak of a run of hours."""
    points = [(0, 5), (long / 2, 5), (long / 2 + 0.1, share), (long / 2 + 0.1 + short, share)]
    points += [(long / 2 + 0.2 + short, 5), (long, 5)]
    listed = ", ".join(f"{{minute = {minute}, percent_b = {b}}}" for minute, b in points)
    wash = STEEP[: STEEP.index("gradient")] + f"gradient = [{listed}]}}"
    made = profile(PUMP, column(), conditions=wash)
    ready = predict(made).ready
    found, fine = course(made, ready), course(made, ready, moments=100 * long)
    assert found.highest.central == pytest.approx(fine.highest.central, rel=0.005)
    assert found.lowest.central == pytest.approx(fine.lowest.central, rel=0.005)
    assert found.highest.central > 1.05 * found.lowest.central
    if long == 20:
        at = found.highest
        assert at.central == pytest.approx(cells(made, ready, at.minute, 0.0), rel=0.02)


def test_a_jump_of_the_programme_is_one() -> None:
    """Two points at one minute: the composition changes at once."""
    jump = STEEP[: STEEP.index("gradient")] + (
        "gradient = [{minute = 0, percent_b = 5}, {minute = 5, percent_b = 5}, "
        "{minute = 5, percent_b = 95}, {minute = 10, percent_b = 95}]}"
    )
    made = profile(PUMP, column(), conditions=jump)
    ready = predict(made).ready
    found = course(made, ready)
    assert found.transit is not None
    for point in found.points:
        expected = 5.0 if point.minute <= 5.0 else 95.0
        if not 5.0 < point.minute < 5.0 + found.transit - 1e-9:
            assert point.central == pytest.approx(pressure(ready, expected)[1], rel=1e-3)
    assert {5.0, 5.0 + found.transit} <= {point.minute for point in found.points}


@pytest.mark.parametrize(
    "points", [[(0, 0), (1, 30), (1, 0), (9, 0)], [(0, 5), (0.3, 50), (0.3, 95), (5, 95)]]
)
def test_what_a_jump_ends_counts_until_then(points: list[tuple[float, float]]) -> None:
    """The highest pressure is right before the jump: as with very many moments."""
    told = ", ".join(f"{{minute = {minute}, percent_b = {b}}}" for minute, b in points)
    jump = STEEP[: STEEP.index("gradient")].replace("acetonitrile", "methanol")
    made = profile(PUMP, column(), conditions=f"{jump}gradient = [{told}]}}")
    ready = predict(made).ready
    few, many = course(made, ready).ends, course(made, ready, 4000).ends
    assert few == pytest.approx(many, rel=2e-3)
    no_mixing = course_ends(made, predict(made))[0]
    assert no_mixing == pytest.approx(many, rel=0.01)
