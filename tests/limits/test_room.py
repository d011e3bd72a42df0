"""What would make room for a high cutoff: each way does, and none is offered that does not."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import pytest

from limitcheck.limits import propose
from limitcheck.limits.room import ways_to_make_room
from limitcheck.physics.ratio import ratio
from limitcheck.physics.system import Change
from limitcheck.policy import Margins
from limitcheck.profile.derated import FlowRating, TemperatureRating
from limitcheck.profile.hardware import column_index
from limitcheck.profile.load import load
from limitcheck.profile.model import Profile
from limitcheck.units import Flow, Length, Pressure, Quantity, Temperature
from tests.profiles_for_tests import profile_file

KESTREL = Path(__file__).parents[2] / "examples/transfer/kestrel-bay.toml"


def strained() -> Profile:
    """The example's method where its band leaves no room under 600 bar."""
    profile = load(KESTREL).profile
    assert profile.expected is not None
    band = {"low": Pressure.parse("400 bar"), "high": Pressure.parse("520 bar")}
    return profile.model_copy(update={"expected": profile.expected.model_copy(update=band)})


def test_what_would_make_room_does() -> None:
    profile, margins = strained(), Margins()
    assert propose(profile, margins).high is None
    found = {way.kind: way.value for way in ways_to_make_room(profile, margins).found}
    assert set(found) == {"rating", "flow", "temperature", "column length"}
    assert profile.expected is not None
    for kind, change in (
        ("flow", Change(flow=float(found["flow"] or 0))),
        ("temperature", Change(temperature=float(found["temperature"] or 0))),
        ("column length", Change(column_length=float(found["column length"] or 0))),
    ):
        # 540 bar (600 - 10 %) must be 10 % above the band's upper end, by the sure ratio.
        pressure = float(profile.expected.high) * ratio(profile, change).high
        assert pressure * 1.1 <= 540e5, kind
        assert pressure * 1.1 > 0.97 * 540e5, kind
    assert isinstance(found["temperature"], Temperature)
    assert isinstance(found["column length"], Length)
    # 520 bar + 10 % = 572 bar = 635.6 bar - 10 %: a rating of 636 bar.
    assert str(found["rating"]) == "636 bar"


def test_where_nothing_can_be_predicted_it_is_said() -> None:
    found = ways_to_make_room(profile_file(expected_high="380").profile, Margins())
    assert [way.kind for way in found.found] == ["rating"]
    assert found.not_computed == "no conditions.flow"
    assert ways_to_make_room(profile_file().profile, Margins()).found == ()
    inverted = profile_file(expected_low="200", expected_high="120").profile
    assert ways_to_make_room(inverted, Margins()).found == ()


def test_a_margin_or_a_field_that_leaves_no_room() -> None:
    file = profile_file(step="1\nentry_max = 210")
    assert [r.text for r in ways_to_make_room(file.profile, Margins()).found] == [
        "a field that takes 220 bar"
    ]
    kinds = [
        r.kind
        for r in ways_to_make_room(profile_file().profile, Margins(high=Fraction(1, 20))).found
    ]
    assert kinds == ["margin"]


def test_a_lower_flow_is_held_to_the_rating_at_that_flow() -> None:
    profile = strained()
    assert profile.conditions is not None
    flow = profile.conditions.flow
    assert flow is not None
    half = Flow.of(flow.to(flow.unit) / 2, flow.unit)
    points = tuple(
        FlowRating.model_construct(flow=at, rating=Pressure.parse(rating))
        for at, rating in ((half, "600 bar"), (flow, "300 bar"))
    )
    pump = profile.flow_path[0].model_copy(update={"rating_at_flow": points, "interpolate": True})
    derated = profile.model_copy(update={"flow_path": (pump, *profile.flow_path[1:])})
    found = {way.kind: way for way in ways_to_make_room(derated, Margins()).found}
    # By hand, pressure in proportion to flow: 520 bar * 1.1 * s = 0.9 * (900 - 600 s) bar.
    share = float(found["flow"].value or 0) / float(flow)
    assert share == pytest.approx(810 / 1112, rel=0.03)
    assert found["flow"].text == f"flow at most {found['flow'].value}"


def test_where_two_bounds_are_too_low_raising_one_is_not_offered_alone() -> None:
    profile = profile_file(step="1\nentry_max = 400", expected_high="390").profile
    (found,) = ways_to_make_room(profile, Margins()).found
    # By hand: 390 bar * 1.1 = 429 bar to be typed, 429 / 0.9 = 476.7 bar to be held.
    assert found.text == (
        "every part up to the column rated 477 bar or more, "
        "together with a field that takes 429 bar"
    )


def with_table(profile: Profile, place: int, by: str, *points: tuple[Quantity, str]) -> Profile:
    """The profile with a derating table of one part, each rating up to its point."""
    kind = FlowRating if by == "flow" else TemperatureRating
    table = tuple(
        kind.model_construct(**{by: at}, rating=Pressure.parse(holds)) for at, holds in points
    )
    part = profile.flow_path[place].model_copy(update={f"rating_at_{by}": table})
    parts = (*profile.flow_path[:place], part, *profile.flow_path[place + 1 :])
    return profile.model_copy(update={"flow_path": parts})


@pytest.mark.parametrize(("warm", "offered"), [("600 bar", True), ("300 bar", False)])
def test_a_warmer_column_is_held_to_the_rating_at_that_temperature(
    warm: str, offered: bool
) -> None:
    profile = strained()
    assert profile.conditions is not None
    own = profile.conditions.temperature
    assert own is not None
    points = (own, "600 bar"), (Temperature.parse("90 degC"), warm)
    derated = with_table(profile, column_index(profile), "temperature", *points)
    kinds = {way.kind for way in ways_to_make_room(derated, Margins()).found}
    assert ("temperature" in kinds) is offered
    assert "flow" in kinds


def test_a_lower_flow_may_be_one_that_a_table_reaches() -> None:
    """At the method's own flow nothing is known of the pump, at half of it that it holds enough."""
    profile = strained()
    assert profile.conditions is not None
    flow = profile.conditions.flow
    assert flow is not None
    half = Flow.of(flow.to(flow.unit) / 2, flow.unit)
    short = with_table(profile, 0, "flow", (half, "600 bar"))
    assert "only for less" in (propose(short, Margins()).no_high or "")
    found = {way.kind: way.value for way in ways_to_make_room(short, Margins()).found}
    assert isinstance(found["flow"], Flow)
    assert found["flow"].value <= half.value
    assert float(found["flow"]) == pytest.approx(float(half), rel=0.01)
    assert "column length" not in found  # nor is the pump known to hold that


def test_without_a_temperature_a_lower_flow_makes_room_and_heat_is_not_worked_out() -> None:
    profile = strained()
    assert profile.conditions is not None
    own = profile.conditions.model_copy(update={"temperature": None})
    found = ways_to_make_room(profile.model_copy(update={"conditions": own}), Margins())
    assert {way.kind for way in found.found} == {"rating", "flow"}
    assert "temperature of the columns is not given" in (found.not_computed or "")


@pytest.mark.parametrize("bar", [520, 525, 526])
def test_no_column_is_proposed_warmer_than_80_degc(bar: int) -> None:
    """From 60 degC; 80 degC makes 93.4 % of the pressure at most: just enough of 525 bar."""
    profile = strained()
    assert profile.conditions is not None
    assert profile.expected is not None
    hot = profile.conditions.model_copy(update={"temperature": Temperature.of(60, "degC")})
    band = profile.expected.model_copy(update={"high": Pressure.of(bar, "bar")})
    profile = profile.model_copy(update={"conditions": hot, "expected": band})
    least = ratio(profile, Change(temperature=353.15)).high
    assert (1.1 * bar * least <= 540) == (bar < 526)
    found = {way.kind: way.value for way in ways_to_make_room(profile, Margins()).found}
    warmer = found.get("temperature")
    assert (warmer is None) == (bar == 526)
    if warmer is not None:
        assert (float(warmer) == pytest.approx(353.15)) == (bar == 525)


def test_a_field_that_takes_just_what_is_needed_is_not_in_the_way() -> None:
    """380 bar + 10 % is 418 bar: a field that takes 417 bar is too small, one of 418 bar is not."""
    for most, told in ((417, True), (418, False)):
        made = profile_file(expected_high="380", step=f"1\nentry_max = {most}").profile
        (way,) = ways_to_make_room(made, Margins()).found
        assert way.kind == "rating"
        assert ("a field that takes 418 bar" in way.text) == told
