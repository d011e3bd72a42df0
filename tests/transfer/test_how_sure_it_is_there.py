"""A profile that a transfer wrote is by itself no surer than the transfer is of it."""

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


def test_a_cutoff_that_runs_may_reach_is_not_decided_and_not_proposed(moved: ProfileFile) -> None:
    """The transfer says "measure the pressure here" of it; so does the file that it wrote."""
    scaled = scaled_band(with_geometry().profile, moved.profile)
    cutoff = moved.profile.cutoffs.high
    assert cutoff is not None
    assert scaled.high.central < cutoff < scaled.high.high
    proposed = Proposed(moved, DEFAULT_POLICY, date(2026, 11, 28))
    assert "may stop them" in (proposed.cutoffs.reason("high") or "")
    undecided = {item.check for item in proposed.report.undecided}
    assert "high-cutoff-below-expected" in undecided


def test_nothing_is_normal_there_before_it_is_measured(moved: ProfileFile) -> None:
    profile = moved.profile
    found = bounds(normal_pressure(profile, lambda: predict(profile)), None, in_doubt=False)
    assert found.normal is None
    scaled = scaled_band(with_geometry().profile, profile)
    assert found.least <= float(scaled.low.low)
    assert found.most >= float(scaled.high.high)


def test_fit_and_the_file_say_that_the_cutoff_may_stop_runs(
    moved: ProfileFile, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = Path(moved.path).parent
    head = Path(moved.path).read_text(encoding="utf-8").partition("format = 1")[0]
    cutoff = moved.profile.cutoffs.high
    says = f"high cutoff, {cutoff}, may stop normal runs: they may lie anywhere from"
    assert says in " ".join(head.replace("\n#", " ").split())
    methods, there = str(folder / "here.toml"), str(folder / "there.toml")
    capsys.readouterr()
    assert run(["fit", methods, "--on", there]) == 0
    told = " ".join(capsys.readouterr().out.split())
    assert says in told
    assert "*" in told
    run(["fit", methods, "--on", methods])
    assert "may stop" not in capsys.readouterr().out  # on its own instrument nothing is open
