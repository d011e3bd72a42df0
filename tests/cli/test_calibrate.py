"""`limitcheck predict --calibrate` from the command line."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from .test_predict import PROFILE, said


@pytest.fixture
def tea(tmp_path: Path) -> Path:
    path = tmp_path / "tea.toml"
    path.write_text(PROFILE, encoding="utf-8")
    return path


def test_calibrate_prints_a_line_that_gives_the_reading_back(
    tea: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    text = said(capsys, "predict", str(tea), "--calibrate", "1200 psi")
    line = next(line for line in text.splitlines() if line.startswith("    certificate = {"))
    assert len(line) > 80  # on one line, however long, or it could not be pasted
    tea.write_text(PROFILE + line.strip() + "\n", encoding="utf-8")
    found = json.loads(said(capsys, "predict", str(tea), "--format", "json"))
    low, central, high = (float(found["predicted"][k]["value"]) for k in ("low", "central", "high"))
    assert central == pytest.approx(1200, rel=1e-4)
    assert high / low < 1.3
    as_json = said(capsys, "predict", str(tea), "--calibrate", "1200 psi", "--format", "json")
    assert json.loads(as_json)["factor"] == pytest.approx(1, rel=1e-4)


def test_calibrating_far_off_raises_a_doubt(tea: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert "outside" in said(capsys, "predict", str(tea), "--calibrate", "3000 psi")
    assert "outside" not in said(capsys, "predict", str(tea), "--calibrate", "900 psi")


def test_calibrating_says_what_the_other_parts_leave_unknown(
    tea: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    well_known = said(capsys, "predict", str(tea), "--calibrate", "1200 psi")
    assert "not well known" not in well_known
    tubing = tea.read_text().replace('bore = "0.17 mm"', 'bore = "0.09 mm"')
    assert tubing != tea.read_text()
    tea.write_text(tubing)
    narrow = said(capsys, "predict", str(tea), "--calibrate", "2000 psi")
    assert "How much the other parts take is not well known" in narrow
    assert "with a union in place of the column" in " ".join(narrow.split())
