"""An expected band in doubt is called so wherever its ends are printed."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from limitcheck.cli.app import run
from tests.documents.schemas import violations
from tests.profiles_for_tests import WITH_GEOMETRY

BAND = "low = 145\nhigh = 172\n"
IN_PSI = WITH_GEOMETRY.replace(BAND, 'low = 2100\nhigh = 2500\nbasis = "measured"\n')
ENDS = ("2100 bar to 2500 bar (measured)", "2100 to 2500 bar (measured)")
PAIRS = """
[[measured]]
pressure = "172 bar"
flow = "1.0 mL/min"
temperature = "35 degC"
percent_b = 18

[[measured]]
pressure = "86 bar"
flow = "0.5 mL/min"
temperature = "35 degC"
percent_b = 18
"""


def said(capsys: pytest.CaptureFixture[str], *arguments: str) -> str:
    run(list(arguments))
    out, err = capsys.readouterr()
    return " ".join((out + err).split())


@pytest.fixture
def tea(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    path = Path("tea.toml")
    path.write_text(IN_PSI, "utf-8")
    return path


def test_a_prediction_says_that_the_band_beside_it_is_in_doubt(
    tea: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    told = said(capsys, "predict", str(tea))
    assert "[expected] is in doubt (unit-confusion, tea.toml:" in told
    assert "It is not used here: correct it first." in told
    assert "The profile expects" not in told
    data = json.loads(said(capsys, "predict", str(tea), "--format", "json"))
    assert violations("predict", data) == []
    assert data["band_in_doubt"].startswith("[expected] is in doubt (unit-confusion, ")
    assert data["expected"]["why_not_normal"] == data["band_in_doubt"]
    tea.write_text(WITH_GEOMETRY, "utf-8")
    assert "The profile expects 145 bar to 172 bar (declared)." in said(capsys, "predict", str(tea))
    data = json.loads(said(capsys, "predict", str(tea), "--format", "json"))
    assert (data["band_in_doubt"], data["expected"]["why_not_normal"]) == (None, None)


def test_a_prediction_says_that_pairs_outrank_the_band(
    tea: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    tea.write_text(WITH_GEOMETRY + PAIRS, "utf-8")
    told = said(capsys, "predict", str(tea))
    why = "not used: measured pairs say what is normal"
    assert f"The profile expects 145 bar to 172 bar (declared), {why}." in told
    data = json.loads(said(capsys, "predict", str(tea), "--format", "json"))
    assert violations("predict", data) == []
    assert (data["band_in_doubt"], data["expected"]["why_not_normal"]) == (None, why)


def test_what_faults_start_from_is_not_called_normal(
    tea: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    run(["report", str(tea), "-o", "report.txt"])
    capsys.readouterr()
    report = " ".join(Path("report.txt").read_text("utf-8").split())
    for told in (report, said(capsys, "faults", str(tea))):
        assert "Expected pressure, in doubt: 2100 to 2500 bar (measured)." in told
        assert "What stands here rests on it." in told
        assert "Normal pressure: 2100" not in told
        assert "A normal run itself" not in told
