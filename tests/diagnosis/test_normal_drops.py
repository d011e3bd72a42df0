"""Normal drops by part: the moments of a lopsided interval, and a total far from the predicted."""

from __future__ import annotations

from math import exp, log, pi, sqrt

import pytest

from limitcheck.diagnosis.drops import NormalDrops, predicted_drops
from limitcheck.physics.faults.normal import outranked
from limitcheck.physics.predict import predict
from tests.physics.profiles import COLUMN, INJECTOR, PUMP, TUBE, column, pair, profile


def test_a_part_has_the_moments_of_its_lopsided_interval() -> None:
    """A split normal of ln, two standard deviations either way, summed in 20,000 slices."""
    made = profile(PUMP, TUBE, INJECTOR, COLUMN)
    drops = predicted_drops(made, None)
    (share,) = (item for item in predict(made).budget if item.place == 3)
    below, above = log(share.central / share.low) / 2, log(share.high / share.central) / 2
    assert above > 1.05 * below  # else the sides could be exchanged
    total = first = second = 0.0
    for i in range(20_000):
        z = -8.0 + 16.0 * (i + 0.5) / 20_000
        x = z * (below if z < 0 else above)
        weight = exp(-0.5 * z * z) * (below if z < 0 else above) / sqrt(2 * pi)
        total += weight
        first += weight * x
        second += weight * x * x
    shift, variance = first / total, second / total - (first / total) ** 2
    mean, half = drops.over({3})
    assert mean == pytest.approx(share.central * exp(shift + variance / 2), rel=1e-4)
    assert half / 2 == pytest.approx(mean * sqrt(exp(variance) - 1), rel=1e-3)


@pytest.mark.parametrize("side", [-1, 1])
@pytest.mark.parametrize(("times", "far"), [(1.4, False), (1.6, True)])
def test_a_known_total_is_far_apart_from_one_and_a_half_intervals_on(
    side: int, times: float, far: bool
) -> None:
    """Two parts of 100 and 50 bar, 6 and 8 bar either way: 150 bar, 10 either way."""
    known = 150e5 + side * times * 10e5
    drops = NormalDrops({0: 100e5, 1: 50e5}, {0: 6e5, 1: 8e5}, (known, known))
    assert drops.predicted == pytest.approx((150e5, 10e5))
    assert drops.far_apart is far


PAIRS = ", ".join(pair(flow, bar) for flow, bar in ((0.5, 300), (1.0, 640)))


@pytest.mark.parametrize(
    ("basis", "pairs", "better"),
    [
        ("declared", PAIRS, True),
        ("predicted", PAIRS, True),
        ("measured", PAIRS, False),
        ("declared", "", False),
    ],
)
def test_measured_pairs_outrank_a_band_that_nobody_measured(
    basis: str, pairs: str, better: bool
) -> None:
    band = f'{{low = 600, high = 680, basis = "{basis}"}}'
    fine = column(particle_size='"2 um"')
    made = profile(PUMP, fine, expected=band, measured=pairs)
    assert outranked(made, lambda: predict(made)) is better


def test_pairs_cover_what_has_no_resistance_only_where_they_are_used() -> None:
    """Pairs that agree are of all parts; where they contradict each other nobody goes by them."""
    contradicting = ", ".join([pair(0.5, 33), pair(1.0, 500)])
    agreeing = ", ".join([pair(0.5, 33), pair(1.0, 66)])
    bare, unused, used = (
        predicted_drops(profile(PUMP, INJECTOR, COLUMN, measured=pairs), None).over({1})[0]
        for pairs in ("", contradicting, agreeing)
    )
    assert unused == bare > 0
    assert used == 0
