"""Two beds in series: the heat of the first enters the second, against an integration of both."""

from __future__ import annotations

from math import exp, log, pi, sqrt

import pytest

from limitcheck.physics.drops import drops, kept_in
from limitcheck.physics.flow_path import Segment, State
from limitcheck.physics.heat import FILM, HEAT_ERROR, heat_capacity, warming
from limitcheck.physics.predict import predict
from limitcheck.physics.system import Change, system
from limitcheck.physics.uncertainty import of_bound
from limitcheck.physics.viscosity import viscosity

from .profiles import PUMP, column, conditions, profile

ML_MIN = 1e-6 / 60
BED = column(length='"100 mm"', bore='"2.1 mm"', particle_size='"1.7 um"')
GUARD = column(part='"guard column"', length='"100 mm"', bore='"2.1 mm"', particle_size='"1.7 um"')
FAST = conditions(flow='"0.3 mL/min"', solvent_b='"methanol"', percent_b="50")


def integrated(state: State, beds: list[Segment], film: float, *, cooled: bool) -> list[float]:
    """Drops over beds [Pa]: C dT = k C dP - g (T - T0) dz, 4000 slices each, from the first on.

    The viscosity is that at each slice's temperature; its rise with pressure and compression are
    left out. ``cooled``: to the oven's temperature between two beds.
    """
    solvents, kelvin = state.liquid.solvents, state.hot
    a_pascal = warming(solvents, kelvin)[0]
    capacity = state.flow * heat_capacity(solvents, kelvin)
    warm, found, slices = 0.0, [], 4000
    for bed in beds:
        assert bed.bed is not None
        length, bore = bed.bed
        loss = 1.0 / (1.0 / (8.0 * pi * 0.5) + 1.0 / (film * pi * (bore + 4e-3)))
        warm = 0.0 if cooled else warm
        drop = 0.0
        for _ in range(slices):
            step = bed.resistance * state.flow * viscosity(solvents, kelvin + warm) / slices
            drop += step
            warm += a_pascal * step - loss * warm * length / slices / capacity
        found.append(drop)
    return found


@pytest.mark.parametrize("oven", FILM)
@pytest.mark.parametrize("flow", [0.1, 0.3, 0.5])
def test_a_second_bed_gets_what_the_first_leaves_or_a_cooled_liquid(oven: str, flow: float) -> None:
    made = profile(PUMP, GUARD, BED, conditions=FAST)
    instrument = made.instrument.model_copy(update={"oven": oven})
    ready = system(made.model_copy(update={"instrument": instrument}), Change(flow=flow * ML_MIN))
    state, beds = ready.state, list(ready.path.segments)
    alone = beds[1:]
    first, second = drops(beds, state)
    (by_itself,) = drops(alone, state)
    assert first.carried == 0.0 == by_itself.carried
    assert second.carried > 0.0
    most = kept_in(beds[0], state)
    assert most is not None
    for film, share in zip(FILM[oven], most[::-1], strict=True):
        warm = integrated(state, beds, film, cooled=False)[1]
        cool = integrated(state, beds, film, cooled=True)[1]
        assert warm < cool
        # Never more is carried than stated; by the wall that keeps most, half of it and more.
        assert warm / cool > 1.0 - second.carried
        if share == most[1]:
            assert warm / cool < 1.0 - 0.5 * second.carried
    half = second.heat / of_bound(1.0)
    assert half > by_itself.heat / of_bound(1.0)


def test_the_interval_of_two_beds_reaches_from_cooled_to_all_that_is_carried() -> None:
    """Still air, by the walls that keep most and least; the rise with pressure as by itself."""
    made = profile(PUMP, GUARD, BED, conditions=FAST)
    instrument = made.instrument.model_copy(update={"oven": "still air"})
    ready = system(made.model_copy(update={"instrument": instrument}))
    state, beds = ready.state, list(ready.path.segments)
    second = drops(beds, state)[1]
    risen = drops(beds[1:], state)[0]
    # by how much less than by itself, the middle of what may be carried
    assert second.pressure / risen.pressure == pytest.approx(exp(-0.5 * second.carried), abs=0.02)
    low, high = (second.pressure * (1.0 + sign * second.heat) for sign in (-1, 1))
    walls = [integrated(state, beds[1:], film, cooled=True)[0] for film in FILM["still air"]]
    scale = risen.pressure / sqrt(walls[0] * walls[1])  # the rise with pressure, alike for all
    for film in FILM["still air"]:
        for cooled in (True, False):
            assert low < scale * integrated(state, beds, film, cooled=cooled)[1] < high


def test_a_bed_alone_and_the_last_tube_carry_nothing() -> None:
    for parts in ((PUMP, BED), (PUMP, BED, '{part = "detector cell"}')):
        ready = system(profile(*parts, conditions=FAST))
        assert all(drop.carried == 0.0 for drop in drops(ready.path.segments, ready.state))


def test_it_is_said_where_it_tells() -> None:
    certificate = (
        '{pressure = "60 bar", flow = "0.05 mL/min", temperature = "35 degC", '
        'solvent_a = "water", solvent_b = "methanol", percent_b = 50}'
    )
    bed = column(length='"100 mm"', bore='"2.1 mm"', certificate=certificate)
    guard = bed.replace('"column"', '"guard column"')
    both = predict(profile(PUMP, guard, bed, conditions=FAST))
    assert any("heat of the beds before it lowers" in reason for reason in both.reasons)
    one = predict(profile(PUMP, bed, conditions=FAST))
    assert not any("heat of the beds before it" in reason for reason in one.reasons)
    assert both.central < 2.0 * one.central


@pytest.mark.parametrize("oven", FILM)
def test_the_fourth_bed_gets_what_the_three_before_it_did_not_lose(oven: str) -> None:
    """Heat brought along is lost on the way too, by the walls that keep most."""
    short = GUARD.replace("100 mm", "50 mm"), BED.replace("100 mm", "50 mm")
    made = profile(PUMP, *[short[0]] * 3, short[1], conditions=FAST)
    instrument = made.instrument.model_copy(update={"oven": oven})
    ready = system(made.model_copy(update={"instrument": instrument}))
    state, beds = ready.state, list(ready.path.segments)
    found = drops(beds, state)
    film = FILM[oven][0]
    warm = integrated(state, beds, film, cooled=False)
    cool = integrated(state, beds, film, cooled=True)
    for drop, hot, cold in zip(found[1:], warm[1:], cool[1:], strict=True):
        seen = log(cold / hot)
        # As much as integrated, and no more than a viscosity falling in proportion makes of it.
        assert seen < drop.carried < 2.2 * seen
    assert found[0].carried == 0.0


def test_what_is_carried_widens_what_the_flow_adds() -> None:
    made = profile(PUMP, GUARD, BED, conditions=FAST)
    ready = system(made)
    first, second = drops(ready.path.segments, ready.state)
    (alone,) = drops(ready.path.segments[1:], ready.state)
    assert second.below - alone.below == pytest.approx(HEAT_ERROR * second.carried, rel=0.25)
    assert second.above == second.below
    assert first.below == pytest.approx(alone.below, rel=0.2)
