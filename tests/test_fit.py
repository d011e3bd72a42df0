"""Methods on instruments: what fits, why not, and the three forms of the table."""

from __future__ import annotations

import csv
import json
from io import StringIO
from pathlib import Path

import pytest

from limitcheck.cli.app import run
from limitcheck.limits import propose
from limitcheck.policy import Margins
from limitcheck.profile.instruments import load_instrument, on_instrument
from limitcheck.profile.load import load, load_bytes
from limitcheck.transfer.fit import Cell, Method, fit
from limitcheck.units import Pressure
from tests.profiles_for_tests import profile_file

EXAMPLES = Path(__file__).parents[1] / "examples" / "transfer"
KESTREL = EXAMPLES / "kestrel-bay.toml"
INSTRUMENTS = [
    str(EXAMPLES / "instruments" / f"{name}.toml") for name in ("kb-lc-05", "hm-lc-07", "hm-lc-11")
]


def cells(method: str | Path | None, *instruments: str) -> tuple[Cell, ...]:
    file = load(method) if method is not None else profile_file()
    (row,) = fit([Method(file, Margins())], [load_instrument(path) for path in instruments])
    return row.cells


def test_the_columns_of_the_method_between_the_parts_of_the_instrument() -> None:
    profile = on_instrument(load(KESTREL).profile, load_instrument(INSTRUMENTS[1]))
    assert [str(part.rating) for part in profile.flow_path] == [
        "400 bar",
        "7000 psi",
        "7000 psi",
        "7000 psi",
        "600 bar",
        "6000 psi",
    ]
    assert profile.instrument.id == "HM-LC-07"
    assert profile.cutoffs.high is None


def test_guard_columns_come_along() -> None:
    guard = '[[flow_path]]\npart = "guard column"\nrating = "250 bar"\n\n[[flow_path]]\n'
    text = profile_file().text.replace('[[flow_path]]\npart = "column"', f'{guard}part = "column"')
    profile = on_instrument(
        load_bytes(text.encode(), "a.toml").profile, load_instrument(INSTRUMENTS[0])
    )
    assert [part.part for part in profile.flow_path][4:] == [
        "guard column",
        "column",
        "detector cell",
    ]


def test_each_pair_is_in_the_unit_of_its_instrument() -> None:
    found = cells(KESTREL, *INSTRUMENTS)
    assert [cell.unit for cell in found] == ["bar", "psi", "MPa"]
    assert all(cell.fits for cell in found)
    pairs = [
        (cell.proposal.high.enter, cell.proposal.low.enter)
        for cell in found
        if cell.proposal.high and cell.proposal.low
    ]
    # 320 bar + 25 %; 400 bar - 10 % = 5221.36 psi; 320 bar x 1.033 + 25 % = 41.3 MPa.
    assert [high for high, _ in pairs] == ["400", "5221", "41.2"]
    assert [low for _, low in pairs] == ["125", "1820", "13"]


def test_the_band_is_scaled_by_prediction_where_there_is_one() -> None:
    own, _, narrow = cells(KESTREL, *INSTRUMENTS)
    assert own.ratio == pytest.approx(1)
    # Tubing of 0.13 mm in place of 0.17 mm, 500 mm for 600: more pressure (Hagen-Poiseuille).
    assert narrow.ratio is not None
    assert 1.01 < narrow.ratio < 1.1
    (unscaled,) = cells(None, INSTRUMENTS[0])
    assert unscaled.ratio is None
    assert unscaled.proposal == propose(
        on_instrument(profile_file().profile, load_instrument(INSTRUMENTS[0])), Margins()
    )


def test_why_a_method_does_not_fit(tmp_path: Path) -> None:
    weak = tmp_path / "weak.toml"
    text = Path(INSTRUMENTS[0]).read_text(encoding="utf-8")
    weak.write_text(text.replace("600 bar", "350 bar", 1), encoding="utf-8")
    (cell,) = cells(KESTREL, str(weak))
    assert cell.reason == (
        "the largest safe value, 315 bar, is not 10 % above the expected high 320 bar"
    )
    derated = text.replace(
        '"600 bar"', '"600 bar"\nrating_at_flow = [{flow = "1 mL/min", rating = "600 bar"}]', 1
    )
    weak.write_text(derated, encoding="utf-8")
    (cell,) = cells(KESTREL, str(weak))
    assert cell.reason == "the method is beyond what is stated for the pump"
    weak.write_text(text.replace("display_step = 1", "display_step = 360", 1), encoding="utf-8")
    (cell,) = cells(KESTREL, str(weak))
    assert "the display step 360 bar is too coarse" in (cell.reason or "")


def on(*paths: str) -> list[str]:
    return [word for path in paths for word in ("--on", path)]


def test_the_table(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    weak = tmp_path / "weak.toml"
    text = Path(INSTRUMENTS[0]).read_text(encoding="utf-8")
    weak.write_text(
        text.replace("600 bar", "350 bar", 1).replace("LC-05", "LC-09"), encoding="utf-8"
    )
    assert run(["fit", str(KESTREL), *on(*INSTRUMENTS, str(weak))]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert all(len(line) <= 80 for line in lines)
    assert [line.split() for line in lines[:3]] == [
        ["KB-LC-05", "HM-LC-07", "HM-LC-11"],
        ["high", "/", "low,", "in", "bar", "psi", "MPa"],
        ["KB-TEA-031", "400", "/", "125", "5221", "/", "1820", "41.2", "/", "13"],
    ]
    assert lines[6].split() == ["KB-TEA-031", "no", "[1]"]
    assert lines[8].startswith("[1] the largest safe value, 315 bar")
    assert run(["fit", str(KESTREL), *on(str(weak))]) == 1


def test_the_table_as_csv_and_json(capsys: pytest.CaptureFixture[str]) -> None:
    arguments = ["fit", str(KESTREL), *on(*INSTRUMENTS[:2])]
    assert run([*arguments, "--format", "csv"]) == 0
    rows = list(csv.DictReader(StringIO(capsys.readouterr().out)))
    assert [(row["instrument"], row["high"], row["low"]) for row in rows] == [
        ("KB-LC-05", "400", "125"),
        ("HM-LC-07", "5221", "1820"),
    ]
    assert run([*arguments, "--format", "json"]) == 0
    document = json.loads(capsys.readouterr().out)
    assert [cell["high"] for cell in document["cells"]] == ["400", "5221"]
    assert document["methods"] == [{"path": str(KESTREL), "sha256": load(KESTREL).sha256}]
    assert document["instruments"][0]["sha256"] == load_instrument(INSTRUMENTS[0]).sha256


def test_folders_of_methods(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "a.toml").write_text(profile_file().text, encoding="utf-8")
    (tmp_path / "other.toml").write_text('[tool]\nname = "x"\n', encoding="utf-8")
    assert run(["fit", str(tmp_path), *on(INSTRUMENTS[0])]) == 0
    assert "KB-TEA-014              250 / 60" in capsys.readouterr().out
    (tmp_path / "a.toml").unlink()
    assert run(["fit", str(tmp_path), *on(INSTRUMENTS[0])]) == 2


@pytest.mark.parametrize("arguments", [[], ["--on", "no.toml"], ["--on", "x", "--format", "xml"]])
def test_arguments_that_cannot_be_used(arguments: list[str]) -> None:
    assert run(["fit", str(KESTREL), *arguments]) == 2


def test_scaled_bands_stay_exact_pressures() -> None:
    (cell,) = cells(KESTREL, INSTRUMENTS[1])
    assert cell.proposal.high is not None
    assert cell.proposal.high.binding.pressure == Pressure.parse("360 bar")
