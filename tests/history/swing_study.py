"""How soon a swing of the pressure is seen, and how often without one: tables.

    python -m tests.history.swing_study --series 1000

Series of 300 readings, each remembering a share phi of the one before; from reading 100 on their
standard deviation is doubled, or not. The display shows steps of `step` deviations.
"""

from __future__ import annotations

import argparse
import random
from collections.abc import Iterator
from datetime import datetime, timedelta

from limitcheck.history.dispersion import ScatterChart
from limitcheck.history.summaries import Point
from tests.history.drift_study import remembering

READINGS, CHANGE = 300, 100
_START = datetime(2026, 1, 1)


def signalled(values: list[float], step: float = 0.0) -> tuple[int | None, bool]:
    """The index at which the chart first left its limit, and whether the scatter grew."""
    chart = ScatterChart(len(values), step)
    for i, value in enumerate(values):
        shown = round(value / step) * step if step else value
        chart.add(Point(i, _START + timedelta(days=i), shown))
    found = chart.finish()
    assert found is not None
    return (None if found.signal is None else found.signal.line), found.grew


def study(series: int, phi: float, step: float) -> tuple[float, float, float, float]:
    """Readings to a false signal, share of steady series said to scatter, mean delay of a doubling,
    share of doublings said."""
    rng = random.Random(f"{phi} {step}")
    signals = grew = delays = seen = said = 0
    for _ in range(series):
        values = remembering(rng, READINGS, phi)
        place, more = signalled(values, step * 2)
        signals += place is not None
        grew += more
        wide = [v if i < CHANGE else 200 + 2 * (v - 200) for i, v in enumerate(values)]
        place, more = signalled(wide, step * 2)
        said += more
        if place is not None and place >= CHANGE:
            delays += place - CHANGE + 1
            seen += 1
    return READINGS * series / max(signals, 1), grew / series, delays / max(seen, 1), said / series


def rows(series: int) -> Iterator[str]:
    """The table, line by line."""
    yield f"{series} series each"
    yield "phi  step   false signal: 1 in   steady said to scatter   doubling: delay   said"
    for phi in (0.0, 0.3, 0.5, 0.7):
        for step in (0.0, 0.5, 1.0):
            length, false, delay, said = study(series, phi, step)
            yield (
                f"{phi:.1f}  {step:.1f}  {length:17.0f}  {false:20.1%}  {delay:20.1f}  {said:8.1%}"
            )


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--series", type=int, default=1000)
    for line in rows(parser.parse_args().series):
        print(line, flush=True)
