"""A gradient that mixing may take past the high cutoff is held back by every output, not one."""

from __future__ import annotations

import json
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pytest

from limitcheck.cli.app import run

PROFILE = """format = 1
[method]
id = "KB-STEP-2"
[instrument]
id = "KB-LC-2"
pressure_unit = "bar"
display_step = 1
dwell_volume = "1000 uL"
[cutoffs]
high = 169
low = 76
[expected]
low = 126
high = {top}
basis = "{basis}"
[conditions]
flow = "0.3 mL/min"
temperature = "25 degC"
ambient = "25 degC"
solvent_a = "water"
solvent_b = "methanol"
gradient = [
    {{minute = 0, percent_b = 90}}, {{minute = 3, percent_b = 90}}, {{minute = 3, percent_b = 2}},
    {{minute = 6, percent_b = 2}}, {{minute = 6, percent_b = 90}}, {{minute = 9, percent_b = 90}},
]
[[flow_path]]
part = "pump"
rating = "1200 bar"
[[flow_path]]
part = "tubing"
length = "300 mm"
bore = "0.25 mm"
rating = "1200 bar"
[[flow_path]]
part = "column"
length = "100 mm"
bore = "2.1 mm"
particle_size = "3 um"
rating = "1200 bar"
"""
DOUBT = "may reach 239 bar, past the high cutoff, 169 bar"


def written(tmp_path: Path, basis: str = "measured", top: int = 135) -> Path:
    path = tmp_path / "step.toml"
    path.write_text(PROFILE.format(basis=basis, top=top), "utf-8")
    return path


def said(capsys: pytest.CaptureFixture[str], *arguments: object) -> tuple[int, str]:
    capsys.readouterr()
    code = run(list(map(str, arguments)))
    return code, " ".join(capsys.readouterr().out.split())


@pytest.mark.parametrize("basis", ["measured", "declared"])
def test_each_output_holds_the_cutoff_back(
    basis: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = written(tmp_path, basis)
    code, told = said(capsys, "check", path)
    assert (code, DOUBT in told) == (1, True)
    code, told = said(capsys, "export", path)
    assert code == 1
    assert "DO NOT TYPE ANYTHING FROM THIS PROFILE" in told
    assert DOUBT in told
    code, told = said(capsys, "entry", "169", "--profile", path)
    assert code == 1
    assert DOUBT in told
    assert "may be typed" not in told
    code, told = said(capsys, "fleet", path, "--format", "json")
    row: dict[str, Any] = json.loads(told)["profiles"][0]
    assert "high-cutoff-below-expected" in row["required_not_decided"]
    assert row["state"] != "nothing open"
    assert row["nearness"] != "well"
    code, told = said(capsys, "propose", path)
    assert told.count(DOUBT) == 1


def test_a_cutoff_past_all_that_mixing_makes_may_be_typed(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = written(tmp_path, top=200)
    path.write_text(path.read_text("utf-8").replace("high = 169", "high = 250"), "utf-8")
    code, told = said(capsys, "entry", "250", "--profile", path)
    assert (code, "may be typed" in told) == (0, True)
    code, told = said(capsys, "export", path)
    assert (code, "What to type: 1 of 1" in told) == (0, True)


def test_who_watched_a_whole_run_answers_for_it_once(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = written(tmp_path)
    words = ("--reason", "watched whole runs", "--by", "method owner")
    words = (*words, "--until", str(date.today() + timedelta(days=90)))
    code, told = said(capsys, "accept", path, "not-decided", *words)
    assert code == 0, told
    code, told = said(capsys, "check", path)
    assert code == 0, told
    code, told = said(capsys, "export", path)
    assert (code, "What to type: 1 of 1" in told) == (0, True)
