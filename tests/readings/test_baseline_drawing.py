"""The SVG chart: well formed, complete, and safe with any name."""

from __future__ import annotations

import xml.etree.ElementTree as ET

import pytest

from limitcheck.report.baseline_drawing import _step, drawing
from tests.readings.logs import baseline, profile, runs

SVG = "{http://www.w3.org/2000/svg}"


def test_every_reading_and_level_is_drawn() -> None:
    found = baseline(runs(60, lambda i: i), of=profile())
    root = ET.fromstring(drawing(found.phases[0], found, "tea"))
    assert len(root.findall(f"{SVG}circle")) == 60
    texts = [element.text or "" for element in root.iter(f"{SVG}text")]
    assert "high cutoff 260" in texts
    assert "low cutoff 30" in texts
    assert sum(text.startswith("band ") for text in texts) == 2
    assert root.get("role") == "img"
    assert root.find(f"{SVG}title").get("id") == "tea-title"  # type: ignore[union-attr]


def test_everything_stays_inside() -> None:
    found = baseline(runs(200), of=profile())
    root = ET.fromstring(drawing(found.phases[0], found))
    for circle in root.findall(f"{SVG}circle"):
        assert 50 < float(circle.get("cx", "0")) < 620
        assert 10 < float(circle.get("cy", "0")) < 265


@pytest.mark.parametrize("n", [1, 2, 4])
def test_few_readings(n: int) -> None:
    found = baseline(runs(n))
    assert ET.fromstring(drawing(found.phases[0], found)) is not None


def test_names_are_escaped() -> None:
    text = runs(20, header="time,pressure (bar),phase",
                row=lambda t, p, i: f"{t:%Y-%m-%d},{p:.0f},<script>&")  # fmt: skip
    found = baseline(text)
    assert "<script>" not in drawing(found.phases[0], found)


@pytest.mark.parametrize("span", [0.003, 1, 1.7, 8, 9.99, 230, 12345])
def test_step_is_round(span: float) -> None:
    assert 3 <= span / _step(span) <= 10
    assert f"{_step(span):.1e}"[0] in "125"
