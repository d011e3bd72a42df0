"""Limits at their edges: derating under a changed flow, small numbers, the field's own end."""

from __future__ import annotations

import pytest

from limitcheck.diagnosis.advice import remedies
from limitcheck.limits import propose
from limitcheck.policy import Margins
from limitcheck.profile.model import FlowRating
from limitcheck.units import Flow, Pressure
from tests.profiles_for_tests import profile_file

from .test_limits import strained


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
    pump = profile.flow_path[0].model_copy(update={"rating_at_flow": points})
    derated = profile.model_copy(update={"flow_path": (pump, *profile.flow_path[1:])})
    found = {remedy.kind: remedy for remedy in remedies(derated, Margins()).found}
    # By hand, pressure in proportion to flow: 520 bar * 1.1 * s = 0.9 * (900 - 600 s) bar.
    share = float(found["flow"].value or 0) / float(flow)
    assert share == pytest.approx(810 / 1112, rel=0.03)
    assert found["flow"].text == f"flow at most {found['flow'].value}"


def test_small_numbers_in_a_large_unit() -> None:
    proposal = propose(
        profile_file(unit='"MPa"', step="0.1", expected_low="0.4", expected_high="0.6").profile,
        Margins(),
    )
    assert proposal.high is not None
    assert proposal.low is not None
    assert (proposal.high.enter, proposal.low.enter) == ("0.7", "0.2")  # 0.75 down, 0.2
    assert proposal.low.binding.path == ("expected", "low")


def test_the_largest_entry_is_still_an_entry() -> None:
    whole = propose(profile_file(step="1\nentry_max = 60").profile, Margins())
    assert whole.low is not None
    assert whole.low.enter == "60"
    short = propose(profile_file(step="1\nentry_max = 59").profile, Margins())
    assert short.no_low == "the field takes no more than 59 bar"


def test_the_field_binds_in_words() -> None:
    proposal = propose(profile_file(step="1\nentry_max = 230").profile, Margins())
    assert proposal.high is not None
    assert proposal.high.binding.reason == "the field takes up to 230 bar"
    assert proposal.high.binding.path == ("instrument", "entry_max")


def test_where_two_bounds_are_too_low_raising_one_is_not_offered_alone() -> None:
    profile = profile_file(step="1\nentry_max = 400", expected_high="390").profile
    (found,) = remedies(profile, Margins()).found
    # By hand: 390 bar * 1.1 = 429 bar to be typed, 429 / 0.9 = 476.7 bar to be held.
    assert found.text == (
        "no part up to the column rated under 477 bar, together with a field that takes 429 bar"
    )
