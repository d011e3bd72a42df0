"""The SVG chart: well formed, complete, inside its frame."""

from __future__ import annotations

import xml.etree.ElementTree as ET

import pytest

from limitcheck.charts.baseline import baseline_chart
from limitcheck.charts.svg import Frame, NarrowFrame
from tests.history.logs import baseline, runs
from tests.profiles_for_tests import with_geometry

SVG = "{http://www.w3.org/2000/svg}"


def test_every_reading_and_level_is_drawn() -> None:
    found = baseline(runs(60, lambda i: i), of=with_geometry().profile)
    drawn = baseline_chart(found.phases[0], found)
    root = ET.fromstring(drawn.svg)
    assert len(root.findall(f"{SVG}circle")) == 60
    texts = [element.text or "" for element in root.iter(f"{SVG}text")]
    assert "high cutoff 260" in texts
    assert "low cutoff 30" in texts
    assert sum(text.startswith("band ") for text in texts) == 2
    assert "now rising" in drawn.description
    assert "high cutoff 260" in drawn.description


@pytest.mark.parametrize("n", [1, 2, 4, 200])
def test_everything_stays_inside(n: int) -> None:
    found = baseline(runs(n), of=with_geometry().profile)
    drawn = baseline_chart(found.phases[0], found)
    for svg, frame in ((drawn.svg, Frame), (drawn.narrow, NarrowFrame)):
        root = ET.fromstring(svg)
        assert root.get("viewBox") == f"0 0 {frame.WIDTH} {frame.HEIGHT}"
        for circle in root.findall(f"{SVG}circle"):
            assert 40 < float(circle.get("cx", "0")) < frame.RIGHT + 1
            assert 5 < float(circle.get("cy", "0")) < frame.BOTTOM + 1
        for text in root.iter(f"{SVG}text"):
            width = 6.2 * len(text.text or "")
            end = text.get("text-anchor") == "end"
            assert float(text.get("x", "0")) + (0 if end else width) <= frame.WIDTH
            assert float(text.get("y", "0")) < frame.HEIGHT


def sketch(text: str) -> tuple[str, ...]:
    """The chart in characters."""
    found = baseline(text)
    return baseline_chart(found.phases[0], found).sketch


@pytest.mark.parametrize("n", [2, 12, 48, 300])
def test_it_fits_a_narrow_terminal(n: int) -> None:
    lines = sketch(runs(n))
    assert max(map(len, lines)) <= 58
    assert any(f"{'a reading' if n <= 100 else 'mean of 3 readings'}, in bar" in x for x in lines)


def test_each_reading_and_limit_is_drawn() -> None:
    text = runs(40, lambda i: i)
    (phase,) = baseline(text).phases
    lines = [line.partition("|")[2] for line in sketch(text) if "|" in line]
    columns = {index for line in lines for index, sign in enumerate(line) if sign == "*"}
    assert columns == set(range(40))
    assert sum(line.count("-") > 20 for line in lines) == 2
    highest = max(phase.points, key=lambda point: point.pressure)
    assert lines[0][phase.points.index(highest)] == "*"
