"""Beds of two kinds of particle share the packing constant; everything else of them is apart."""

from __future__ import annotations

from itertools import product
from math import exp, hypot, sqrt

import pytest

from limitcheck.physics.interval import joined
from limitcheck.physics.predict import Prediction, predict
from limitcheck.physics.ratio import ratio
from limitcheck.physics.resistance import bed_apart_error, bed_error, constant_shared
from limitcheck.physics.system import Change

from .profiles import PUMP, column, conditions, profile

KINDS = ("fully porous", "superficially porous", "irregular")


def two(first: str, second: str) -> Prediction:
    beds = [
        column(length='"100 mm"', bore='"2.1 mm"', particle=f'"{kind}"') for kind in (first, second)
    ]
    return predict(profile(PUMP, *beds, conditions=conditions(flow='"0.3 mL/min"')))


def width(found: Prediction) -> tuple[float, float]:
    return found.low / found.central, found.high / found.central


@pytest.mark.parametrize(("one", "other"), list(product(KINDS[:2], KINDS[:2])))
def test_a_column_of_a_less_sure_kind_makes_nothing_surer(one: str, other: str) -> None:
    mixed, alone = width(two(one, other)), width(two("fully porous", "fully porous"))
    assert mixed[1] > 0.97 * alone[1]
    assert mixed[0] < 1.05 * alone[0]


def test_the_order_does_not_matter() -> None:
    assert width(two(*KINDS[:2])) == pytest.approx(width(two(*KINDS[1::-1])), rel=1e-3)


def test_one_dispute_adds_up_and_the_rest_is_in_quadrature() -> None:
    """0.455 of the constant (150 to 267 about 180), twice 0.5 of the pressure: by hand."""
    constant = 2.0 / sqrt(3.0) * 0.3943  # ln(267 / 180)
    assert joined({"fully porous": 0.5, 3: 0.2}, 1) == pytest.approx(hypot(0.5, 0.2))

    widths = bed_error(KINDS[0])[1], bed_error(KINDS[1])[1]
    own = [sqrt(w * w - constant**2) for w in widths]
    by_hand = hypot(constant, 0.5 * own[0], 0.5 * own[1])
    found = joined({KINDS[0]: 0.5 * widths[0], KINDS[1]: 0.5 * widths[1]}, 1)
    assert found == pytest.approx(by_hand, rel=1e-3)


def test_errors_of_opposite_signs_cancel_in_part() -> None:
    apart = joined({KINDS[0]: 0.4, KINDS[1]: -0.3}, 1)
    assert 0.1 < apart < hypot(0.4, 0.3)
    # the packing constant is surer above than below, and they cancel as far as it is shared in both
    shared = constant_shared(*KINDS[:2])
    assert max(shared) > 1.5 * min(shared)
    for side in (0, 1):
        found = joined({KINDS[0]: 0.4, KINDS[1]: -0.3}, side)
        assert found**2 == pytest.approx(0.4**2 + 0.3**2 - 2 * 0.4 * 0.3 * min(shared))
    assert joined({"monolith": 0.4, KINDS[0]: 0.3}, 1) == pytest.approx(0.5)


@pytest.mark.parametrize("certified", [True, False])
def test_a_column_of_other_particles_is_another_bed(certified: bool) -> None:
    """A certificate says of it no more than of any other bed of the kind."""
    given = {
        "certificate": '{pressure = "88 bar", flow = "1.0 mL/min", temperature = "35 degC", '
        "percent_b = 18}"
    }
    made = profile(PUMP, column(**(given if certified else {})), conditions=conditions())
    own, other = predict(made), predict(made, Change(particle_size=3e-6))
    assert other.central > 2.5 * own.central
    assert width(other)[1] > 1.25
    changed = ratio(made, Change(particle_size=3e-6))
    assert changed.high / changed.central == pytest.approx(exp(bed_apart_error()), rel=0.06)
