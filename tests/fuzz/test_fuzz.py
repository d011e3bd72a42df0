"""The kept cases again, and a short run of each target."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from .targets import CASES, TARGETS, Target

KEPT = [(target, case) for target in TARGETS.values() for case in target.cases()]


@pytest.mark.parametrize(("target", "case"), KEPT, ids=[case.name for _, case in KEPT])
def test_a_kept_case_holds(target: Target, case: Path) -> None:
    target.hold(case.read_bytes(), every=True)


def test_every_case_belongs_to_a_target() -> None:
    assert sorted(CASES.iterdir()) == sorted(case for _, case in KEPT)


@pytest.mark.parametrize("target", TARGETS.values(), ids=list(TARGETS))
@settings(max_examples=25, suppress_health_check=list(HealthCheck))
@given(data=st.data())
def test_a_short_run(target: Target, data: st.DataObject) -> None:
    target.hold(data.draw(target.inputs))
