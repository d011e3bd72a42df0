"""What is normal at one composition of a gradient: both ends of its band, and pairs, together."""

from __future__ import annotations

import re
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from limitcheck.diagnosis.conditions import HIGH_END, LOW_END, _of_any_run, moved_band
from limitcheck.diagnosis.isolation import Isolation, isolate
from limitcheck.diagnosis.one_pressure import Statement, together, varied
from limitcheck.diagnosis.reading import read
from limitcheck.documents.reading import reading_document
from limitcheck.physics.predict import predict
from limitcheck.physics.system import Change
from limitcheck.profile.load import ProfileFile
from limitcheck.render import text as terminal
from limitcheck.units import Pressure
from tests.diagnosis.test_known_total import LONG_TUBING
from tests.profiles_for_tests import with_geometry

METHOD = """format = 1
[method]
id = "M"
[instrument]
id = "I"
pressure_unit = "bar"
display_step = 1
dwell_volume = "<dwell> mL"
[cutoffs]
high = 700
low = 35
[expected]
low = <low>
high = <high>
basis = "measured"
[conditions]
flow = "<flow> mL/min"
temperature = "30 degC"
ambient = "21 degC"
solvent_a = "water"
solvent_b = "methanol"
gradient = [<gradient>]
[[flow_path]]
part = "pump"
rating = "1300 bar"
[[flow_path]]
part = "tubing"
length = "600 mm"
bore = "<tube> mm"
[[flow_path]]
part = "injector"
[[flow_path]]
part = "column"
length = "<length> mm"
bore = "<bore> mm"
particle_size = "<particle> um"
[[flow_path]]
part = "tubing"
length = "300 mm"
bore = "<tube> mm"
[[flow_path]]
part = "detector cell"
"""


def method(points: str, **values: str) -> str:
    """The method, with points such as "0 5" of its gradient."""
    pairs = [point.split() for point in points.split(", ")]
    values["gradient"] = ", ".join(f"{{minute = {m}, percent_b = {b}}}" for m, b in pairs)
    return re.sub(r"<(\w+)>", lambda found: values[found[1]], METHOD)


ENDS_AT_ITS_WASH = method(
    "0 5, 10 60, 10.5 100",
    dwell="1", low="104", high="158", flow="1.0", tube="0.17", length="250", bore="4.6",
    particle="5",
)  # fmt: skip
MIXED_PEAK = method(
    "0 5, 3 5, 3 95, 4 95, 4 5, 6 5",
    dwell="0.3", low="193", high="380", flow="0.4", tube="0.12", length="50", bore="2.1",
    particle="1.9",
)  # fmt: skip
PAIRS = """
[[measured]]
pressure = "{} bar"
flow = "1 mL/min"
percent_b = 5
[[measured]]
pressure = "{} bar"
flow = "0.5 mL/min"
percent_b = 5
"""
START = Change(percent_b=5.0)


def told(text: str, bar: float, at: Change | None = None) -> tuple[str, str]:
    """Where a pressure lies, and what is printed of it."""
    file: ProfileFile = with_geometry(text)
    found = read(file.profile, Pressure.parse(f"{bar} bar"), at, in_doubt=False)
    document = reading_document(
        file, found, date(2026, 5, 1), "percent-b" if at else None, doubt=""
    )
    assert found.good == (found.position == "normal")
    return found.position, " ".join(terminal.render(document).split())


def everything(text: str, bar: float, at: Change | None = None) -> Isolation:
    profile = with_geometry(text).profile
    return isolate(profile, {"all": Pressure.parse(f"{bar} bar")}, at=at, in_doubt=False)


@pytest.mark.parametrize(
    ("text", "bar", "percent_b"),
    [
        (ENDS_AT_ITS_WASH, 132, 5.0),  # 104 is right
        (ENDS_AT_ITS_WASH + PAIRS.format(104, 52), 132, 5.0),
        (MIXED_PEAK, 560, 47.1),  # 409
        (MIXED_PEAK, 350, 5.0),  # 265
    ],
)
def test_far_above_what_the_column_makes_is_not_normal(
    text: str, bar: float, percent_b: float
) -> None:
    there = Change(percent_b=percent_b)
    assert told(text, bar, there)[0] == "above normal"
    right = predict(with_geometry(text).profile, there).central / 1e5
    assert bar > 1.25 * right
    # Of a peak of which nobody knows how much it is mixed, it can't be told.
    assert told(text, round(right, 1), there)[0] == ("unknown" if text is MIXED_PEAK else "normal")


@pytest.mark.parametrize("bar", [150, 175])
def test_isolate_calls_normal_what_reading_does(bar: float) -> None:
    for text in (ENDS_AT_ITS_WASH, ENDS_AT_ITS_WASH + PAIRS.format(104, 52)):
        found = everything(text, bar)
        assert found.verdict == "undecided"
        assert "with everything connected is above normal" in found.message
        assert told(text, bar, START)[0] == "above normal"


@given(st.floats(60.0, 160.0))
def test_isolate_and_reading_decide_alike(bar: float) -> None:
    verdicts = {"normal": "normal", "below normal": "low"}
    found = told(ENDS_AT_ITS_WASH, round(bar, 1), START)[0]
    assert everything(ENDS_AT_ITS_WASH, round(bar, 1)).verdict == verdicts.get(found, "undecided")


def test_why_an_end_is_doubtful_is_said() -> None:
    assert "how long its composition is held is not known" in told(ENDS_AT_ITS_WASH, 104, START)[1]
    assert (
        "how much is mixed on the way to the column is not known" in told(MIXED_PEAK, 265, START)[1]
    )


def test_between_both_it_can_not_be_told_and_what_would_tell_is_said() -> None:
    position, text = told(ENDS_AT_ITS_WASH, 111, START)
    assert position == "unknown"
    assert "can't be told from normal" in text
    assert "A pressure read there on a good day tells." in text
    found = everything(ENDS_AT_ITS_WASH, 111)
    assert found.verdict == "undecided"
    assert "can't be told from normal (99 bar to 109 bar, and as far as" in found.message
    assert "--normal all=" in found.message


def test_an_isocratic_band_at_another_flow_is_as_sure_for_both() -> None:
    text = LONG_TUBING.format(low=245, high=255, basis="measured")
    slow = Change(flow=0.2e-6 / 60)
    moved = moved_band(with_geometry(text).profile, slow)
    assert moved is not None
    assert moved.high is not None
    between = (float(moved.high) + float(moved.most)) / 2e5
    assert told(text, round(between, 2), slow)[0] == "unknown"
    assert everything(text, round(between, 2), slow).verdict == "undecided"


def test_ends_that_contradict_each_other_call_nothing_normal() -> None:
    wrong = MIXED_PEAK.replace("high = 380", "high = 650")
    for bar in (265, 300, 400, 600):
        position, text = told(wrong, bar, START)
        assert position in ("unknown", "above normal")
        assert "the low end of the band (" in text
        assert "contradict each other" in text
    found = everything(wrong, 300)
    assert found.verdict == "undecided"
    assert "the low end of the band and its high end contradict each other" in found.message


def test_pairs_that_contradict_the_band_are_told() -> None:
    text = told(ENDS_AT_ITS_WASH + PAIRS.format(150, 75), 104, START)
    assert text[0] == "unknown"
    assert "the measured pairs (" in text[1]
    assert "contradict each other" in text[1]


def test_pairs_narrow_what_is_open() -> None:
    bare = moved_band(with_geometry(ENDS_AT_ITS_WASH).profile, START)
    paired = moved_band(with_geometry(ENDS_AT_ITS_WASH + PAIRS.format(98, 49)).profile, START)
    assert bare is not None
    assert paired is not None
    assert paired.pairs is not None
    assert paired.most < bare.most
    assert paired.least >= bare.least


@pytest.mark.parametrize("bar", [175, 218, 300, 320])
def test_a_predicted_band_calls_nothing_normal(bar: float) -> None:
    typed = LONG_TUBING.format(low=171, high=324, basis="predicted")
    for text in (typed, re.sub(r"\[expected\][^\[]*", "", typed)):
        position, words = told(text, bar)
        assert position == "unknown"
        assert "can't be told from normal" in words
        assert "predicted, not measured" in words
        found = everything(text, bar)
        assert found.verdict == "undecided"
        assert "can't be told from normal (predicted, not measured: 171" in found.message


def test_drops_as_predicted_are_not_called_normal() -> None:
    text = LONG_TUBING.format(low=171, high=324, basis="predicted")
    steps = {"all": 240, "column-outlet": 236, "column-inlet": 66, "valve-inlet": 52}
    readings = {name: Pressure.parse(f"{value} bar") for name, value in steps.items()}
    found = isolate(with_geometry(text).profile, readings, in_doubt=False)
    assert found.verdict == "undecided"
    assert "predicted" in found.message


statements = st.builds(
    lambda low, up, more, anywhere: Statement("one", low, low * up, low * up * more, anywhere),
    st.floats(90.0, 110.0),
    st.floats(1.0, 1.3),
    st.floats(1.0, 1.3),
    st.booleans(),
)


@given(st.lists(statements, min_size=1, max_size=3), st.floats(80.0, 200.0))
def test_what_every_statement_allows_is_open(made: list[Statement], pascal: float) -> None:
    each = [varied(s) for s in made]
    found = together(each)
    if all(s.low <= pascal <= s.high for s in each):
        assert not found.apart
        assert found.least <= pascal <= found.most
    if found.apart:
        assert found.normal is None
    if found.normal is not None:
        low, high = found.normal
        assert found.least <= low <= high <= found.most
        assert high <= 1.12 * low


@pytest.mark.parametrize(("low", "high"), [(100.0, 110.0), (80.0, 90.0)])
def test_an_end_of_a_band_is_of_its_lowest_or_highest_run(low: float, high: float) -> None:
    """Seven per cent from day to day, either way: 15 % between the lowest and the highest run."""
    least = _of_any_run(Statement(LOW_END, low, 0.5 * (low + high), high))
    assert (least.low, least.high) == (low, pytest.approx(1.15 * high, rel=2e-3))
    most = _of_any_run(Statement(HIGH_END, low, 0.5 * (low + high), high))
    assert (most.low, most.high) == (pytest.approx(low / 1.15, rel=2e-3), high)
