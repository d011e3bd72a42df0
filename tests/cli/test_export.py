"""What to type at each instrument: never from a profile with an error or something not decided."""

from __future__ import annotations

import csv
import json
import re
import subprocess
from datetime import date
from fractions import Fraction
from pathlib import Path
from shutil import which
from typing import Any

import pytest
from jsonschema import Draft202012Validator

from limitcheck.checking.file import check_file
from limitcheck.cli.app import run
from limitcheck.policy import DEFAULT_POLICY
from limitcheck.profile.load import load
from limitcheck.schemas import command_schema
from limitcheck.tables.animl import animl_text
from limitcheck.tables.to_type import SheetRow
from tests.checking.test_fleet import ACCEPTED
from tests.profiles_for_tests import TEXT, text

ROOT = Path(__file__).parents[2]
EVERY = [
    *sorted((ROOT / "profiles").glob("*.toml")),
    *sorted((ROOT / "tests/cases").glob("*.toml")),
]


def exported(capsys: pytest.CaptureFixture[str], *arguments: object) -> dict[str, Any]:
    capsys.readouterr()
    run(["export", *map(str, arguments), "--format", "json"])
    found: dict[str, Any] = json.loads(capsys.readouterr().out)
    return found


def test_data_is_whole_and_every_number_has_its_unit(capsys: pytest.CaptureFixture[str]) -> None:
    """Over all starting profiles and cases: the schema allows no number without a unit."""
    data = exported(capsys, *EVERY)
    validator = Draft202012Validator(json.loads(command_schema("export")))
    assert [f"{e.json_path}: {e.message}" for e in validator.iter_errors(data)] == []
    read = [item for item in data["profiles"] if item["whole"] is not None]
    assert len(read) > 50
    for item in read:
        profile, whole = load(item["path"]).profile, item["whole"]
        assert len(whole["flow_path"]) == len(profile.flow_path)
        for key in ("high", "low"):
            pressure = getattr(profile.cutoffs, key)
            given = whole.get("cutoffs", {}).get(key)
            assert (given is None) == (pressure is None)
            if pressure is not None:
                assert given["unit"] == profile.instrument.pressure_unit
                assert Fraction(given["pascal"]) == pressure.value


def test_the_sheet_says_how_many_are_held_back_by_what(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    """The worst of each: an error before a doubt, a doubt before what is not decided."""
    peak = (ROOT / "tests/cases/gradient-peak-outside-expected.toml").read_text(encoding="utf-8")
    made = {
        "good": TEXT,
        "error": text(high="1200"),
        "doubt": peak,
        "open": TEXT.replace("[expected]\nlow = 120\nhigh = 200\n", ""),
        "unread": "format =",
    }
    paths = [tmp_path / f"{name}.toml" for name in made]
    for path, content in zip(paths, made.values(), strict=True):
        own = re.sub(r'\nid = "[^"]*"', f'\nid = "{path.stem}"', content, count=1)
        path.write_text(own, encoding="utf-8")
    capsys.readouterr()

    def told(*chosen: Path) -> str:
        run(["export", *map(str, chosen)])
        return " ".join(capsys.readouterr().out.split())

    assert (
        "1 profile that cannot be read, 1 profile with an error, 1 profile with something in "
        "doubt, 1 profile with something not decided: nothing of these is to be typed."
    ) in told(*paths)
    assert "1 profile with something in doubt: nothing of it is to be typed." in told(
        paths[0], paths[2]
    )
    assert "nothing of" not in told(paths[0])


def test_nothing_to_type_where_check_finds_an_error(capsys: pytest.CaptureFixture[str]) -> None:
    data = exported(capsys, *EVERY)
    run(["check", *map(str, EVERY), "--format", "json"])
    checked = {p["path"]: p for p in json.loads(capsys.readouterr().out)["profiles"]}
    typed = [item for item in data["profiles"] if item["may_be_typed"]]
    assert 0 < len(typed) < len(data["profiles"])
    for item in typed:
        found = checked[item["path"]]["findings"]
        assert not [f for f in found if f["severity"] == "error" and not f["accepted"]]
    for item in data["profiles"]:
        assert item["may_be_typed"] != bool(item["why_not"])


@pytest.mark.parametrize(
    "policy",
    ["[require]\nchecks = []\n", '[severity]\nhigh-cutoff-above-rating = "note"\n',
     '[severity]\nhigh-cutoff-above-rating = "off"\n'],
)  # fmt: skip
def test_no_policy_lets_a_number_through(
    policy: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "limitcheck.toml").write_text(policy, "utf-8")
    over = tmp_path / "over.toml"
    changed = {"column": "", "pump": ""} if "require" in policy else {"high": "9000"}
    over.write_text(text(**changed), "utf-8")
    run(["export", str(over), "-o", str(tmp_path / "s.csv"), "-o", str(tmp_path / "s.html")])
    shown = capsys.readouterr().out
    assert "DO NOT TYPE ANYTHING FROM THIS PROFILE" in shown
    assert "High cutoff =" not in shown
    assert "High cutoff =" not in (tmp_path / "s.html").read_text("utf-8")
    (row,) = csv.DictReader((tmp_path / "s.csv").read_text("utf-8-sig").splitlines())
    assert (row["May be typed"], row["High cutoff to type"], row["Low cutoff to type"]) == (
        "NO",
        "",
        "",
    )
    assert row["Why nothing is to be typed"]


def test_a_good_profile_gives_its_numbers(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "tea.toml"
    path.write_text(TEXT, "utf-8")
    file = load(path)
    assert run(["export", str(path), "-o", str(tmp_path / "s.csv")]) == 0
    shown = capsys.readouterr().out
    high, unit = file.profile.cutoffs.high, file.profile.instrument.pressure_unit
    assert high is not None
    assert f"High cutoff = {high.number} ({unit})" in shown
    assert "Follow the rules of this laboratory" in shown
    (row,) = csv.DictReader((tmp_path / "s.csv").read_text("utf-8-sig").splitlines())
    assert (row["High cutoff to type"], row["Unit"]) == (high.number, unit)
    assert (row["SHA-256"], row["Method"]) == (file.sha256, file.profile.method.id)


def test_who_answers_for_an_error_is_named_beside_the_numbers(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "limitcheck.toml").write_text("[acceptances]\nnever = []\n", "utf-8")
    path = tmp_path / "tea.toml"
    path.write_text(TEXT.replace("high = 250", "high = 420") + ACCEPTED, "utf-8")
    (item,) = exported(capsys, path)["profiles"]
    assert item["may_be_typed"]
    run(["export", str(path)])
    shown = " ".join(capsys.readouterr().out.split())
    assert "High cutoff = 420 (bar)" in shown
    assert "high-cutoff-above-rating: " in shown
    assert "method owner" in shown


@pytest.mark.skipif(which("pdftotext") is None, reason="needs poppler-utils")
def test_every_page_names_instrument_and_method(tmp_path: Path) -> None:
    pytest.importorskip("typst")
    for number in range(12):
        given = text(method=f'"KB-BULK-{number}"')
        (tmp_path / f"{number}.toml").write_text(given, "utf-8")
    pdf = tmp_path / "s.pdf"
    run(["export", str(tmp_path), "-o", str(pdf)])
    told = subprocess.run(
        ["pdftotext", str(pdf), "-"], capture_output=True, text=True, check=True
    ).stdout
    pages = [page for page in told.split("\f") if page.strip()]
    assert len(pages) > 3
    instrument = load(tmp_path / "0.toml").profile.instrument.id
    for page in pages:
        assert f"{instrument}, shows" in page
        if "cutoff =" in page:
            assert page.index("KB-BULK-") < page.index("cutoff =")


def test_a_workbook_prints_names_beside_numbers(tmp_path: Path) -> None:
    from openpyxl import load_workbook

    path, book = tmp_path / "tea.toml", tmp_path / "s.xlsx"
    path.write_text(TEXT, "utf-8")
    run(["export", str(path), "-o", str(book)])
    sheet = load_workbook(book)["To type"]
    (first,) = (column.id for column in sheet.col_breaks.brk)
    headings = [cell.value for cell in sheet[1]][:first]
    assert {"Instrument", "Method", "High cutoff to type", "Low cutoff to type", "Unit",
            "Why nothing is to be typed"} <= set(headings)  # fmt: skip
    assert sheet.page_setup.orientation == "landscape"
    assert (sheet.print_title_rows, sheet.print_title_cols) == ("$1:$1", "$A:$C")
    widths = sum(column.width for column in sheet.column_dimensions.values() if column.max <= first)
    points = widths * 5.25 * sheet.page_setup.scale / 100  # 7 pixels a character, 96 an inch
    assert points < (11 - 0.8) * 72  # the narrower of the two papers lies down


@pytest.mark.skipif(which("pdftotext") is None, reason="needs poppler-utils")
@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_the_sheet_prints_large(paper: str, tmp_path: Path) -> None:
    pytest.importorskip("typst")
    path, pdf = tmp_path / "tea.toml", tmp_path / "s.pdf"
    path.write_text(TEXT, "utf-8")
    assert run(["export", str(path), "-o", str(pdf), "--paper", paper]) == 0
    boxes = subprocess.run(
        ["pdftotext", "-bbox-layout", str(pdf), "-"], capture_output=True, text=True, check=True
    ).stdout
    line = next(line for line in boxes.splitlines() if ">High<" in line)
    low, high = (float(line.split(f'{name}="')[1].split('"')[0]) for name in ("yMin", "yMax"))
    assert high - low > 20  # points


def test_one_profile_alone_names_its_instrument_on_the_terminal(
    capsys: pytest.CaptureFixture[str],
) -> None:
    run(["export", "examples/units/kestrel-bay.toml"])
    assert "KB-LC-03, shows bar" in capsys.readouterr().out


def test_a_number_that_is_in_doubt_is_not_to_be_typed(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A warning is enough: propose and entry decide nothing from such a profile either."""
    path = tmp_path / "doubt.toml"
    text = (ROOT / "examples/units/kestrel-bay.toml").read_text("utf-8")
    changed = text.replace('basis = "measured"', 'basis = "predicted"')
    assert changed != text
    path.write_text(changed, "utf-8")
    assert run(["check", str(path)]) == 0
    capsys.readouterr()
    assert run(["export", str(path)]) == 1
    printed = capsys.readouterr().out
    assert "DO NOT TYPE ANYTHING FROM THIS PROFILE" in printed
    assert "Why: expected-against-prediction" in printed


def test_only_a_normal_band_is_called_normal(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A predicted band stood as normal pressure on the sheet, in the table and as AnIML."""
    path, animl = tmp_path / "one.toml", tmp_path / "one.animl"
    for basis, table, normal in (
        ("measured", "145 to 172 bar", True),
        ("predicted", '"not known: 145 to 172 bar, only predicted"', False),
    ):
        expected = f'[expected]\nbasis = "{basis}"\n'
        path.write_text(
            text(high="260", low="60", expected_low="145", expected_high="172").replace(
                "[expected]\n", expected
            ),
            "utf-8",
        )
        run(["export", str(path), "--format", "csv", f"-o{animl}"])
        assert f",{table}," in capsys.readouterr().out
        told = animl.read_text("utf-8")
        assert ("Normal pressure from" in told) == ("Normal pressure to" in told) == normal
        report = check_file(load(path), DEFAULT_POLICY, date(2026, 1, 1))
        row = SheetRow(report, load(path), (), (), "")  # as where somebody answers for what is open
        told = animl_text([row], date(2026, 1, 1), "")
        assert ("Normal pressure from" in told) == normal
        assert ("not known: 145 to 172 bar, only predicted" in told) == (not normal)
        run(["export", str(path)])
        assert ("not known: 145 to 172" in capsys.readouterr().out) == (not normal)
