"""A verdict on a reading and the numbers beside it agree."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from limitcheck.cli.app import run

BAND = """format = 1
[method]
id = "KB-1"
[instrument]
id = "KB-LC"
pressure_unit = "psi"
[cutoffs]
high = 3700
low = 930
[expected]
low = "128.7 bar"
high = "203.3 bar"
[[flow_path]]
part = "pump"
rating = "400 bar"
[[flow_path]]
part = "column"
rating = "400 bar"
"""


@pytest.mark.parametrize("reading", [1866, 1867, 1868, 1870, 2940, 2948, 2949, 2950])
def test_no_reading_stands_on_the_wrong_side_of_the_band_beside_it(
    reading: int, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """128.7 to 203.3 bar are 1866.6 to 2948.6 psi; in three figures 1870 to 2950."""
    path = tmp_path / "band.toml"
    path.write_text(BAND)
    run(["reading", str(reading), "--profile", str(path)])
    said = " ".join(capsys.readouterr().out.split())
    found = re.search(r": ([\d.]+) to ([\d.]+) psi \(declared", said)
    assert found is not None, said
    low, high = map(float, found.groups())
    assert (low <= reading <= high) == (f"{reading} psi is normal" in said)
    assert (low <= reading <= high) == (1866.6 < reading < 2948.6)
