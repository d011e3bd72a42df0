"""A pressure read at other conditions: what is printed of the band, and what is said, agree."""

from __future__ import annotations

import re
from datetime import date

import pytest

from limitcheck.diagnosis.conditions import RUNS_APART
from limitcheck.diagnosis.reading import Reading, read
from limitcheck.documents.reading import reading_document
from limitcheck.physics.predict import predict
from limitcheck.physics.system import Change
from limitcheck.render import text as terminal
from limitcheck.units import Pressure
from tests.profiles_for_tests import with_geometry

GRADIENT = """format = 1
[method]
id = "g1"
[instrument]
id = "i-1"
pressure_unit = "bar"
[cutoffs]
high = 300
low = 40
[expected]
low = 50
high = 95
basis = "measured"
[conditions]
flow = "1.0 mL/min"
temperature = "30 degC"
ambient = "22 degC"
solvent_a = "water"
solvent_b = "methanol"
gradient = [
    {minute = 0, percent_b = 10}, {minute = 15, percent_b = 90}, {minute = 25, percent_b = 90},
]
[[flow_path]]
part = "pump"
rating = "400 bar"
[[flow_path]]
part = "tubing"
length = "500 mm"
bore = "0.17 mm"
[[flow_path]]
part = "column"
length = "150 mm"
bore = "4.6 mm"
particle_size = "5 um"
[[flow_path]]
part = "tubing"
length = "300 mm"
bore = "0.17 mm"
"""
ISOCRATIC = re.sub(r"(?s)gradient = .*?\n]", "percent_b = 50", GRADIENT)
PEAK = Change(percent_b=46.0)


def of(text: str, bar: str, at: Change) -> tuple[Reading, str]:
    file = with_geometry(text)
    found = read(file.profile, Pressure.parse(f"{bar} bar"), at, in_doubt=False)
    document = reading_document(file, found, date(2026, 5, 1), "conditions changed", doubt="")
    return found, " ".join(terminal.render(document).split())


@pytest.mark.parametrize(
    ("bar", "position"),
    [
        ("78", "below normal"),
        ("86", "unknown"),
        ("92", "normal"),
        ("98.9", "normal"),
        ("103", "above normal"),
    ],
)
def test_each_end_of_a_gradients_band_moves_with_its_own_ratio(bar: str, position: str) -> None:
    """At the viscous middle the low end nearly doubles; the high end is surer, and decides."""
    found, _ = of(GRADIENT, bar, PEAK)
    assert found.position == position
    assert found.moved is not None
    profile = with_geometry(GRADIENT).profile
    run, peak = predict(profile), predict(profile, PEAK)
    assert found.moved.lowest.ratio.central == pytest.approx(
        peak.central / run.lowest.central, rel=1e-3
    )
    low, central, _ = found.moved.lowest.ratio
    assert central / low > 1.05
    assert found.moved.highest.ratio.central == pytest.approx(1.0, rel=1e-2)
    # the high end is of the highest run, and the others may lie lower: as low as the low end says
    assert float(found.moved.least) > 95e5 / 1.05 / RUNS_APART
    assert float(found.moved.least) == pytest.approx(50e5 * low, rel=2e-2)
    assert float(found.moved.most) == pytest.approx(95e5 * 1.05, rel=1e-2)


def test_the_text_says_from_which_end_each_number_comes() -> None:
    _, text = of(GRADIENT, "92", PEAK)
    assert "at the lowest point of the run 50 bar times 1.82 (1.69 to 1.96)" in text
    assert "at the highest 95 bar times 1" in text
    _, unknown = of(GRADIENT, "99.4", PEAK)
    assert "can't be told from normal" in unknown
    assert (
        "as far as that is known 83 to 100 bar: beside the ratios, a run may make 15 %" in unknown
    )


@pytest.mark.parametrize("flow", [0.7, 1.2])
def test_what_other_runs_may_make_is_not_said_of_a_run_as_long(flow: float) -> None:
    """There the open range is that of the ratio printed, times the ends of the band."""
    found, text = of(GRADIENT, "99.4", Change(flow=flow * 1e-6 / 60))
    assert found.moved is not None
    assert not found.moved.of_any_run
    assert float(found.moved.most) == pytest.approx(found.moved.highest.pascal[2], rel=0.01)
    assert "beside the ratios" not in text


@pytest.mark.parametrize("flow", [0.3, 0.7, 1.2, 1.7])
def test_a_reading_at_the_edge_printed_is_inside(flow: float) -> None:
    """With a ratio that is nearly exact, no number printed as the end is outside of it."""
    at = Change(flow=flow * 1e-6 / 60)
    moved = of(ISOCRATIC, "60", at)[0].moved
    assert moved is not None
    for end in (moved.low, moved.high):
        found, text = of(ISOCRATIC, end.number, at)
        assert found.position == "normal"
        assert "is normal for g1 on i-1" in text
    beyond, text = of(ISOCRATIC, f"{float(moved.most) / 1e5 * 1.02:.4g}", at)
    assert beyond.position == "above normal"
    ratio = re.search(r"times a predicted ratio of (\S+)(?: \((\S+) to (\S+)\))?\)", text)
    assert ratio is not None
    assert ratio[2] is None or ratio[2] != ratio[3]


def test_a_predicted_gradient_is_open_from_its_lowest_low_to_its_highest_high() -> None:
    bare = re.sub(r"\[expected\][^\[]*", "", GRADIENT)
    run = predict(with_geometry(bare).profile)
    found, text = of(bare, "120", Change())
    assert found.normal is not None
    assert found.normal.low == pytest.approx(run.lowest.low, rel=1e-3)
    assert found.normal.left_out > 0
    assert found.normal.high == pytest.approx(run.highest.high + found.normal.left_out)
    assert found.position == "unknown"
    assert "the least of the run's lowest point to the most of its highest" in text
    at_the_peak, _ = of(bare, "120", PEAK)
    assert at_the_peak.position == "unknown"
