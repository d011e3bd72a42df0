"""The chart in characters: every reading in its place, and narrow enough for any terminal."""

from __future__ import annotations

import pytest

from limitcheck.charts.sketch import sketch
from tests.history.logs import baseline, runs


@pytest.mark.parametrize("n", [2, 12, 48, 300])
def test_it_fits_a_narrow_terminal(n: int) -> None:
    lines = list(sketch(baseline(runs(n)).phases[0], "bar"))
    assert max(map(len, lines)) <= 58
    assert any(f"{'a reading' if n <= 100 else 'mean of 3 readings'}, in bar" in x for x in lines)


def test_each_reading_and_limit_is_drawn() -> None:
    (phase,) = baseline(runs(40, lambda i: i)).phases
    lines = [line.partition("|")[2] for line in sketch(phase, "bar") if "|" in line]
    columns = {index for line in lines for index, sign in enumerate(line) if sign == "*"}
    assert columns == set(range(40))
    assert sum(line.count("-") > 20 for line in lines) == 2
    highest = max(phase.points, key=lambda point: point.pressure)
    assert lines[0][phase.points.index(highest)] == "*"
