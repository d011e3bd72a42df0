"""Without a normal pressure a proposal is of the ratings alone: it says so, and raises nothing."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from limitcheck.checking.file import check_file
from limitcheck.checking.proposed import Proposed
from limitcheck.cli.app import run
from limitcheck.documents.profile import Checked
from limitcheck.page.profiles import _chapters
from limitcheck.policy import DEFAULT_POLICY
from limitcheck.profile.load import load
from tests.checking.test_fleet import DAY
from tests.documents.schemas import violations
from tests.profiles_for_tests import text

BAND = "[expected]\nlow = 120\nhigh = 200\n\n"
CONDITIONS = """
[conditions]
flow = "1.0 mL/min"
temperature = "35 degC"
ambient = "21 degC"
solvent_a = "water"
solvent_b = "acetonitrile"
percent_b = 18
"""
GEOMETRY = 'part = "column"\nlength = "150 mm"\nbore = "4.6 mm"\nparticle_size = "5 um"\n'
NOT_KNOWN = "not known whether normal runs pass"


def without_band(tmp_path: Path, high: str = "280", *, predicted: bool = False) -> Path:
    told = text(high=high)
    assert BAND in told
    told = told.replace(BAND, "")
    if predicted:
        told = told.replace('part = "column"\n', GEOMETRY) + CONDITIONS
    path = tmp_path / "bare.toml"
    path.write_text(told, "utf-8")
    return path


@pytest.mark.parametrize("predicted", [False, True])
def test_text_page_and_data_say_that_normal_runs_are_not_known(
    predicted: bool, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = without_band(tmp_path, predicted=predicted)
    assert run(["propose", str(path)]) == 1
    shown = " ".join(capsys.readouterr().out.split())
    assert "high = 360 (bar)" in shown
    assert shown.count(NOT_KNOWN) == 1
    file = load(path)
    report = check_file(file, DEFAULT_POLICY, DAY)
    chapters = list(_chapters(Checked(file, report, DEFAULT_POLICY), DAY))
    proposed = next(c for c in chapters if c.heading == "Proposed cutoffs")
    assert NOT_KNOWN in str(proposed)
    assert run(["propose", str(path), "--format", "json"]) == 1
    data = json.loads(capsys.readouterr().out)
    assert violations("propose", data) == []
    (proposal,) = data["proposals"]
    assert any(NOT_KNOWN in told for told in proposal["not_checked"])
    assert proposal["high"]["recommendation"]["enter"] == "360"
    assert proposal["high"]["recommendation"]["confidence"] != "certain"


def test_with_a_band_the_proposal_stays_certain(tmp_path: Path) -> None:
    path = tmp_path / "band.toml"
    path.write_text(text(high="300"), "utf-8")
    item = Proposed(load(path), DEFAULT_POLICY, DAY).cutoffs.number("high")
    assert item is not None
    assert item.confidence == "certain"


@pytest.mark.parametrize(
    ("high", "after"),
    [
        ("280", "280"),  # within the ratings: not raised
        ("360", "360"),  # as it is
        ("390", "360"),  # too near the weakest rating: lowered
        ("500", "360"),  # over it
    ],
)
@pytest.mark.parametrize("predicted", [False, True])
def test_nothing_is_raised_where_nothing_is_known_of_normal_runs(
    predicted: bool, high: str, after: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = without_band(tmp_path, high, predicted=predicted)
    before = path.read_bytes()
    assert run(["propose", str(path), "--write"]) == 1
    assert path.read_bytes() == before.replace(
        f"high = {high}".encode(), f"high = {after}".encode()
    )
    said = " ".join(capsys.readouterr().err.split())
    assert ("not changed" in said) == (high == "280")
    if high == "280":
        assert "would raise the high cutoff" in said
