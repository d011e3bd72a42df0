"""What parts that are not listed, or have no resistance, may take: by the words of the module."""

from __future__ import annotations

from math import inf

import pytest

from limitcheck.physics.left_out import left_out_allowance, left_out_either_side
from limitcheck.physics.liquid import CannotPredict
from limitcheck.physics.predict import predict

from .profiles import CELL, COLUMN, INJECTOR, PUMP, TUBE, pair, profile

STRONG = PUMP.replace("400", "600")
RESTRICTOR = '{part = "restrictor"}'


@pytest.mark.parametrize(
    ("parts", "bar", "compared"),
    [
        ((PUMP, TUBE, COLUMN), 10, 10),
        ((PUMP, COLUMN), 50, 10),
        ((STRONG, COLUMN), 69, 69),
        ((STRONG, TUBE, COLUMN), 69, 10),
        ((STRONG, TUBE, INJECTOR, COLUMN), 69, 10),
        ((STRONG, TUBE, INJECTOR, COLUMN, CELL), 10, 0),
        ((PUMP, TUBE, INJECTOR, COLUMN, CELL), 10, 0),
    ],
)
def test_what_is_allowed_for(parts: tuple[str, ...], bar: float, compared: float) -> None:
    made = profile(*parts)
    found = predict(made)
    assert left_out_allowance(made, found) == bar * 1e5
    assert left_out_either_side(made, found.ready.path.segments) == compared * 1e5


def test_a_restrictor_may_take_anything() -> None:
    made = profile(PUMP, TUBE, COLUMN, RESTRICTOR)
    found = predict(made)
    assert left_out_allowance(made, found) == inf
    with pytest.raises(CannotPredict, match="may take any pressure"):
        left_out_either_side(made, found.ready.path.segments)


def test_pairs_that_are_not_used_leave_nothing_out() -> None:
    """Measured pairs are of all parts; where they contradict each other nobody goes by them."""
    pairs = ", ".join([pair(0.5, 33), pair(1.0, 500)])
    made = profile(measured=pairs)
    found = predict(made)
    assert found.ready.path.fit is not None
    assert found.ready.path.fit.unused
    assert left_out_allowance(made, found) == left_out_allowance(profile(), predict(profile())) > 0
    agreed = profile(measured=", ".join([pair(0.5, 33), pair(1.0, 66)]))
    assert left_out_allowance(agreed, predict(agreed)) == 0


def test_a_device_that_is_like_a_tube_is_no_tubing() -> None:
    """An injector resists as a usual tube of the bore that is given; the tubing has no length."""
    bore = '{part = "tubing", bore = "0.17 mm"}'
    made = profile(STRONG, bore, INJECTOR, COLUMN)
    found = predict(made)
    assert [segment.usual for segment in found.ready.path.segments] == [True, False]
    assert left_out_either_side(made, found.ready.path.segments) == 69e5
