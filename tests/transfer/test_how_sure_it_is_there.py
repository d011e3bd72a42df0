"""How sure a moved band is stands in the profile that a transfer writes, and counts from there."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from limitcheck.checking.proposed import Proposed
from limitcheck.cli.app import run
from limitcheck.diagnosis.bounds import bounds
from limitcheck.physics.faults.normal import normal_pressure
from limitcheck.physics.predict import predict
from limitcheck.policy import DEFAULT_POLICY
from limitcheck.profile.load import ProfileFile, load
from limitcheck.transfer.normal_pressure import scaled_band
from tests.profiles_for_tests import WITH_GEOMETRY, with_geometry


@pytest.fixture
def moved(tmp_path: Path) -> ProfileFile:
    """A method moved to an instrument of which no tubing is listed: 69 bar may be left out."""
    parts = WITH_GEOMETRY.split("[[flow_path]]\n")
    there = "[[flow_path]]\n".join(part for part in parts if 'part = "tubing"' not in part)
    there = there.replace('id = "KB-LC-03"', 'id = "HM-LC-11"').replace("= 600", "= 1300")
    there = there.replace('"400 bar"', '"1000 bar"')
    for name, content in (("here", WITH_GEOMETRY), ("there", there)):
        (tmp_path / f"{name}.toml").write_text(content, encoding="utf-8")
    new = tmp_path / "new.toml"
    files = [str(tmp_path / f"{name}.toml") for name in ("here", "there")]
    run(["transfer", files[0], "--new", str(new), "--instrument", files[1]])
    return load(new)


def test_the_interval_of_the_transfer_stands_in_the_file(moved: ProfileFile) -> None:
    expected, scaled = moved.profile.expected, scaled_band(with_geometry().profile, moved.profile)
    assert expected is not None
    assert expected.possible is not None
    least, most = expected.possible
    assert 0 <= scaled.low.low.to("bar") - least.to("bar") < 1
    assert 0 <= most.to("bar") - scaled.high.high.to("bar") < 1
    text = Path(moved.path).read_text(encoding="utf-8")
    assert f"anywhere from {least} to {most}" in " ".join(text.replace("\n#", "").split())


def test_a_cutoff_that_runs_may_reach_is_not_decided_and_not_proposed(moved: ProfileFile) -> None:
    cutoff, expected = moved.profile.cutoffs.high, moved.profile.expected
    assert cutoff is not None
    assert expected is not None
    assert expected.possible is not None
    assert expected.high < cutoff <= expected.possible[1]
    proposed = Proposed(moved, DEFAULT_POLICY, date(2026, 11, 28))
    assert "may stop them" in (proposed.cutoffs.reason("high") or "")
    undecided = {item.check for item in proposed.report.undecided}
    assert "high-cutoff-below-expected" in undecided


def test_what_is_normal_is_known_only_as_far_as_the_file_says(moved: ProfileFile) -> None:
    profile = moved.profile
    assert profile.expected is not None
    assert profile.expected.possible is not None
    found = bounds(normal_pressure(profile, lambda: predict(profile)), None, in_doubt=False)
    assert found.normal is None
    assert (found.least, found.most) == tuple(map(float, profile.expected.possible))
