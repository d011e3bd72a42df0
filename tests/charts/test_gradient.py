"""The predicted pressure over a gradient, drawn and sketched."""

from __future__ import annotations

from xml.etree import ElementTree

import pytest

from limitcheck.charts.gradient import gradient_curve
from limitcheck.charts.sketch import COLUMNS
from limitcheck.physics.course import Course, course
from limitcheck.physics.predict import predict
from limitcheck.profile.load import load_bytes
from limitcheck.profile.model import Profile

from ..render.runs import GRADIENT


def seen(profile: Profile) -> Course:
    return course(profile, predict(profile).ready)


SVG = "{http://www.w3.org/2000/svg}"


def test_the_gradient_curve_has_its_peak_where_the_prediction_has():
    profile = load_bytes(GRADIENT.encode(), "tea.toml").profile
    drawing = gradient_curve(profile, seen(profile))
    root = ElementTree.fromstring(drawing.svg)
    points = [
        tuple(map(float, pair.split(",")))
        for pair in root.find(f"{SVG}polyline").get("points").split()
    ]
    minute = next(float(t.get("x")) for t in root.iter(f"{SVG}text") if t.text == "10")
    zero = min(x for x, _ in points)
    highest = [x for x, y in points if y == min(y for _, y in points)]
    peak = sum(highest) / len(highest)  # flat there, to a tenth of a pixel
    assert (peak - zero) / (minute - zero) * 10 == pytest.approx(
        seen(profile).highest.minute, abs=0.2
    )


def test_the_sketch_has_its_peak_there_too_and_fits_a_terminal():
    profile = load_bytes(GRADIENT.encode(), "tea.toml").profile
    legend, *lines, _, times = gradient_curve(profile, seen(profile)).sketch
    assert legend == "In bar; * central, . interval"
    assert max(map(len, lines)) <= 58
    assert times.split() == ["0", "12.0", "min"]
    rows = [line.partition("|")[2] for line in lines]
    highest = next(row for row in rows if "*" in row)
    columns = [column for column, sign in enumerate(highest) if sign == "*"]
    peak = seen(profile).highest.minute / 12 * (max(map(len, rows)) - 1)
    assert min(columns) - 1 <= peak <= max(columns) + 1
    assert max(columns) < 0.8 * max(map(len, rows))


def test_the_chart_says_in_words_what_it_shows():
    profile = load_bytes(GRADIENT.encode(), "tea.toml").profile
    drawing = gradient_curve(profile, seen(profile))
    found = seen(profile)
    assert f"highest at {found.highest.minute:.2f} min" in drawing.description
    words = [text.text for text in ElementTree.fromstring(drawing.svg).iter(f"{SVG}text")]
    assert "high cutoff 110" in words
    assert "low cutoff 30" in words


def test_a_cutoff_far_above_is_told_and_not_drawn():
    far = GRADIENT.replace("high = 110\n", "high = 990\n")
    assert far != GRADIENT
    profile = load_bytes(far.encode(), "tea.toml").profile
    drawing = gradient_curve(profile, seen(profile))
    assert "high cutoff 990 bar, far above, is not drawn" in drawing.caption
    assert "cutoff 990" not in drawing.svg
    near = load_bytes(GRADIENT.encode(), "tea.toml").profile
    assert "not drawn" not in gradient_curve(near, seen(near)).caption


def test_a_short_step_of_a_long_run_stands_at_its_minute():
    """Moments are not even over the run; the pictures are."""
    text = GRADIENT.replace(
        GRADIENT[
            GRADIENT.index("gradient = [") : GRADIENT.index("]", GRADIENT.index("gradient = ["))
        ],
        "gradient = [{minute = 0, percent_b = 5}, {minute = 150, percent_b = 5}, "
        "{minute = 150.1, percent_b = 46}, {minute = 151.5, percent_b = 46}, "
        "{minute = 151.6, percent_b = 5}, {minute = 200, percent_b = 5}",
    )
    text = text.replace("acetonitrile", "methanol")
    profile = load_bytes(text.encode(), "pulse.toml").profile
    run = seen(profile)
    _, *lines, _, _ = gradient_curve(profile, run).sketch
    top = next(row for row in (line.partition("|")[2] for line in lines) if "*" in row)
    columns = [column for column, sign in enumerate(top) if sign == "*"]
    assert columns == [int(COLUMNS * run.highest.minute / run.points[-1].minute)]
