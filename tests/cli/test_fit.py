"""`limitcheck fit` from the command line: the table in its forms."""

from __future__ import annotations

import csv
import json
from io import StringIO
from pathlib import Path

import pytest

from limitcheck.cli.app import run
from limitcheck.profile.instruments import load_instrument
from limitcheck.profile.load import load
from tests.profiles_for_tests import WITH_GEOMETRY

EXAMPLES = Path(__file__).parents[2] / "examples" / "transfer"


KESTREL = EXAMPLES / "kestrel-bay.toml"


INSTRUMENTS = [
    str(EXAMPLES / "instruments" / f"{name}.toml") for name in ("kb-lc-05", "hm-lc-07", "hm-lc-11")
]


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
    assert lines[0] == "1 of 1 methods fit at least one of 4 instruments."
    assert " ".join(lines[3].split()) == (
        "Method KB-LC-05 (bar) HM-LC-07 (psi) HM-LC-11 (MPa) KB-LC-09 (bar)"
    )
    assert " ".join(lines[5].split()) == (
        "KB-TEA-031 400 / 125 5221 / 1820 43.1 / 13.5 no (reason 1)"
    )
    words = "  1. the largest value within the margins, 315 bar, is not 10 % above"
    assert any(line.startswith(words) for line in lines)
    assert run(["fit", str(KESTREL), *on(str(weak))]) == 1


def test_two_methods_of_one_id_are_told_apart(capsys: pytest.CaptureFixture[str]) -> None:
    both = [str(KESTREL), str(EXAMPLES / "harrow-mill-07.toml")]
    assert run(["fit", *both, *on(INSTRUMENTS[0]), "--format", "markdown"]) == 0
    told = capsys.readouterr().out.replace("\\", "")
    for path in both:
        assert f"| KB-TEA-031 ({path}) |" in told
    assert run(["fit", str(KESTREL), *on(INSTRUMENTS[0]), "--format", "markdown"]) == 0
    assert "| KB-TEA-031 |" in capsys.readouterr().out


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
    assert [cell["high"]["value"] for cell in document["cells"]] == ["400", "5221"]
    assert document["cells"][0]["predicted_ratio"] == {"low": 1.0, "central": 1.0, "high": 1.0}
    (method,) = document["methods"]
    assert (method["path"], method["sha256"]) == (str(KESTREL), load(KESTREL).sha256)
    assert document["instruments"][0]["sha256"] == load_instrument(INSTRUMENTS[0]).sha256


def test_folders_of_methods(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "a.toml").write_text(WITH_GEOMETRY, encoding="utf-8")
    (tmp_path / "other.toml").write_text('[tool]\nname = "x"\n', encoding="utf-8")
    assert run(["fit", str(tmp_path), *on(INSTRUMENTS[0])]) == 0
    assert "KB-TEA-014  207 / 70" in capsys.readouterr().out
    (tmp_path / "a.toml").unlink()
    assert run(["fit", str(tmp_path), *on(INSTRUMENTS[0])]) == 2


@pytest.mark.parametrize("arguments", [[], ["--on", "no.toml"], ["--on", "x", "--format", "xml"]])
def test_arguments_that_cannot_be_used(arguments: list[str]) -> None:
    assert run(["fit", str(KESTREL), *arguments]) == 2
