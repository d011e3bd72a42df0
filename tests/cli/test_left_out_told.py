"""What is allowed for parts left out is the same number wherever it is told."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from limitcheck.cli.app import run

ULTRA_HIGH = """format = 1
[method]
id = "KB-TEA-014"
[instrument]
id = "KB-LC-03"
pressure_unit = "psi"
[cutoffs]
high = 5000
low = 500
[conditions]
flow = "0.5 mL/min"
temperature = "30 degC"
ambient = "21 degC"
solvent_a = "water"
solvent_b = "methanol"
percent_b = 40
[[flow_path]]
part = "pump"
rating = "9000 psi"
[[flow_path]]
part = "injector"
[[flow_path]]
part = "column"
length = "150 mm"
bore = "3.0 mm"
particle_size = "3 um"
particle = "fully porous"
rating = "6000 psi"
"""
READ = ("--reading", "all=4900", "--reading", "column-inlet=900")


@pytest.mark.parametrize(
    "command",
    [
        ("check",),
        ("faults",),
        ("reading", "4000", "--profile"),
        ("isolate", "--reading", "all=4000"),
        ("isolate", *READ),
        ("report", "--format", "markdown"),
    ],
)
def test_an_allowance_is_one_number_in_every_command(
    command: tuple[str, ...],
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    """69 bar is 1000.76 psi: the faults said 1000 psi, the steps 1001 psi."""
    monkeypatch.chdir(tmp_path)
    Path("tea.toml").write_text(ULTRA_HIGH, "utf-8")
    run([*command, "tea.toml"])
    told = " ".join(capsys.readouterr().out.split())
    said = re.findall(r"(\d+) psi of (?:it|its high end)\b", told)
    assert said
    assert set(said) == {"1000"}
