"""The width of an interval by hand: one segment alone, whose other errors are nought."""

from __future__ import annotations

from math import exp, hypot, log

import pytest

from limitcheck.physics.drops import Drop
from limitcheck.physics.flow_path import AMBIENT_ERROR, FLOW_ERROR, OVEN_ERROR, Segment, State, Tied
from limitcheck.physics.interval import READING_ERROR, interval
from limitcheck.physics.tube import OpenTube

from .test_side import MIXED, STATE

COLD, HOT = 283.15, 353.15  # K, far enough apart to tell one from the other
APART = State(1.7e-8, MIXED, HOT, COLD, cold_known=True)


def piece(heated: bool, below: float = 0.0, above: float = 0.0) -> Segment:
    """Measured in the liquid and at the temperature it runs at: the viscosity cancels."""
    at = HOT if heated else COLD
    return Segment(1, "a part", 1.0, heated, below, above, (MIXED, at))


def widths(segment: Segment, state: State, drop: Drop) -> tuple[float, float]:
    """The parts of the pressure below and above it [-]."""
    low, central, high = interval([segment], state, [drop])
    return 1.0 - low / central, high / central - 1.0


def thinner_by_a_kelvin(kelvin: float) -> float:
    """-d ln(eta) / dT [1/K] from two viscosities."""
    return log(MIXED.viscosity(kelvin - 0.5) / MIXED.viscosity(kelvin + 0.5))


def test_without_a_segment_there_is_no_pressure_and_no_width() -> None:
    assert interval([], STATE, []) == (0.0, 0.0, 0.0)


def test_what_the_flow_does_in_an_open_tube_is_beside_the_error_of_its_bore() -> None:
    """Coil, ends, transition: 0.4 below and 1.2 above, beside 0.3 and 0.5 of the bore."""
    below, above = widths(piece(False, 0.3, 0.5), APART, Drop(1e5, 0.0, 0.4, 1.2))
    assert below == pytest.approx(hypot(1.0 - exp(-0.5), 1.0 - exp(-FLOW_ERROR)))
    assert above == pytest.approx(hypot(exp(1.3) - 1.0, exp(FLOW_ERROR) - 1.0))


def test_an_oven_is_a_kelvin_off() -> None:
    oven = hypot(OVEN_ERROR * thinner_by_a_kelvin(HOT), FLOW_ERROR)
    below, above = widths(piece(True), APART, Drop(1e5, 0.0))
    assert below == pytest.approx(1.0 - exp(-oven), rel=0.02)
    assert above == pytest.approx(exp(oven) - 1.0, rel=0.02)
    assert oven > 1.2 * FLOW_ERROR


def test_a_room_that_is_not_given_counts_at_its_own_temperature() -> None:
    """What stands cold thins twice as fast with each kelvin as what stands hot."""
    unknown = APART._replace(cold_known=False)
    room = hypot(AMBIENT_ERROR * thinner_by_a_kelvin(COLD), FLOW_ERROR)
    below, above = widths(piece(False), unknown, Drop(1e5, 0.0))
    assert below == pytest.approx(1.0 - exp(-room), rel=0.04)
    assert above == pytest.approx(exp(room) - 1.0, rel=0.04)
    assert widths(piece(False), APART, Drop(1e5, 0.0))[1] == pytest.approx(exp(FLOW_ERROR) - 1.0)
    assert thinner_by_a_kelvin(COLD) > 1.5 * thinner_by_a_kelvin(HOT)


@pytest.mark.parametrize("more", [0.0, 0.5])
def test_of_a_fitted_part_only_the_rise_beyond_that_of_its_pair_is_unsure(more: float) -> None:
    """At the pressure of the pair itself the rise is in the reading: no more than a day's."""
    fitted = piece(False)._replace(tied=Tied(0, (0.0,), (0.0,), 0.8, 0.0, 0.0, (0.0, 0.0)))
    unsure = hypot(more * MIXED.rise(COLD).uncertainty, READING_ERROR)
    below, above = widths(fitted, APART, Drop(1e5, 0.8 + more))
    assert below == pytest.approx(1.0 - exp(-unsure))
    assert above == pytest.approx(exp(unsure) - 1.0)


@pytest.mark.parametrize(("here", "there"), [((0.4, 0.9), (0.1, 0.3)), ((0.1, 0.3), (0.4, 0.9))])
def test_of_a_fitted_tube_the_flow_counts_as_far_as_it_is_not_that_of_its_pair(
    here: tuple[float, float], there: tuple[float, float]
) -> None:
    """0.3 below and 0.6 above, whether it is more turbulent than in the pair or less."""
    fitted = piece(False)._replace(tied=Tied(0, (0.0,), (0.0,), 0.0, *there, (0.0, 0.0)))
    below, above = widths(fitted, APART, Drop(1e5, 0.0, *here))
    assert below == pytest.approx(hypot(1.0 - exp(-0.3), 1.0 - exp(-READING_ERROR)))
    assert above == pytest.approx(hypot(exp(0.6) - 1.0, exp(READING_ERROR) - 1.0))


def test_no_pressure_is_below_zero_however_little_is_known() -> None:
    """95 % of it by the bore and 95 % by the flow are more than all of it together."""
    tube = piece(False, 3.0, 3.0)._replace(open=OpenTube(1e-3, 1.0))
    low, central, _ = interval([tube], APART, [Drop(1e5, 0.0, 3.0, 3.0)])
    assert (low, central) == (0.0, 1e5)
