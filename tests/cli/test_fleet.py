"""`limitcheck fleet` from the command line: every output, its order and its exit code."""

from __future__ import annotations

import csv
import io
import json
import re
import sys
from datetime import datetime
from pathlib import Path

import pytest
from openpyxl import load_workbook

from limitcheck.checking.fleet import GRADES_IN_ORDER
from limitcheck.cli.app import run
from limitcheck.render import html
from limitcheck.tables.inert import as_meant
from tests.documents.schemas import violations
from tests.profiles_for_tests import text, write

Capture = pytest.CaptureFixture[str]
ROOT = Path(__file__).parents[2]
PATHS = [str(ROOT / name) for name in ("profiles", "examples/cutoffs", "examples/units")]


@pytest.fixture
def fleet(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder with a file of each kind."""
    monkeypatch.chdir(tmp_path)
    Path("lab").mkdir()
    lab = Path("lab")
    write(lab, "bar.toml")
    write(lab, "over.toml", high="420", method='"KB-TEA-015"')
    write(lab, "none.toml", high="", method='"=KB+1"')
    psi = text(high="3000", low="900", expected_low="1800", expected_high="2600", unit='"psi"')
    (lab / "psi.toml").write_text(psi.replace("KB-LC-03", "KB-LC-04"), "utf-8")
    (lab / "broken.toml").write_text('format = 1\n[instrument]\nid = "x"\n', "utf-8")
    return lab


def as_json(capsys: Capture, *arguments: str) -> tuple[int, dict[str, object]]:
    code = run(["fleet", *arguments, "--format", "json"])
    data = json.loads(capsys.readouterr().out)
    assert violations("fleet", data) == []
    return code, data


@pytest.mark.parametrize("format", ["text", "csv", "html", "json", "markdown"])
@pytest.mark.parametrize("paths", [PATHS, PATHS[:1], ["lab"], ["lab/bar.toml"]])
def test_the_exit_code_is_that_of_a_check(
    format: str, paths: list[str], fleet: Path, capsys: Capture
) -> None:
    wanted = run(["check", *paths])
    assert run(["fleet", *paths, "--format", format]) == wanted
    capsys.readouterr()


def test_every_output_has_the_rows_of_the_run_in_one_order(fleet: Path, capsys: Capture) -> None:
    outputs = [f"-oout.{ending}" for ending in ("csv", "xlsx", "json", "html", "pdf", "md", "txt")]
    assert run(["fleet", "lab", *outputs]) == 2
    order = ["broken", "none", "over", "bar", "psi"]
    printed = capsys.readouterr().out
    places = [printed.index(name) for name in ("broken.toml", "=KB+1", "KB-TEA-015", "KB-LC-04")]
    assert places == sorted(places)
    wanted = [f"lab/{name}.toml" for name in order]
    data = json.loads(Path("out.json").read_text("utf-8"))
    assert [row["path"] for row in data["profiles"]] == wanted
    content = Path("out.csv").read_text("utf-8")
    assert content.startswith("\ufeffFile,Method,")
    rows = list(csv.DictReader(io.StringIO(content.removeprefix("\ufeff"), newline="")))
    assert [row["File"] for row in rows] == wanted
    assert (rows[1]["Method"], as_meant(rows[1]["Method"])) == ("'=KB+1", "=KB+1")
    sheet = load_workbook("out.xlsx").active
    assert sheet is not None
    header, *cells = sheet.iter_rows(values_only=True)
    assert header == tuple(rows[0])
    assert [row[0] for row in cells] == wanted
    # What a spreadsheet shows is the same in both, numbers as numbers.
    for line, row in zip(cells, rows, strict=True):
        for heading, cell in zip(header, line, strict=True):
            told = row[str(heading)]
            if isinstance(cell, float | int):
                assert float(told) == pytest.approx(cell, rel=1e-12)
                assert re.search(r"\[.+\]$", str(heading)) or isinstance(cell, int)
            else:
                assert as_meant(told) == (cell or "")
    for ending in ("html", "md", "txt"):
        whole = Path(f"out.{ending}").read_text("utf-8").replace("\\", "")
        assert all(name in whole for name in ("KB-TEA-015", "=KB+1", "lab/broken.toml"))
    assert Path("out.pdf").read_bytes().startswith(b"%PDF")


def test_counts_and_states_are_those_of_the_json_of_a_check(fleet: Path, capsys: Capture) -> None:
    paths = [*PATHS, "lab"]
    _, data = as_json(capsys, *paths)
    run(["check", *paths, "--format", "json"])
    checked = json.loads(capsys.readouterr().out)
    assert data["summary"] == checked["summary"]
    assert data["exit_code"] == checked["exit_code"] == 2
    by_path = {item["path"]: item for item in checked["profiles"]}
    for row in data["profiles"]:  # type: ignore[attr-defined]
        item = by_path.pop(row["path"])
        open_ones = [f for f in item["findings"] if not f["accepted"] and not f["known"]]
        grades = [f["severity"] for f in open_ones]
        if item["status"] == "unreadable":
            assert row["state"] == "unreadable"
        elif grades:
            assert row["state"] == min(grades, key=GRADES_IN_ORDER.index)
        for grade in ("error", "warning", "note"):
            assert row["counts"][grade] == grades.count(grade)
        assert row["not_decided"] == len(item["checks"]["not_decided"])
    assert by_path == {}


def test_all_pressures_are_in_the_unit_asked_for(fleet: Path, capsys: Capture) -> None:
    assert run(["fleet", "lab/bar.toml", "lab/psi.toml", "--unit", "psi", "--format", "csv"]) == 0
    rows = list(csv.DictReader(io.StringIO(capsys.readouterr().out, newline="")))
    numbers = {row["File"]: row["High cutoff [psi]"] for row in rows}
    assert numbers == {"lab/psi.toml": "3000", "lab/bar.toml": "3625.94344325523"}
    assert {row["High cutoff as typed"] for row in rows} == {"3000 psi", "250 bar"}
    assert run(["fleet", "lab/bar.toml", "--unit", "mPa"]) == 2
    assert "--unit mPa" in capsys.readouterr().err


def test_a_rating_in_another_unit_is_rounded_down_and_keeps_its_order(
    tmp_path: Path, capsys: Capture
) -> None:
    path = write(tmp_path, high="413.6855", step="0.0001", pump='"6000 psi"')
    assert run(["fleet", str(path)]) == 1
    row = next(line for line in capsys.readouterr().out.splitlines() if "KB-LC-03" in line)
    assert re.search(r"-0\.0000\d+ %\s+413\.6855\s+413\.685\b", row), row


def test_a_day_is_a_day_in_every_output(fleet: Path, capsys: Capture) -> None:
    path = fleet / "bar.toml"
    pair = '[[measured]]\nflow = "1 mL/min"\npressure = "150 bar"\nday = 2026-11-27\n'
    path.write_text(path.read_text("utf-8") + pair, "utf-8")
    outputs = ["-o", "out.xlsx", "-o", "out.csv", "-o", "out.json", "-o", "out.md"]
    assert run(["fleet", str(path), *outputs]) in (0, 1)
    sheet = load_workbook("out.xlsx").active
    assert sheet is not None
    header = [cell.value for cell in sheet[1]]
    cell = sheet.cell(2, header.index("Last measured") + 1)
    assert cell.is_date
    assert cell.value == datetime(2026, 11, 27)
    assert ",2026-11-27," in Path("out.csv").read_text("utf-8")
    data = json.loads(Path("out.json").read_text("utf-8"))
    assert violations("fleet", data) == []
    assert data["profiles"][0]["last_measured"] == "2026-11-27"
    assert "1 pair, 2026-11-27" in Path("out.md").read_text("utf-8")


def test_nothing_and_missing_are_said(fleet: Path, capsys: Capture) -> None:
    bare = write(fleet, "bare.toml", pump="", column="", low="0")
    bare.write_text(bare.read_text("utf-8").replace("[expected]\nlow = 120\nhigh = 200\n", ""))
    assert run(["fleet", str(bare), "lab/none.toml", "--verbose"]) == 1
    told = " ".join(capsys.readouterr().out.split())
    for words in ("no rating", "no cutoff", "Expected: not given", "Weakest rating: none is given"):
        assert words in told
    assert "No rating in force: pump, column" in told
    assert "Low cutoff: 0 bar (off)" in told
    assert "High cutoff: off" in told


@pytest.mark.parametrize("columns", [60, 80, 120])
def test_no_line_is_longer_than_the_screen(
    columns: int, capsys: Capture, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("COLUMNS", str(columns))
    for paths in (PATHS, PATHS[1:]):
        run(["fleet", *paths])
        lines = capsys.readouterr().out.splitlines()
        assert max(map(len, lines)) <= columns
        heading = next(line for line in lines if "Headroom" in line)
        assert len(re.findall(r"\bLow\b", heading)) == (columns == 120 and paths != PATHS)
        told = any(line.startswith("No room here for: ") for line in lines)
        assert told == (columns < 120 or paths == PATHS)


def test_an_empty_folder_is_never_green(tmp_path: Path, capsys: Capture) -> None:
    (tmp_path / "fleet.json").write_text("of an earlier run", "utf-8")
    (tmp_path / "none").mkdir()
    output = [f"-o{tmp_path / 'fleet.json'}", f"-o{tmp_path / 'fleet.xlsx'}"]
    assert run(["fleet", str(tmp_path / "none"), *output]) == 2
    assert "no profile was found: nothing was checked" in " ".join(capsys.readouterr().err.split())
    assert json.loads((tmp_path / "fleet.json").read_text("utf-8"))["exit_code"] == 2
    sheet = load_workbook(tmp_path / "fleet.xlsx").active
    assert sheet is not None
    assert sheet["A1"].value == "This run failed: it has no result."


def test_a_workbook_needs_its_extra(
    fleet: Path, capsys: Capture, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(sys.modules, "openpyxl", None)
    assert run(["fleet", "lab", "-o", "fleet.xlsx"]) == 2
    told = " ".join(capsys.readouterr().err.split())
    assert "a workbook needs more than the core" in told
    assert "pip install 'limitcheck[tables]'" in told
    assert not Path("fleet.xlsx").exists()
    assert run(["fleet", "lab/bar.toml", "-o", "fleet.csv"]) == 0


def test_each_profile_has_a_picture_in_html(fleet: Path, capsys: Capture) -> None:
    html._template.cache_clear()
    assert run(["fleet", "lab", "--format", "html"]) == 2
    page = capsys.readouterr().out
    assert page.count('<figure class="picture">') == 4
    assert "Pressure scale, in psi (top) and bar (bottom)" in page


def test_only_what_is_nearest_to_harm_has_details(
    tmp_path: Path, capsys: Capture, monkeypatch: pytest.MonkeyPatch
) -> None:
    for number in range(5):
        write(tmp_path, f"{number}.toml", method=f'"KB-{number}"')
    monkeypatch.setattr("limitcheck.documents.fleet.DETAILED", 2)
    assert run(["fleet", str(tmp_path), "--format", "html"]) == 0
    page = capsys.readouterr().out
    assert page.count('<figure class="picture">') == 2
    assert "Only the 2 nearest to harm are here" in page
    assert page.count("KB-4") == 1
    assert run(["fleet", str(tmp_path)]) == 0
    told = " ".join(capsys.readouterr().out.split())
    assert "KB-1" in told
    assert "KB-2" not in told
    assert "3 more are less near to harm: --verbose has all." in told
    assert run(["fleet", str(tmp_path), "--verbose"]) == 0
    assert "KB-4" in capsys.readouterr().out


def test_fail_on_known_and_tables_as_in_check(fleet: Path, capsys: Capture) -> None:
    over = str(fleet / "over.toml")
    assert run(["fleet", over]) == 1
    assert run(["fleet", over, "--fail-on", "never"]) == 0
    assert run(["check", over, "--write-known", "known.json"]) == 0
    assert run(["fleet", over, "--known", "known.json"]) == 0
    assert run(["fleet", over, "--fail-on", "serious"]) == 2
    Path("register.csv").write_text(
        "Method;Instrument;High cutoff (bar);Column rating (bar)\n"
        "KB-1;KB-LC-1;420;400\nKB-2;KB-LC-1;ca. 250;400\n",
        "utf-8",
    )
    capsys.readouterr()
    assert run(["fleet", "register.csv", "--format", "json", "-o", "fleet.html"]) == 1
    rows = {row["path"]: row for row in json.loads(capsys.readouterr().out)["profiles"]}
    assert rows.keys() == {"register.csv:2", "register.csv:3"}


def test_standard_input_is_a_profile(fleet: Path, capsys: Capture, monkeypatch) -> None:  # type: ignore[no-untyped-def]
    monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(text().encode())))
    run(["fleet", "-", "--format", "json", "--stdin-name", "tea.toml"])
    (row,) = json.loads(capsys.readouterr().out)["profiles"]
    assert (row["path"], row["method"]) == ("tea.toml", "KB-TEA-014")


@pytest.mark.parametrize("basis", ["predicted", "declared"])
def test_a_band_that_is_not_normal_takes_no_column_from_the_others(
    basis: str, capsys: Capture, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    """One row with "predicted: 2611 to 3336" left no room in 80 columns for all bands."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("COLUMNS", "80")
    content = text(expected_low="120", expected_high="200")
    path = tmp_path / "one.toml"
    path.write_text(content.replace("[expected]\n", f'[expected]\nbasis = "{basis}"\n'), "utf-8")
    run(["fleet", "one.toml", "--unit", "psi"])
    printed = capsys.readouterr().out
    assert "Expected" in next(line for line in printed.splitlines() if "Headroom" in line)
    assert ("predicted" in printed) == (basis == "predicted")
    assert "predicted: " not in printed
