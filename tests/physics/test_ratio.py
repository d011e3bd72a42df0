"""The width of a ratio of two predictions: by hand, and the same read backwards."""

from __future__ import annotations

from math import exp, hypot, log, pi

import pytest

from limitcheck.physics.drops import drops
from limitcheck.physics.flow_path import Segment
from limitcheck.physics.ratio import RatioInterval, between
from limitcheck.physics.tube import OpenTube

from .friction import BEGINS, MODELS, friction_models
from .test_side import STATE

LITTLE = 1e12  # 1/m^3: a drop so small that heat, compression and rise are nothing
BED = Segment(1, "column", LITTLE, True, 0.30, 0.50, bed=(0.15, 4.6e-3))
THICKER = STATE.liquid.viscosity(STATE.cold) / STATE.liquid.viscosity(STATE.hot)
SURE = Segment(2, "tubing", LITTLE / THICKER, False, 0.0, 0.0)  # takes as much as the bed
PIPE = Segment(1, "tubing", LITTLE, False, 0.1, 0.2, open=OpenTube(0.05e-3, 0.6))


def widths(found: RatioInterval) -> tuple[float, float]:
    """In ln, below and above."""
    return log(found.central / found.low), log(found.high / found.central)


def backwards(found: RatioInterval) -> tuple[float, float, float]:
    return 1.0 / found.high, 1.0 / found.central, 1.0 / found.low


def longer(segment: Segment, times: float) -> Segment:
    return segment._replace(resistance=times * segment.resistance)


def test_a_bed_counts_as_far_as_its_share_moves() -> None:
    """A half of the pressure, and two thirds of it when twice as long: a sixth of its error."""
    before, after = [BED, SURE], [longer(BED, 2.0), SURE]
    found = between(before, STATE, after, STATE)
    assert found.central == pytest.approx(1.5)
    assert widths(found) == pytest.approx((0.30 / 6.0, 0.50 / 6.0), abs=1e-5)
    assert between(after, STATE, before, STATE) == pytest.approx(backwards(found), rel=1e-5)


@pytest.mark.parametrize(
    ("kinds", "width"),
    [
        (("fully porous", "fully porous"), 0.0),
        (("fully porous", "core-shell"), hypot(0.30, 0.50) / 6.0),
        (("", ""), hypot(0.30, 0.50) / 6.0),
    ],
)
def test_two_beds_of_one_kind_are_wrong_together(kinds: tuple[str, str], width: float) -> None:
    """The first from a half to a third, the second to two thirds: what both share cancels."""
    first, second = BED._replace(alike=kinds[0]), BED._replace(place=2, alike=kinds[1])
    found = between([first, second], STATE, [first, longer(second, 2.0)], STATE)
    assert found.central == pytest.approx(1.5, rel=1e-4)
    assert widths(found) == pytest.approx((width, width), abs=1e-4)


def test_what_turbulence_leaves_open_is_on_the_other_side_backwards() -> None:
    """One tube alone, so that its bore cancels: laminar, and fifty times the flow."""
    fast = STATE._replace(flow=50.0 * STATE.flow)
    (slow_drop,), (fast_drop,) = drops([PIPE], STATE), drops([PIPE], fast)
    assert slow_drop.below == 0.0
    assert fast_drop.below > 0.05
    more = fast_drop.above - slow_drop.above
    assert more > 1.2 * fast_drop.below
    found = between([PIPE], STATE, [PIPE], fast)
    assert widths(found) == pytest.approx((fast_drop.below, more), abs=1e-4)
    back = between([PIPE], fast, [PIPE], STATE)
    assert widths(back) == pytest.approx((more, fast_drop.below), abs=1e-4)


def test_a_ratio_widened_grows_on_the_side_that_is_meant() -> None:
    found = RatioInterval(2.0 * exp(-0.3), 2.0, 2.0 * exp(0.6))
    assert widths(found.widened(0.4, 0.8)) == pytest.approx((0.5, 1.0))
    assert widths(found.widened(0.4, 0.0)) == pytest.approx((0.5, 0.6))
    assert found.widened(0.0, 0.0) == pytest.approx(found)


LINE = Segment(1, "tubing", 1.0, False, 0.2, 0.2, open=OpenTube(1e-3, 15.0))


@pytest.mark.parametrize("share", [1.0, 0.4])
@pytest.mark.parametrize("model", MODELS)
def test_a_ratio_holds_any_transition(model: str, share: float) -> None:
    """With a part beside the tube that goes with the flow, and bores 3 % off (Re is 3 % off).

    To 2.5 %, by which Churchill's and Colebrook's friction differ in turbulent flow.
    """
    friction = friction_models()[model]
    beside = Segment(2, "frit", (1 - share) / share * LITTLE, False, 0.0, 0.0)
    line = LINE._replace(resistance=LITTLE)
    state = STATE._replace(cold_known=True)
    eta, rho = state.liquid.viscosity(state.cold), state.liquid.density(state.cold)
    missed = []
    for first in BEGINS:
        for second in BEGINS:
            flows = [number * pi * 1e-3 * eta / (4 * rho) for number in (first, second)]
            states = [state._replace(flow=flow) for flow in flows]
            found = between([line, beside], states[0], [line, beside], states[1])
            for bore in (0.97, 1.0, 1.03):
                true = [
                    flow * (share * (number / bore) / 64 * friction(number / bore) + 1 - share)
                    for flow, number in zip(flows, (first, second), strict=True)
                ]
                if not found.low * 0.975 < true[1] / true[0] < found.high * 1.025:
                    missed.append((first, second, bore, true[1] / true[0], found))
    assert not missed


@pytest.mark.parametrize(("first", "second"), [(200, 1900), (4500, 20_000), (1000, 9000)])
def test_a_ratio_well_off_the_transition_is_not_widened(first: float, second: float) -> None:
    line = LINE._replace(resistance=LITTLE)
    eta, rho = STATE.liquid.viscosity(STATE.cold), STATE.liquid.density(STATE.cold)
    flows = [number * pi * 1e-3 * eta / (4 * rho) for number in (first, second)]
    one, other = (STATE._replace(flow=flow) for flow in flows)
    (before,), (after,) = drops([line], one), drops([line], other)
    assert before.laminar == after.laminar == before.turbulent == after.turbulent == 0.0
    # As before there was a transition: what the flow does differs as far as its errors differ.
    less, coiled = after.below - before.below, after.above - before.above
    straight = (after.straight or after.above) - (before.straight or before.above)
    flow_below = max(less, 0.0) + max(-coiled, -straight, 0.0)
    flow_above = max(coiled, straight, 0.0) + max(-less, 0.0)
    found = between([line], one, [line], other)
    assert widths(found) == pytest.approx((flow_below, flow_above), abs=2e-3)


@pytest.mark.parametrize("times", [0.3, 3.0])
def test_a_tube_in_transition_is_as_it_was_where_only_the_bed_changes(times: float) -> None:
    """Laminar in both or turbulent in both: the ratio of the totals by either, exactly."""
    eta, rho = STATE.liquid.viscosity(STATE.cold), STATE.liquid.density(STATE.cold)
    state = STATE._replace(flow=2500 * pi * 1e-3 * eta / (4 * rho), cold_known=True)
    bed = BED._replace(below=0.0, above=0.0, place=2)
    line = LINE._replace(resistance=LITTLE, below=0.0, above=0.0)
    tube, packed = drops([line, bed], state)
    found = between([line, bed], state, [line, longer(bed, times)], state)
    for regime in (-tube.laminar, tube.turbulent):
        pressure = tube.pressure * exp(regime)
        true = (pressure + times * packed.pressure) / (pressure + packed.pressure)
        assert found.low * 0.99 < true < found.high * 1.01
    flow = between([line, bed], state, [line, bed], state._replace(flow=1.05 * state.flow))
    assert max(widths(found)) < 0.6 * max(widths(flow))
