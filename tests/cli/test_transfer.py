"""`limitcheck transfer` from the command line."""

from __future__ import annotations

import json
import re
from datetime import date
from fractions import Fraction
from pathlib import Path
from shutil import copytree

import pytest

from limitcheck.cli.app import run
from limitcheck.documents.transfer import transfer_document
from limitcheck.policy import DEFAULT_POLICY
from limitcheck.profile.load import load
from limitcheck.render.screen import Screen
from limitcheck.render.text import render
from limitcheck.transfer import transfer
from limitcheck.transfer.ruling import EQUAL
from limitcheck.units import Pressure
from tests.profiles_for_tests import CONTROL, profile_file
from tests.transfer.changed import changed

EXAMPLES = Path(__file__).parents[2] / "examples" / "transfer"


def test_the_record_to_print(capsys: pytest.CaptureFixture[str]) -> None:
    files = [str(EXAMPLES / name) for name in ("kestrel-bay.toml", "harrow-mill-copied.toml")]
    assert run(["transfer", *files]) == 1
    shown = capsys.readouterr().out
    assert shown.startswith("Transfer of KB-TEA-031 revision A from KB-LC-05 to HM-LC-07: do not")
    assert "Do not run it there yet. Correct on HM-LC-07, then compare again:\n" in shown
    assert "\n    high = 5221 (psi)" in shown
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
    assert record["to_fill_in"] == [
        f"{meaning}: {item}"
        for meaning in ("Prepared", "Reviewed", "Approved")
        for item in ("printed name", "signature", "date and time")
    ]
    assert {item["ruling"] for item in record["rulings"]} == {"same", "allowed", "information"}


def test_a_new_receiving_profile(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    copytree(EXAMPLES, tmp_path / "lab")
    (tmp_path / "lab" / "limitcheck.toml").touch()
    monkeypatch.chdir(tmp_path / "lab")
    new = Path("new.toml")
    arguments = ["transfer", "kestrel-bay.toml", "--new", str(new)]
    arguments += ["--instrument", "instruments/hm-lc-07.toml", "--site", "Harrow Mill"]
    assert run(arguments) == 0
    shown = " ".join(capsys.readouterr().out.split())
    assert "to HM-LC-07: accept, on 1 condition." in shown
    # The one of the examples was made the same way.
    example = (EXAMPLES / "harrow-mill-07.toml").read_text(encoding="utf-8")
    today = f"day = {date.today().isoformat()}"
    assert new.read_text(encoding="utf-8") == re.sub(r"day = [\d-]+", today, example)
    assert run(["check", str(new)]) == 1  # until the pressure is measured there
    assert "Not decided: the highest pressure is only predicted" in capsys.readouterr().out
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
    """150 x 4.6 mm, 5 um to 100 x 2.1 mm, 3 um: the flow is to be 0.695 mL/min (from memory)."""
    old = {"column.particle_size": "5 um", "conditions.flow": "2.0 mL/min"}
    new = {"column.length": "100 mm", "column.bore": "2.1 mm", "conditions.flow": "1.1 mL/min"}
    files = [tmp_path / "from.toml", tmp_path / "to.toml"]
    files[0].write_text(changed("isocratic", old).text, encoding="utf-8")
    files[1].write_text(changed("isocratic", new).text, encoding="utf-8")
    assert run(["transfer", *map(str, files), "--verbose"]) == 1
    shown = " ".join(capsys.readouterr().out.split())
    for words in (
        "L/dp 33333 for 30000; allowed 22500 to 45000 (-25 % to +50 %)",
        "scaled to the column it is about 0.6947 mL/min; isocratic: 0.3474 mL/min to 1.042 mL/min",
        "(Ph. Eur. 2.2.46, USP <621>, JP 2.00) are from secondary summaries",
        "Compare them with the edition in force",
    ):
        assert words in shown


def test_a_site_that_names_its_edition(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    policy = '[transfer]\nedition = "USP-NF 2026 <621>, HM-SOP-114"\nisocratic_kelvin = 5\n'
    (tmp_path / "limitcheck.toml").write_text(policy, encoding="utf-8")
    files = [tmp_path / "from.toml", tmp_path / "to.toml"]
    files[0].write_text(changed("isocratic", {}).text, encoding="utf-8")
    warmer = {"instrument.id": "HM-LC-07", "conditions.temperature": "41 degC"}
    files[1].write_text(changed("isocratic", warmer).text, encoding="utf-8")
    assert run(["transfer", *map(str, files), "--format", "json"]) == 1
    record = json.loads(capsys.readouterr().out)
    assert record["from_memory"] is None
    ruling = next(r for r in record["rulings"] if r["field"] == "conditions: temperature")
    assert ruling == {
        "field": "conditions: temperature",
        "sending": "35 degC",
        "receiving": "41 degC",
        "ruling": "not allowed",
        "rule": "isocratic: 30 degC to 40 degC (+/- 5 K)",
        "source": "USP-NF 2026 <621>, HM-SOP-114",
    }


def test_cannot_decide_fails_like_do_not_accept(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    files = [tmp_path / "from.toml", tmp_path / "to.toml"]
    files[0].write_text(changed("isocratic", {}).text, encoding="utf-8")
    there = {"instrument.id": "HM-LC-07", "column.chemistry": ""}
    files[1].write_text(changed("isocratic", there).text, encoding="utf-8")
    assert run(["transfer", *map(str, files)]) == 1
    shown = capsys.readouterr().out
    assert shown.startswith(
        "Transfer of KB-TEA-014 revision B from KB-LC-03 to HM-LC-07: cannot decide.\n"
    )
    assert "Cannot be decided\n  - column: chemistry: " in shown


def test_one_profile_against_itself(capsys: pytest.CaptureFixture[str]) -> None:
    file = str(EXAMPLES / "kestrel-bay.toml")
    assert run(["transfer", file, file]) == 1
    shown = " ".join(capsys.readouterr().out.split())
    assert "do not accept" in shown
    assert "one profile against itself is no transfer" in shown


@pytest.mark.parametrize("width", [60, 80])
def test_no_column_of_the_record_is_cut_off(width: int) -> None:
    sides = [load(EXAMPLES / name) for name in ("kestrel-bay.toml", "harrow-mill-07.toml")]
    found = transfer(*sides, (DEFAULT_POLICY, DEFAULT_POLICY), date(2026, 11, 25))
    text = render(transfer_document(found, CONTROL), Screen(width), record=True)
    lines = text.splitlines()
    assert max(len(line) for line in lines if str(EXAMPLES) not in line) <= width
    words = {word for item in found.rulings for word in " ".join(item[:5]).split()}
    assert {word for word in words if word not in text} <= set(EQUAL.split())
