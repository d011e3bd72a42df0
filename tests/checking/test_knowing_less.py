"""Knowing less never passes where knowing more is refused."""

from __future__ import annotations

import tomllib
from datetime import date
from decimal import Decimal
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from limitcheck.checking.entry import ask
from limitcheck.checking.file import left_open
from limitcheck.checking.proposed import cutoffs_to_type
from limitcheck.checks.engine import check_profile
from limitcheck.checks.required import CORE
from limitcheck.findings import Severity
from limitcheck.policy import DEFAULT_POLICY
from limitcheck.profile.model import Profile, validate_profile

TODAY = date(2026, 11, 28)
BASE = """
format = 1
method = {id = "KB-TEST-3"}
instrument = {id = "KB-LC-09", pressure_unit = "bar"}
expected = {low = 140, high = 160, basis = "measured"}
flow_path = [
    {part = "pump", rating = "400 bar"},
    {part = "tubing", length = "300 mm", bore = "0.17 mm", rating = "400 bar"},
    {part = "column", length = "150 mm", bore = "4.6 mm", rating = "400 bar"},
]
"""
COLUMN = 2
STATED = st.integers(150, 420)


@st.composite
def drawn(draw: st.DrawFn) -> dict[str, Any]:
    """A profile with derating tables and a point of the method in them, or beyond."""
    data: dict[str, Any] = tomllib.loads(BASE, parse_float=Decimal)
    data["cutoffs"] = {"high": draw(st.integers(170, 400)), "low": 70}
    data["conditions"] = {
        "flow": f"{draw(st.integers(1, 4))} mL/min",
        "temperature": f"{draw(st.integers(20, 60))} degC",
        "ambient": f"{draw(st.integers(15, 34))} degC",
    }
    for part in data["flow_path"]:
        for by, unit, points in (("flow", "mL/min", (1, 2, 3)), ("temperature", "degC", (25, 40))):
            if draw(st.booleans()):
                part[f"rating_at_{by}"] = [
                    {by: f"{at} {unit}", "rating": f"{draw(STATED)} bar"} for at in points
                ]
    return data


def passes(profile: Profile) -> dict[str, bool]:
    """By command: whether it says that this high cutoff holds, or which one may be typed."""
    examined = check_profile(profile, DEFAULT_POLICY, TODAY)
    high = [f for f in examined.findings if f.check in CORE and f.path == ("cutoffs", "high")]
    errors = [f for f in high if f.worst is Severity.ERROR]
    not_open = not any("high-cutoff-above-rating" in f.data["checks"] for f in left_open(examined))
    typed = str(profile.cutoffs.high)
    return {
        "check": not errors and not_open,
        "entry": ask(profile, typed, "high", DEFAULT_POLICY, TODAY).may_be_typed,
        "propose": cutoffs_to_type(profile, DEFAULT_POLICY, TODAY).number("high") is not None,
    }


def without(data: dict[str, Any], away: str) -> dict[str, Any]:
    """The same without a condition, or without every rating of the column."""
    if away != "ratings":
        return {**data, "conditions": {k: v for k, v in data["conditions"].items() if k != away}}
    parts = [dict(part) for part in data["flow_path"]]
    parts[COLUMN] = {k: v for k, v in parts[COLUMN].items() if not k.startswith("rating")}
    return {**data, "flow_path": parts}


@settings(max_examples=60, deadline=None)
@given(drawn(), st.sampled_from(["flow", "temperature", "ambient", "ratings"]))
def test_what_is_taken_away_never_makes_a_cutoff_pass(data: dict[str, Any], away: str) -> None:
    more, less = passes(validate_profile(data)), passes(validate_profile(without(data, away)))
    assert {name for name in less if less[name] and not more[name]} == set()


@pytest.mark.parametrize("away", ["temperature", "ratings"])
def test_each_is_refused_where_the_column_may_be_beyond_its_table(away: str) -> None:
    """At the method's own point in the table all of them pass."""
    data: dict[str, Any] = tomllib.loads(BASE, parse_float=Decimal)
    data["cutoffs"] = {"high": 200, "low": 70}
    data["conditions"] = {"flow": "1 mL/min", "temperature": "35 degC", "ambient": "21 degC"}
    table = ((25, 400), (35, 300))
    data["flow_path"][COLUMN]["rating_at_temperature"] = [
        {"temperature": f"{at} degC", "rating": f"{rating} bar"} for at, rating in table
    ]
    assert all(passes(validate_profile(data)).values())
    assert not any(passes(validate_profile(without(data, away))).values())
    data["conditions"]["temperature"] = "40 degC"
    assert not any(passes(validate_profile(data)).values())
