"""How often a steady log is called unsteady, and a true step is listed: a table.

    python -m tests.history.drift_study --series 1000

Series are stationary, each value remembering a share phi of the one before (phi 0 to 0.7), of 12
to 150 readings; then independent readings with one step of three standard deviations, 20 to 80 %
of the way along. A false signal: the moving average outside its limits anywhere, a step, or a
slope; "not steady" is what the verdict rests on.
"""

from __future__ import annotations

import argparse
import math
import random
from collections.abc import Iterator
from datetime import datetime, timedelta

from limitcheck.history.drift import Trend, find_trend
from limitcheck.history.summaries import Point

SHARES = (0.0, 0.3, 0.5, 0.7)
LENGTHS = (12, 24, 60, 100, 150)
STEP = 3.0  # standard deviations
_START = datetime(2026, 1, 1)


def remembering(rng: random.Random, n: int, phi: float) -> list[float]:
    """A stationary series around 200 with standard deviation 2."""
    values, off = [], rng.gauss(0, 1)
    for _ in range(n):
        values.append(200 + 2 * off)
        off = phi * off + math.sqrt(1 - phi * phi) * rng.gauss(0, 1)
    return values


def trend_of(values: list[float], least: float = 0.03) -> Trend:
    """The trend of one reading a day; the line of a point is its index."""
    points = [Point(i, _START + timedelta(days=i), v) for i, v in enumerate(values)]
    trend = find_trend(points, least)[1]
    assert trend is not None
    return trend


def false_signals(series: int, n: int, phi: float, seed: int = 1) -> tuple[int, int]:
    """How many of these series signal anything, and how many are called not steady."""
    rng = random.Random(f"{seed} {n} {phi}")
    signals = unsteady = 0
    for _ in range(series):
        trend = trend_of(remembering(rng, n, phi))
        signals += trend.first_out is not None or not trend.steady
        unsteady += not trend.steady
    return signals, unsteady


def steps_listed(series: int, n: int, phi: float = 0.0, seed: int = 2) -> tuple[int, int]:
    """How many steps of three deviations are listed within two places, and how many others."""
    rng = random.Random(f"{seed} {n} {phi}")
    found = others = 0
    for _ in range(series):
        place = rng.randint(n // 5, n - n // 5)
        values = [
            v + (2 * STEP if i >= place else 0) for i, v in enumerate(remembering(rng, n, phi))
        ]
        near = [abs(step.line - place) <= 2 for step in trend_of(values).steps]
        found += any(near)
        others += len(near) - any(near)
    return found, others


def rows(series: int) -> Iterator[str]:
    """The table, line by line."""
    yield f"{series} series each"
    yield "readings  phi   false signal: 1 in   not steady: 1 in"
    for n in LENGTHS:
        for phi in SHARES:
            each = (f"{n * series / max(s, 1):9.0f}" for s in false_signals(series, n, phi))
            yield f"{n:8}  {phi:.1f}  {'            '.join(each)}"
    yield ""
    yield "readings  phi   steps of 3 deviations listed   steps listed elsewhere"
    for n in LENGTHS:
        for phi in SHARES:
            found, others = steps_listed(series, n, phi)
            yield f"{n:8}  {phi:.1f}  {found / series:12.1%}  {others / series:24.1%}"


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--series", type=int, default=1000)
    for line in rows(parser.parse_args().series):
        print(line, flush=True)
