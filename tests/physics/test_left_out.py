"""What parts that are not listed, or have no resistance, may take: by the words of the module."""

from __future__ import annotations

from math import inf

import pytest

from limitcheck.physics.left_out import left_out_allowance, left_out_either_side
from limitcheck.physics.liquid import CannotPredict
from limitcheck.physics.predict import predict

from .profiles import CELL, COLUMN, INJECTOR, PUMP, TUBE, profile

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
