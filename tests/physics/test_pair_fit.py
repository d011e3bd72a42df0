"""The numbers of the fit against numpy's linear algebra and the textbook's closed forms."""

from __future__ import annotations

from math import exp, log, pi

import numpy as np
import pytest

from limitcheck.physics.drops import drops
from limitcheck.physics.flow_path import DAY_ERROR, FLOW_ERROR, REPEAT_ERROR, Segment, State
from limitcheck.physics.interval import READING_ERROR, interval, tied_spread
from limitcheck.physics.pair_fit import PairFit
from limitcheck.physics.pairs import Reading
from limitcheck.physics.predict import predict
from limitcheck.physics.system import System, system
from limitcheck.physics.tube import BORE_ERROR
from limitcheck.physics.uncertainty import of_bound
from tests.physics.profiles import COLUMN, PUMP, TUBE, TUBE_2, conditions, pair, profile

from .friction import BEGINS, MODELS, friction_models
from .test_ratio import LINE, LITTLE
from .test_side import STATE

ML_MIN = 1e-6 / 60
LEAST = 1e5


def readings(ready: System, *pairs: tuple[float, float, bool]) -> list[Reading]:
    state = ready.at(0.0)
    return [
        Reading(number, bar * 1e5, state._replace(flow=flow * ML_MIN), column)
        for number, (flow, bar, column) in enumerate(pairs, 1)
    ]


def test_the_fit_is_the_bayesian_linear_estimate_in_numpy() -> None:
    """m = V H' (H V H' + R)^-1 y, V - V H' (H V H' + R)^-1 H V: Kaipio and Somersalo (from memory).

    Tubes only, laminar water: errors are symmetric, and ln P is near to linear for small errors.
    """
    water = conditions(solvent_b="", percent_b="")
    ready = system(profile(PUMP, TUBE, TUBE_2, COLUMN, conditions=water))
    tubes = [segment for segment in ready.path.segments if not segment.heated]
    seen = readings(ready, (0.05, 0.80, False), (0.1, 1.62, False), (0.2, 3.18, False))
    found = PairFit(tubes, seen, 1e3).estimate(0.0)

    state = ready.at(0.0)
    own = of_bound(4 * BORE_ERROR)
    viscosity = state.liquid.error(state.cold).half_width
    prior = own**2 * np.eye(2) + (viscosity**2 + FLOW_ERROR**2) * np.ones((2, 2))
    at = np.log([s.resistance for s in found.segments]) - np.log([s.resistance for s in tubes])
    rows, surprise, noise = [], [], []
    for reading in seen:
        scaled = [
            s._replace(resistance=s.resistance * exp(x)) for s, x in zip(tubes, at, strict=True)
        ]
        each = np.array([drop.pressure for drop in drops(scaled, reading.state)])
        rows.append(each / each.sum())
        surprise.append(log(reading.pressure / each.sum()) + rows[-1] @ at)
        noise.append(REPEAT_ERROR**2 + (1e3 / reading.pressure) ** 2)
    slopes = np.array(rows)
    errors = np.diag(noise) + DAY_ERROR**2 * np.ones((3, 3))
    gain = prior @ slopes.T @ np.linalg.inv(slopes @ prior @ slopes.T + errors)
    assert np.allclose(at, gain @ np.array(surprise), atol=2e-3)
    after = prior - gain @ slopes @ prior
    for row, segment in enumerate(found.segments):
        assert segment.tied is not None
        assert np.allclose(segment.tied.below, after[row], atol=2e-4)
        assert np.allclose(segment.tied.above, after[row], atol=2e-4)


def test_the_line_through_the_pairs_is_that_of_numpy() -> None:
    """polyfit with weights 1 / sigma; the offset's error by its covariance, unscaled."""
    ready = system(profile(PUMP, COLUMN))
    pairs = [(0.3, 35.0, True), (0.6, 52.0, True), (1.0, 71.0, True), (1.5, 97.0, True)]
    seen = readings(ready, *pairs)
    found = PairFit(ready.path.segments, seen, LEAST).estimate(0.0)
    x = np.array([item.fitted for item in found.pairs])
    y = np.array([reading.pressure for reading in seen])
    sigma = np.hypot(REPEAT_ERROR * y, LEAST)
    (_, offset), covariance = np.polyfit(x, y, 1, w=1 / sigma, cov="unscaled")
    assert found.offset == pytest.approx(offset, rel=1e-6)
    assert found.offset_error == pytest.approx(covariance[1, 1] ** 0.5, rel=1e-6)
    assert found.disagreement > 11
    assert found.reconciled < 11


def test_chi_squared_of_pairs_against_published_quantiles() -> None:
    """Abramowitz and Stegun, table 26.8: 10.83, 13.82, 16.27, 29.59 at 0.999 (from memory)."""
    from limitcheck.physics.measured import _chi_limit

    for freedom, published in ((1, 10.83), (2, 13.82), (3, 16.27), (10, 29.59)):
        assert _chi_limit(freedom) == pytest.approx(published, rel=0.035)


def test_what_is_tied_adds_up_to_less_than_its_parts() -> None:
    """The whole is read, its parts are not: their errors cancel in the sum."""
    made = profile(measured=f"{pair(0.5, 33)}, {pair(1.0, 66)}")
    found = predict(made)
    segments = found.ready.path.segments
    shares = [share.central / found.central for share in found.budget]
    below, above = tied_spread(segments, shares)
    alone = [s.above * w for s, w in zip(segments, shares, strict=True)]
    assert above < sum(x * x for x in alone) ** 0.5
    assert below < 0.09
    one = [1.0, *[0.0] * (len(shares) - 1)]
    assert tied_spread(segments, one) == pytest.approx((segments[0].below, segments[0].above))


@pytest.mark.parametrize("share", [1.0, 0.4])
@pytest.mark.parametrize("model", MODELS)
def test_what_pairs_tell_of_another_flow_holds_any_transition(model: str, share: float) -> None:
    """Readings at a Reynolds number and 0.4 or 0.8 of it, in bores 3 % off, without any noise.

    To 2.5 %, by which Churchill's and Colebrook's friction differ in turbulent flow.
    """
    friction = friction_models()[model]
    frit = Segment(0, "frit", (1 - share) / share * LITTLE, False, 0.1, 0.1)
    parts = [frit, LINE._replace(resistance=LITTLE, place=1)]
    cold = STATE._replace(cold_known=True)
    eta, rho = cold.liquid.viscosity(cold.cold), cold.liquid.density(cold.cold)

    def at(number: float) -> State:
        return cold._replace(flow=number * pi * 1e-3 * eta / (4 * rho))

    def true(number: float, bore: float) -> float:
        inside = number / bore
        tube = LITTLE / bore**4 * inside / 64 * friction(inside)
        return eta * at(number).flow * (tube + frit.resistance)

    missed, odd = [], []
    for first in BEGINS:
        for slower in (0.4, 0.8):
            for bore in (0.97, 1.0, 1.03):
                seen = [
                    Reading(place, true(number, bore), at(number), True)
                    for place, number in enumerate((slower * first, first), 1)
                ]
                found = PairFit(parts, seen, 1e-9).estimate(0.0)
                if found.disagreement > 11:  # chi squared, 0.999 of one degree of freedom
                    odd.append((slower, first, bore, found.disagreement))
                for second in BEGINS:
                    asked = drops(found.segments, at(second))
                    low, _, high = interval(found.segments, at(second), asked)
                    if not low * 0.975 < true(second, bore) < high * 1.025:
                        missed.append((slower, first, second, bore))
    assert not missed
    assert not odd


def test_at_the_flow_of_the_pair_a_tube_in_transition_is_as_it_was() -> None:
    """The reading itself tells: only the day is between."""
    cold = STATE._replace(cold_known=True)
    eta, rho = cold.liquid.viscosity(cold.cold), cold.liquid.density(cold.cold)
    states = [cold._replace(flow=number * pi * 1e-3 * eta / (4 * rho)) for number in (1500, 2800)]
    line = [LINE._replace(resistance=LITTLE, place=0)]
    seen = [
        Reading(place, 1.3 * drops(line, state)[0].pressure, state, True)
        for place, state in enumerate(states, 1)
    ]
    found = PairFit(line, seen, 1e-9).estimate(0.0)
    low, central, high = interval(found.segments, states[1], drops(found.segments, states[1]))
    assert log(high / central) < 1.5 * READING_ERROR
    assert log(central / low) < 1.5 * READING_ERROR
    low, central, high = interval(found.segments, states[0], drops(found.segments, states[0]))
    assert log(central / low) > 3.0 * READING_ERROR
