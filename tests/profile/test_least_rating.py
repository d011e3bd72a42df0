"""Where a derating table goes by what is not given, it is not known what a part holds."""

from __future__ import annotations

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from limitcheck.checks.engine import check_profile
from limitcheck.limits import propose
from limitcheck.policy import DEFAULT_POLICY, Margins, margins_for
from limitcheck.profile.hardware import under_pressure, weakest
from limitcheck.profile.model import Profile
from limitcheck.profile.unrated import not_rated, unrated
from tests.physics.profiles import CELL, PUMP, column, conditions, profile

TODAY = date(2026, 11, 27)
BY_FLOW = '[{flow = "0.2 mL/min", rating = "400 bar"}, {flow = "1 mL/min", rating = "200 bar"}]'
BY_HEAT = (
    '[{temperature = "15 degC", rating = "350 bar"}, {temperature = "40 degC", rating = "200 bar"}]'
)
PUMP_ALONE, CELL_ALONE = '{part = "pump"}', '{part = "detector cell"}'
HIGH_PUMP = PUMP.replace("400 bar", "600 bar")


def proposed(made: Profile) -> str:
    found = propose(made, margins_for(made, DEFAULT_POLICY))
    return str(found.high.pressure) if found.high is not None else str(found.no_high)


@pytest.mark.parametrize(
    ("table", "own"),
    [
        (f"rating_at_flow = {BY_FLOW}", {"flow": ""}),
        (f"rating_at_temperature = {BY_HEAT}", {"temperature": ""}),
    ],
)
def test_no_cutoff_is_proposed_where_the_point_of_a_table_is_unknown(
    table: str, own: dict[str, str]
) -> None:
    part = column(rating='"400 bar"').rstrip().removesuffix("}") + f", {table}}}"
    band = "{low = 90, high = 110}"
    made = profile(HIGH_PUMP, part, conditions=conditions(**own), expected=band)
    least = weakest(under_pressure(made))
    assert least is not None
    assert str(least.pressure) == "200 bar"
    assert "not given" in least.told
    assert any("without the" in text for text in unrated(made))
    assert "which is not given" in proposed(made)  # nothing says that it is within the table


def outside(celsius: str, ambient: str) -> Profile:
    tube = (
        '{part = "tubing", length = "300 mm", bore = "0.17 mm", rating = "350 bar", '
        f"rating_at_temperature = {BY_HEAT}}}"
    )
    own = conditions(temperature=f'"{celsius}"', ambient=ambient)
    cutoffs, expected = "cutoffs = {high = 300, low = 20}", "{low = 150, high = 240}"
    strong = column(rating='"600 bar"')
    return profile(HIGH_PUMP, tube, strong, conditions=own, cutoffs=cutoffs, expected=expected)


@pytest.mark.parametrize(
    ("celsius", "ambient", "holds", "told"),
    [
        ("10 degC", '"30 degC"', "200 bar", "broken"),  # as warm as the room
        ("10 degC", "", "200 bar", "not decided"),  # a room may be warm
        ("10 degC", '"14 degC"', "350 bar", "holds"),
        ("40 degC", "", "200 bar", "broken"),  # as warm as the oven, the safe way
    ],
)
def test_what_is_outside_a_cooled_oven_is_as_warm_as_the_room(
    celsius: str, ambient: str, holds: str, told: str
) -> None:
    made = outside(celsius, ambient)
    least = weakest(under_pressure(made))
    assert least is not None
    assert str(least.pressure) == holds
    report = check_profile(made, DEFAULT_POLICY, TODAY)
    name = "high-cutoff-above-rating"
    broken = any(finding.check == name for finding in report.findings)
    skipped = any(item.check == name for item in report.undecided)
    assert (broken, skipped) == (told == "broken", told == "not decided")


BAND = "{low = 90, high = 110}"
SHORT = 'rating_at_flow = [{flow = "0.5 mL/min", rating = "60 bar"}]'


def rated_by(part: str, table: str) -> str:
    return f"{part.removesuffix('}')}, {table}}}"


def test_a_table_of_what_is_behind_the_column_keeps_no_cutoff_open() -> None:
    """The high cutoff is not on it in normal work."""
    strong, cell = column(rating='"400 bar"'), '{part = "detector cell"}'
    made = profile(HIGH_PUMP, strong, rated_by(cell, SHORT), expected=BAND)
    plain = profile(HIGH_PUMP, strong, CELL, expected=BAND)
    assert (not_rated(made), unrated(made)) == (None, ())
    assert proposed(made) == proposed(plain) == "137 bar"  # 110 bar and 25 %
    before = profile(HIGH_PUMP, rated_by('{part = "mixer"}', SHORT), strong, expected=BAND)
    assert proposed(before).startswith("the mixer has no rating at 1.0 mL/min, only for less")


def test_a_table_by_temperature_alone_is_a_rating() -> None:
    by_heat = BY_HEAT.replace("200 bar", "180 bar")
    made = profile(
        HIGH_PUMP, rated_by(column(), f"rating_at_temperature = {by_heat}"), expected=BAND
    )
    assert (not_rated(made), unrated(made)) == (None, ())
    assert proposed(made) == "137 bar"
    hotter = {"temperature": '"60 degC"'}
    beyond = profile(
        *written(f"rating_at_temperature = {by_heat}"), conditions=conditions(**hotter)
    )
    assert unrated(beyond) == ("column at a temperature of 60 degC",)


def written(table: str) -> tuple[str, str]:
    return HIGH_PUMP, rated_by(column(), table)


@pytest.mark.parametrize("by", ["flow", "temperature"])
def test_what_a_table_lacks_is_said_once(by: str) -> None:
    table = f"rating_at_{by} = {BY_FLOW if by == 'flow' else BY_HEAT}"
    made = profile(*written(table), conditions=conditions(**{by: ""}))
    assert unrated(made) == (f"column without the {by}",)


PLATES = ("400 bar", "250 bar", "200 bar")


@st.composite
def known_parts(draw: st.DrawFn) -> list[tuple[str, str, list[str]]]:
    """Parts with a plain rating or none, and a table by flow of up to three falling points."""
    parts = []
    for part in (PUMP_ALONE, '{part = "injector"}', column(), CELL_ALONE):
        plain = draw(st.sampled_from(["", 'rating = "400 bar"']))
        flows = sorted(draw(st.sets(st.sampled_from([0.2, 0.5, 1.0, 2.0, 5.0]), max_size=3)))
        table = [
            f'{{flow = "{flow} mL/min", rating = "{holds}"}}'
            for flow, holds in zip(flows, PLATES, strict=False)
        ]
        parts.append((part, plain, table))
    return parts


def made_of(parts: list[tuple[str, str, list[str]]], flow: str) -> Profile:
    texts = []
    for part, plain, table in parts:
        listed = f"rating_at_flow = [{', '.join(table)}]" if table else ""
        texts.append(part.removesuffix("}") + "".join(f", {k}" for k in (plain, listed) if k) + "}")
    return profile(*texts, conditions=conditions(flow=flow), expected=BAND)


@given(parts=known_parts(), place=st.integers(0, 2), flow=st.sampled_from(['"1.0 mL/min"', ""]))
def test_of_a_table_that_ends_earlier_or_a_flow_not_given_no_more_passes(
    parts: list[tuple[str, str, list[str]]], place: int, flow: str
) -> None:
    """Nor where a pump or column is not rated at all."""
    before = propose(made_of(parts, flow), Margins())
    part, plain, table = parts[place]
    less = []
    if len(table) > 1:
        shorter = [*parts[:place], (part, plain, table[:-1]), *parts[place + 1 :]]
        less.append(made_of(shorter, flow))
    less.append(made_of(parts, ""))
    if place != 1:  # what nobody says of an injector is taken to be no less than of the pump
        less.append(made_of([*parts[:place], (part, "", []), *parts[place + 1 :]], flow))
    for made in less:
        found = propose(made, Margins())
        assert found.high is None or (
            before.high is not None and found.high.pressure <= before.high.pressure
        )
        assert set(found.unrated) == {name for name in unrated(made) if " " not in name}
