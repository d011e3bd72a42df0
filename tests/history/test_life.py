"""A column's life: when it will be worn, and where nothing is said of it."""

from __future__ import annotations

import io
import json
import math
from datetime import datetime, timedelta
from pathlib import Path
from random import Random
from xml.etree import ElementTree

import numpy
import pytest

from limitcheck.cli.app import run
from limitcheck.history.layout import Options
from limitcheck.history.life import Life, find_lives
from limitcheck.history.log import Choice
from tests.documents.schemas import violations
from tests.history.creep_study import coverage
from tests.profiles_for_tests import WITH_GEOMETRY, with_geometry


def log(rise: float = 0.25, *, n: int = 60, serial: str = "C-7", seed: int = 4) -> str:
    """20 injections every two days; every fifth run at 0.8 mL/min."""
    rng, lines = Random(seed), ["time,pressure (bar),column serial,injections,flow (mL/min)"]
    for i in range(n):
        flow = 1.0 if i % 5 else 0.8
        time = datetime(2026, 1, 5, 9) + timedelta(days=2 * i)
        pressure = (158 + rise * i + rng.gauss(0, 1.5)) * flow
        lines.append(f"{time:%Y-%m-%d %H:%M},{pressure:.1f},{serial},{20 * i + 5},{flow}")
    return "\n".join(lines) + "\n"


def life(text: str, worn: float = 200.0, *, profile: bool = True) -> Life:
    of = with_geometry().profile if profile else None
    found = find_lives(io.BytesIO(text.encode()), "a.csv", Options(), Choice(), of, worn)
    assert len(found) == 1
    return found[0]


def test_when_a_column_will_be_worn() -> None:
    """158 + 0.25 i = 200 at i = 168: 3,365 injections, 336 days in."""
    found = life(log())
    assert found.reference_flow == 1.0
    assert found.worn_at is not None
    assert found.worn_at.central == pytest.approx(3365, rel=0.03)
    assert found.worn_at.low < 3365 < (found.worn_at.high or 0)
    assert found.worn_at.date is not None
    assert abs(found.worn_at.date - datetime(2026, 12, 7)) < timedelta(days=12)


def test_interval_against_numpy() -> None:
    """Fieller's interval: both ends are where the band of the fitted line meets the pressure."""
    found = life(log(seed=4))
    assert found.worn_at is not None
    x = numpy.array([p.injections for p in found.points])
    y = numpy.array([p.pressure for p in found.points])
    slope, start = numpy.polyfit(x, y, 1)
    assert found.worn_at.central == pytest.approx((200 - start) / slope, rel=1e-6)
    rest = y - start - slope * x
    s = numpy.sqrt((rest**2).sum() / (len(x) - 2))
    t = 2.0017  # Student, 58 degrees of freedom, 95 %: from memory
    for end in (found.worn_at.low, found.worn_at.high):
        assert end is not None
        band = t * s * numpy.sqrt(1 / len(x) + (end - x.mean()) ** 2 / ((x - x.mean()) ** 2).sum())
        assert abs(start + slope * end - 200) == pytest.approx(band, rel=0.15)


def test_without_a_profile_pressures_are_taken_to_the_first_flow() -> None:
    found = life(log(), profile=False)
    assert found.reference_flow == 0.8
    assert max(p.pressure for p in found.points) < 145


def test_a_rise_that_is_no_straight_line() -> None:
    lines = [
        f"{datetime(2026, 1, 5) + timedelta(days=i):%Y-%m-%d},{158 + math.exp(i / 16) - 1:.1f}"
        for i in range(60)
    ]
    found = life("time,pressure (bar)\n" + "\n".join(lines) + "\n")
    assert found.worn_at is None or found.worn_at.central < 70
    spike = log(0.0, n=40) + "2026-05-01,260,C-7,1000,1.0\n"
    assert "last reading is at or above" in (life(spike).why_none or "")
    below = "".join(f"2026-03-{d:02d},150,C-7,{900 + d},1.0\n" for d in range(1, 20))
    assert life(log(0.0, n=12) + below, 155.0).reached is None


@pytest.mark.parametrize(
    ("text", "worn", "why"),
    [
        (log(0.0), 200, "does not rise beyond doubt"),
        (log(-0.2), 200, "does not rise beyond doubt"),
        (log(n=8), 200, "fewer than 12 readings"),
        (log(), 165, "it is reached"),
    ],
)
def test_no_day_is_named(text: str, worn: float, why: str) -> None:
    found = life(text, worn)
    assert found.worn_at is None
    assert found.why_none is not None
    assert why in found.why_none
    assert (found.reached is not None) == (worn == 165)


def test_each_column_has_its_life() -> None:
    both = log() + log(serial="C-8").split("\n", 1)[1].replace("2026", "2027")
    found = find_lives(io.BytesIO(both.encode()), "a.csv", Options(), Choice(), None, 300.0)
    assert [each.serial for each in found] == ["C-7", "C-8"]
    assert [each.readings for each in found] == [60, 60]


@pytest.mark.parametrize("phi", [0.0, 0.5])
def test_the_interval_holds(phi: float) -> None:
    """creep_study.py: 93 to 98 % for 20 to 200 readings."""
    named, held = coverage(60, 100, phi)
    assert named > 0.8
    assert held >= 0.88


def test_command(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    tea, runs = tmp_path / "tea.toml", tmp_path / "runs.csv"
    tea.write_text(WITH_GEOMETRY)
    runs.write_text(log())
    svg, page = tmp_path / "a.svg", tmp_path / "a.html"
    call = ["baseline", str(runs), "--profile", str(tea), "--worn", "2900 psi"]
    assert run([*call, "--picture", str(svg), "-o", str(page), "--format", "json"]) == 1
    data = json.loads(capsys.readouterr().out)
    assert violations("baseline", data) == []
    assert data["lives"][0]["serial"] == "C-7"
    root = ElementTree.fromstring(svg.read_text())
    assert root.find("{http://www.w3.org/2000/svg}title") is not None
    assert "Life of column C-7" in svg.read_text()
    assert "Life of column C-7" in page.read_text()
    assert run([*call[:-1], "0 bar"]) == 2
    assert "is not above zero" in capsys.readouterr().err
    assert run([*call[:-1], "900 bar"]) == 2
    assert "above what the pump holds" in " ".join(capsys.readouterr().err.split())
    runs.write_text(log().replace(",1.0\n", ",fast\n"))
    assert run(call) == 2
    assert "runs.csv:3:" in " ".join(capsys.readouterr().err.split())
