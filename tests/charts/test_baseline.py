"""The SVG chart: well formed, complete, inside its frame."""

from __future__ import annotations

import xml.etree.ElementTree as ET

import pytest

from limitcheck.charts.baseline import baseline_chart
from limitcheck.charts.svg import Frame
from tests.readings.logs import baseline, profile, runs

SVG = "{http://www.w3.org/2000/svg}"


def test_every_reading_and_level_is_drawn() -> None:
    found = baseline(runs(60, lambda i: i), of=profile())
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
    found = baseline(runs(n), of=profile())
    root = ET.fromstring(baseline_chart(found.phases[0], found).svg)
    for circle in root.findall(f"{SVG}circle"):
        assert 40 < float(circle.get("cx", "0")) < Frame.RIGHT + 1
        assert 5 < float(circle.get("cy", "0")) < Frame.BOTTOM + 1
    for text in root.iter(f"{SVG}text"):
        width = 6.2 * len(text.text or "")
        end = text.get("text-anchor") == "end"
        assert float(text.get("x", "0")) + (0 if end else width) <= Frame.WIDTH
        assert float(text.get("y", "0")) < Frame.HEIGHT
