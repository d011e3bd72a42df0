"""What room, oven and viscosity add to the width of a ratio of two instruments, by hand."""

from __future__ import annotations

from math import hypot

import pytest

from limitcheck.physics.drops import Drop
from limitcheck.physics.flow_path import AMBIENT_ERROR, OVEN_ERROR, Segment
from limitcheck.physics.liquid import viscosity_ratio_error
from limitcheck.physics.other_instrument import _ambient, _contributions, _viscosity
from limitcheck.physics.side import Side

from .profiles import COLUMN, PUMP, TUBE, profile
from .test_side import MIXED, STATE

TUBING = Segment(1, "tubing", 1.0, False, 0.1, 0.1)
BED = Segment(2, "column", 1.0, True, 0.1, 0.1)


def run(heated: float, site: str | None = None, bed: Segment = BED) -> Side:
    made = profile(PUMP, TUBE, COLUMN)
    made = made.model_copy(update={"method": made.method.model_copy(update={"site": site})})
    found = Drop(10e5 * (1.0 - heated), 0.0), Drop(10e5 * heated, 0.0)
    return Side(made, (TUBING, bed), STATE._replace(cold_known=False), found, 10e5)


def test_an_unknown_room_counts_outside_the_ovens() -> None:
    one = AMBIENT_ERROR * MIXED.thinning(293.15)
    assert _ambient(run(0.9), run(0.6)) == pytest.approx(one * hypot(0.1, 0.4))
    same = (run(share, "Kestrel Bay") for share in (0.9, 0.6))
    assert _ambient(*same) == pytest.approx(one * 0.3)


def test_two_ovens_count_by_the_shares_of_the_columns() -> None:
    told = {item.why: item.above for item in _contributions(run(0.9), run(0.6))}
    ovens = OVEN_ERROR * MIXED.thinning(313.15) * hypot(0.9, 0.6)
    assert told["temperature of two ovens"] == pytest.approx(ovens)


def test_viscosity_counts_where_the_shares_move() -> None:
    """One liquid: what moves out of the oven by the ratio, what is measured on one side alone."""
    between = viscosity_ratio_error(MIXED, 313.15, MIXED, 293.15)
    assert _viscosity(run(0.9), run(0.6), []) == pytest.approx(0.3 * between)
    measured = BED._replace(measured=(MIXED, 298.15))
    own = viscosity_ratio_error(MIXED, 298.15, MIXED, 313.15)
    absolute = MIXED.error(293.15).half_width
    pairs = [(0, 0, "the same"), (1, 1, "the same")]
    here, there = run(0.9, bed=measured), run(0.6, bed=measured)
    assert _viscosity(here, there, pairs) == pytest.approx(0.3 * own + 0.3 * absolute)  # type: ignore[arg-type]
