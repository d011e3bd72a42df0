"""`limitcheck transfer` from the command line."""

from __future__ import annotations

import json
from fractions import Fraction
from pathlib import Path

import pytest

from limitcheck.cli.app import run
from limitcheck.profile.load import load
from limitcheck.units import Pressure
from tests.profiles_for_tests import profile_file
from tests.transfer.test_adjustment import NEW, OLD, column_profile

EXAMPLES = Path(__file__).parents[2] / "examples" / "transfer"


def test_the_record_to_print(capsys: pytest.CaptureFixture[str]) -> None:
    files = [str(EXAMPLES / name) for name in ("kestrel-bay.toml", "harrow-mill-copied.toml")]
    assert run(["transfer", *files]) == 1
    shown = capsys.readouterr().out
    assert shown.startswith("Transfer of KB-TEA-031 revision A from KB-LC-05 to HM-LC-07: do not")
    assert "Type on HM-LC-07:\n    high = 5801 (psi)" in shown
    assert "Signature" not in shown
    assert run(["transfer", *files, "--verbose"]) == 1
    record = capsys.readouterr().out
    assert all(len(line) <= 80 or str(EXAMPLES) in line for line in record.splitlines())
    for words in (
        load(files[0]).sha256,
        load(files[0]).uses[0].sha256,
        "5801.50951",
        "Signature: ____",
        "not a safety device",
        "limitcheck 0.1.0",
        "pump           600 bar  400 bar    weaker",
        "unit-confusion",
    ):
        assert words in record


def test_the_record_as_data(capsys: pytest.CaptureFixture[str]) -> None:
    files = [str(EXAMPLES / name) for name in ("kestrel-bay.toml", "harrow-mill-07.toml")]
    assert run(["transfer", *files, "--format", "json"]) == 0
    record = json.loads(capsys.readouterr().out)
    assert record["decision"] == "accept"
    high = record["cutoffs"]["high"]
    assert Fraction(high["exact"]["value"]) == Pressure.parse("400 bar").to("psi")
    assert high["receiving"]["value"] == "5221"
    assert high["recommendation"] is None  # what is set there is right
    assert record["to_fill_in"] == ["Reviewed by", "Date", "Signature"]
    assert record["column"]["adjustments"][0]["kept"] is True


def test_a_new_receiving_profile(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    new = tmp_path / "new.toml"
    arguments = [
        "transfer",
        str(EXAMPLES / "kestrel-bay.toml"),
        "--new",
        str(new),
        "--instrument",
        str(EXAMPLES / "instruments/hm-lc-07.toml"),
        "--site",
        "Harrow Mill",
    ]
    assert run(arguments) == 0
    assert "to HM-LC-07: accept." in capsys.readouterr().out
    # The one of the examples was made the same way.
    assert new.read_bytes() == (EXAMPLES / "harrow-mill-07.toml").read_bytes()
    assert run(["check", str(new)]) == 0
    # Never over a file that is there.
    assert run(arguments) == 2
    assert "exists already" in " ".join(capsys.readouterr().err.split())


@pytest.mark.parametrize(
    "arguments",
    [
        [],
        ["b.toml", "--new", "c.toml"],
        ["--new", "c.toml"],
        ["--instrument", "i.toml"],
        ["b.toml", "--format", "xml"],
    ],
)
def test_arguments_that_cannot_be_used(tmp_path: Path, arguments: list[str]) -> None:
    sending = tmp_path / "a.toml"
    sending.write_text(profile_file().text, encoding="utf-8")
    assert run(["transfer", str(sending), *arguments]) == 2


def test_the_record_of_another_column(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    files = [tmp_path / "from.toml", tmp_path / "to.toml"]
    files[0].write_text(column_profile(OLD, "2.0 mL/min").text, encoding="utf-8")
    files[1].write_text(column_profile(NEW, "1.1 mL/min").text, encoding="utf-8")
    assert run(["transfer", *map(str, files), "--verbose"]) == 1
    shown = " ".join(capsys.readouterr().out.split())
    for words in (
        "From 150 mm x 4.6 mm, 5 um to 100 mm x 2.1 mm, 3 um.",
        "L/dp 30000 33333 22500 to 45000 (-25 to within",
        "flow 2.0 mL/min 1.1 mL/min 0.6947 mL/min +/- 50 %: outside",
        "check the edition in force",
    ):
        assert words in shown
