"""Streaming summaries against the standard library on the whole list."""

from __future__ import annotations

import random
import statistics
from datetime import datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from limitcheck.history import summaries as history
from limitcheck.history.summaries import Blocks, Neighbourhood, Point, SerialCorrelation, Tally

VALUES = st.lists(st.integers(0, 4000).map(lambda i: i / 10), min_size=1, max_size=60)


def tally(values: list[float]) -> Tally:
    counted = Tally()
    for value in values:
        counted.add(value)
    return counted


@given(VALUES)
def test_tally_equals_the_list(values: list[float]) -> None:
    counted = tally(values)
    assert len(counted) == len(values)
    assert counted.median == pytest.approx(statistics.median(values))
    assert counted.mean == pytest.approx(statistics.fmean(values))
    deviation = statistics.stdev(values) if len(values) > 1 else 0
    assert counted.deviation == pytest.approx(deviation, abs=1e-9)
    assert counted.at_rank(1, len(values)) == [min(values), max(values)]
    middle = statistics.median(values)
    apart = statistics.median(abs(v - middle) for v in values)
    assert counted.absolute_deviation() == pytest.approx(apart, abs=1e-9)


@pytest.mark.parametrize(
    ("values", "step"),
    [
        ([200.0, 201.0, 205.0], 1),
        ([200.0, 210.0], 10),
        ([20.5, 21.0], 0.5),
        ([0.123456, 1.0], 0),
        ([7.0], 1),
    ],
)
def test_display_step(values: list[float], step: float) -> None:
    assert tally(values).step() == pytest.approx(step)


def test_many_distinct_values_are_rounded_and_said(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(history, "MOST_DISTINCT", 2000)
    rng = random.Random(1)
    values = [rng.uniform(150, 250) for _ in range(20_000)]
    counted = tally(values)
    assert counted.digits == 4
    assert len(counted.counts) <= 2001
    assert counted.median == pytest.approx(statistics.median(values), rel=5e-4)


def test_blocks() -> None:
    blocks = Blocks(4)
    start = datetime(2026, 1, 1)
    for i in range(10):
        blocks.add(Point(i + 2, start + timedelta(hours=i), float(i)))
    first, second, last = blocks.finish()
    assert (first.line, first.readings, first.pressure) == (2, 4, 1.5)
    assert (second.line, second.time) == (6, start + timedelta(hours=4))
    assert (last.readings, last.pressure, blocks.end) == (2, 8.5, start + timedelta(hours=9))


def test_a_short_rest_joins_the_last_block() -> None:
    blocks = Blocks(4)
    for i in range(9):
        blocks.add(Point(i, datetime(2026, 1, 1), float(i)))
    assert [(block.readings, block.pressure) for block in blocks.finish()] == [(4, 1.5), (5, 6.0)]


def test_serial_correlation() -> None:
    rng = random.Random(2)
    value = 0.0
    alike, apart = SerialCorrelation(0.0), SerialCorrelation(0.0)
    for _ in range(4000):
        value = 0.8 * value + rng.gauss(0, 1)
        alike.add(value)
        apart.add(rng.gauss(0, 1))
    assert alike.value == pytest.approx(0.8, abs=0.04)
    assert apart.value == pytest.approx(0, abs=0.05)
    assert SerialCorrelation(0.0).value == 0


def far(values: list[float], reach: float) -> list[int]:
    near = Neighbourhood(reach)
    for i, value in enumerate(values):
        near.add(Point(i, datetime(2026, 1, 1), value))
    near.finish()
    assert near.count == len(near.listed)
    return [place.line for place in near.listed]


def test_far_from_neighbours() -> None:
    values = [100.0 + i for i in range(30)]
    assert far(values, 10) == []
    values[0] += 50
    values[17] -= 50
    values[29] += 50
    assert far(values, 10) == [0, 17, 29]


def test_a_step_is_not_far() -> None:
    assert far([100.0] * 20 + [150.0] * 20, 10) == []


@given(st.lists(st.floats(0, 500), max_size=40))
def test_every_reading_is_judged(values: list[float]) -> None:
    assert far(values, -1.0) == list(range(len(values)))
