"""The moving average against published run lengths; steps and slopes against known series."""

from __future__ import annotations

import math
import random
from collections.abc import Iterator
from datetime import datetime, timedelta

import numpy
import pytest

from limitcheck.history.autocorrelation import Memory, _Fit, remember
from limitcheck.history.drift import (
    FALSE_SIGNAL_EVERY,
    Trend,
    ewma,
    find_steps,
    find_trend,
    fit_line,
    half_width,
    short_term_deviation,
    without_spikes,
)
from limitcheck.history.summaries import Point

from .drift_study import false_signals, remembering, steps_listed


def run_length(rng: random.Random, shift: float) -> int:
    """Points until the moving average leaves its limits; standard deviation 1."""

    def endless() -> Iterator[float]:
        while True:
            yield rng.gauss(shift, 1)

    limit = half_width(Memory(0.0, 1.0, ()))
    for count, average in enumerate(ewma(endless(), 0.0), 1):  # noqa: B007
        if abs(average) > limit:
            break
    return count


def test_run_length_in_control() -> None:
    """Reference: 500 for smoothing 0.2 and width 2.962 (scipy, Markov chain)."""
    rng = random.Random(11)
    runs = [run_length(rng, 0.0) for _ in range(1200)]
    mean = sum(runs) / len(runs)
    assert abs(mean - FALSE_SIGNAL_EVERY) < 4 * FALSE_SIGNAL_EVERY / math.sqrt(len(runs))


def test_run_length_after_a_shift() -> None:
    """Reference: 10.5 for a shift of one standard deviation."""
    rng = random.Random(12)
    runs = [run_length(rng, 1.0) for _ in range(4000)]
    assert sum(runs) / len(runs) == pytest.approx(10.5, abs=0.4)


def steady(n: int, seed: int, rise: float = 0.0, jump: float = 0.0) -> list[float]:
    """Pressures around 200 with deviation 2, a rise a point, a jump at 60 %."""
    rng = random.Random(seed)
    return [rng.gauss(200, 2) + rise * i + (jump if i >= 0.6 * n else 0) for i in range(n)]


def trend_of(values: list[float], least: float = 0.3) -> Trend:
    """The trend of one reading a day; the line of a point is its index."""
    start = datetime(2026, 1, 1)
    days = [Point(i, start + timedelta(days=i), value) for i, value in enumerate(values)]
    charted, trend = find_trend(days, least)
    assert trend is not None
    assert all(point.average is not None for point in charted)
    return trend


def test_false_alarms_are_rare() -> None:
    """300 steady series; measured: 0.5 % outside at the end, no step, 1 % sloping."""
    out = steps = slopes = 0
    for seed in range(300):
        drift = trend_of(steady(100, seed))
        out += drift.out_since is not None
        steps += bool(drift.steps)
        slopes += drift.direction in ("rising", "falling")
    assert out <= 9
    assert steps <= 6
    assert slopes <= 6


def test_a_steady_rise_is_found_and_is_no_step() -> None:
    found = 0
    for seed in range(100):
        drift = trend_of(steady(100, seed, rise=0.1))
        assert drift.first_out is not None
        assert drift.first_out.line < 60
        found += drift.direction == "rising" and not drift.steps
    assert found >= 75


def test_a_jump_is_found_at_its_place_and_is_no_slope() -> None:
    right = slopes = 0
    for seed in range(100):
        drift = trend_of(steady(100, seed, jump=12))
        right += any(abs(s.line - 60) <= 1 and abs(s.height - 12) < 4 for s in drift.steps)
        slopes += drift.direction in ("rising", "falling")
    assert right >= 93
    assert slopes <= 5


def test_one_wild_reading_is_no_alarm() -> None:
    for seed in range(40):
        values = steady(60, seed)
        before = trend_of(list(values)).first_out
        values[30] += 80
        after = trend_of(values).first_out
        assert after is None or (before is not None and after.line == before.line)


def test_rounded_readings_do_not_alarm() -> None:
    """A display of 1 bar hides a deviation of 0.3 bar: the chart must not call that nothing."""
    rng = random.Random(3)
    alarms = 0
    for _ in range(100):
        values = [float(round(rng.gauss(200, 0.3))) for _ in range(60)]
        alarms += trend_of(values, 1 / math.sqrt(12)).out_since is not None
    assert alarms <= 4


def test_deviation_ignores_steps_and_spikes() -> None:
    values = steady(200, 1, jump=50)
    values[20] += 100
    assert short_term_deviation(values) == pytest.approx(2, rel=0.2)
    assert short_term_deviation([5.0, 5.0, 5.0], 0.25) == 0.25
    assert short_term_deviation([5.0], 0.25) == 0.25


def test_spikes_are_replaced_by_their_neighbours() -> None:
    assert without_spikes([1, 1, 9, 1, 1], 1.0) == [1, 1, 1, 1, 1]
    assert without_spikes([1, 1, 9, 9, 9], 1.0) == [1, 1, 9, 9, 9]


def test_line() -> None:
    line = fit_line([0, 1, 2, 3], [5, 7, 9, 11], 0.1)
    assert line is not None
    assert line.slope == pytest.approx(2)
    assert line.end == pytest.approx(11)
    assert line.direction == "rising"
    assert fit_line([1, 1, 1], [1, 2, 3], 0.1) is None
    assert fit_line([1, 2], [1, 2], 0.1) is None


def test_nothing_varies() -> None:
    assert find_steps([1.0] * 20, remember([1.0] * 20, 0.0)) == []
    drift = trend_of([7.0] * 20, 0.0)
    assert drift.first_out is None
    assert drift.direction != "rising"


def test_too_short() -> None:
    points = [Point(i, datetime(2026, 1, 1), 1.0) for i in range(11)]
    assert find_trend(points, 0.1) == (points, None)


def test_a_series_that_remembers_is_not_called_unsteady() -> None:
    """At most one false signal in 500 readings, as on independent ones (drift_study: the table)."""
    signals = sum(false_signals(120, 60, phi)[0] for phi in (0.0, 0.5, 0.7))
    assert signals <= 3 * 120 * 60 / FALSE_SIGNAL_EVERY
    assert false_signals(150, 100, 0.5)[1] <= 6


def test_steps_of_three_deviations_are_listed() -> None:
    """To reach: 80 % at 60 independent readings; 87 % seen in 1,000."""
    found, others = steps_listed(150, 60)
    assert found >= 0.8 * 150
    assert others <= 4


def test_share_remembered() -> None:
    """The estimate against the share the series was made with, and a drift is no memory."""
    rng = random.Random(5)
    for phi in (0.0, 0.3, 0.6):
        found = [remember(remembering(rng, 150, phi), 0.01) for _ in range(30)]
        assert sum(m.phi for m in found) / 30 == pytest.approx(phi, abs=0.08)
        assert sum(m.deviation for m in found) / 30 == pytest.approx(2, rel=0.15)
    creeping = [v + max(0, i - 40) * 0.5 for i, v in enumerate(remembering(rng, 100, 0.0))]
    assert remember(creeping, 0.01).phi < 0.4
    assert remember(creeping, 0.01).steps == ()


def test_likelihood_against_the_determinant() -> None:
    """Twice the gain of a step, against the full covariance matrix of such a series (numpy)."""
    rng = random.Random(8)
    values = remembering(rng, 20, 0.5)
    n, phi = 20, 0.5
    places = numpy.arange(n)
    covariance = phi ** abs(places[:, None] - places[None, :])
    inverse = numpy.linalg.inv(covariance)
    logarithm = numpy.linalg.slogdet(covariance)[1]

    def likelihood(columns: list[list[float]]) -> float:
        z = numpy.array(columns).T
        fitted = z @ numpy.linalg.solve(z.T @ inverse @ z, z.T @ inverse @ numpy.array(values))
        rest = numpy.array(values) - fitted
        noise = rest @ inverse @ rest / n
        return float(-n / 2 * numpy.log(noise) - logarithm / 2 - n / 2 * numpy.log(1 - phi**2))

    one, line = [1.0] * n, [float(i) for i in range(n)]
    fit = _Fit(values, phi, [one, line])
    steps = {k: likelihood([one, line, [0.0] * k + [1.0] * (n - k)]) for k in range(3, n - 2)}
    best = max(steps, key=lambda k: steps[k])
    gain, place = fit.best_step(0.0, [])
    assert place == best
    assert gain - fit.likelihood(0.0) == pytest.approx(steps[best] - likelihood([one, line]))
