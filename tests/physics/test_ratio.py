"""The width of a ratio of two predictions: by hand, and the same read backwards."""

from __future__ import annotations

from math import exp, hypot, log

import pytest

from limitcheck.physics.drops import drops
from limitcheck.physics.flow_path import Segment
from limitcheck.physics.ratio import RatioInterval, between
from limitcheck.physics.tube import OpenTube

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
