"""What the width of a ratio is made of, by hand."""

from __future__ import annotations

from math import hypot, log

import pytest

from limitcheck.physics.drops import Drop
from limitcheck.physics.flow_path import Segment
from limitcheck.physics.other_instrument import COLUMN_ERROR, _heat, _of_pair
from limitcheck.physics.ratio import _either_regime
from limitcheck.physics.side import Side

from .profiles import COLUMN, PUMP, profile
from .test_side import STATE

BED = Segment(1, "column", 1.0, True, 0.30, 0.50)


def run(drop: Drop, whole: float = 10e5, site: str | None = None, segment: Segment = BED) -> Side:
    made = profile(PUMP, COLUMN)
    method = made.method.model_copy(update={"site": site})
    return Side(made.model_copy(update={"method": method}), (segment,), STATE, (drop,), whole)


FIRST = Drop(10e5, 0.0, 0.01, 0.02, 0.03, 0.04)
SECOND = Drop(10e5, 0.0, 0.05, 0.09, 0.06, 0.07)


def test_heat_of_two_ovens_is_apart_and_more_here_is_less_in_the_ratio() -> None:
    down, up = _heat(run(FIRST), run(SECOND))
    assert down == pytest.approx(hypot(0.05, 0.02, 0.07, 0.13))
    assert up == pytest.approx(hypot(0.09, 0.01, 0.07, 0.13))


def test_heat_in_one_oven_cancels_as_far_as_it_is_as_much() -> None:
    here, there = (run(drop, site="Kestrel Bay") for drop in (FIRST, SECOND))
    assert _heat(here, here) == (0.0, 0.0)
    assert _heat(here, there) == pytest.approx((hypot(0.04, 0.06), hypot(0.07, 0.06)))
    assert _heat(there, here) == pytest.approx((hypot(0.07, 0.06), hypot(0.04, 0.06)))


def test_a_pair_counts_by_its_shares() -> None:
    """Shares 0.5 and 1.0; below 0.30 and above 0.50 on both sides."""
    half, whole = run(FIRST, 20e5), run(FIRST)
    assert _of_pair(half, whole, 0, 0, "the same") == pytest.approx((0.15, 0.25))
    assert _of_pair(whole, half, 0, 0, "the same") == pytest.approx((0.25, 0.15))
    apart = _of_pair(half, whole, 0, 0, "unrelated")
    assert apart == pytest.approx((hypot(0.25, 0.30), hypot(0.15, 0.50)))
    kind = _of_pair(half, whole, 0, 0, "one kind")
    assert kind == pytest.approx((hypot(0.15, COLUMN_ERROR), hypot(0.25, COLUMN_ERROR)))
    assert _of_pair(half, whole, 0, None, "unrelated") == pytest.approx((0.25, 0.15))
    beds = _of_pair(half, whole, 0, 0, "other beds")
    assert beds[0] > 0.16
    assert beds[1] > 0.26


def test_equal_totals_of_two_tubes_that_swapped_their_flows_are_no_one_tube() -> None:
    """Of equal drops one is in transition, either of them: half of the total may be twice it."""
    either, laminar = Drop(10e5, 0.0, laminar=0.0, turbulent=log(2.0)), Drop(10e5, 0.0)
    below, above = _either_regime((either, laminar), (laminar, either))
    assert below == above > log(1.5)
    assert _either_regime((either, laminar), (either, laminar)) == (0.0, 0.0)


def test_a_tube_in_which_nothing_moves_does_not_make_a_ratio_unsure() -> None:
    """Beside one of a hundredth of the pressure that turns turbulent: by that tube alone."""
    still = Drop(10e5, 0.0, laminar=0.4, turbulent=0.5)
    before, after = Drop(1e4, 0.0), Drop(1.1e4, 0.0, laminar=0.1, turbulent=0.6)
    alone = _either_regime((before,), (after,))
    below, above = _either_regime((still, before), (still, after))
    assert 0.0 < below < 0.03 * alone[0]
    assert 0.0 < above < 0.03 * alone[1]
    assert alone[1] > 0.6
