"""A table that is checked as it stands: the same answers as its profiles, places, what is open."""

from __future__ import annotations

import json
import tomllib
from pathlib import Path
from random import Random
from typing import Any
from xml.etree import ElementTree

import pytest

from limitcheck.cli.app import run
from limitcheck.tables.grid import Grid, grid_of
from limitcheck.tables.importing import import_grid
from limitcheck.tables.written import write_files

from .registers import HEADER, as_csv, bare, register
from .test_shapes import SHAPES, content_of
from .test_shapes import grid as grid_of_shape
from .workbooks import Book, workbook

SAID = (
    *("check", "severity", "confidence", "path", "message", "advice", "place", "compared"),
    *("fingerprint", "meant", "withheld"),
)


def asked(capsys: pytest.CaptureFixture[str], *arguments: object) -> dict[str, Any]:
    capsys.readouterr()
    code = run(["check", *map(str, arguments), "--format", "json"])
    found = json.loads(capsys.readouterr().out)
    assert found["exit_code"] == code
    return dict(found)


def said(profile: dict[str, Any]) -> dict[str, Any]:
    """What a check says of a profile, without where it stands."""
    findings = [{key: finding[key] for key in SAID} for finding in profile["findings"]]
    typed = [(item["path"], item["enter"], item["unit"]) for item in profile["recommendations"]]
    return {"findings": findings, "typed": typed, "checks": profile["checks"]}


def the_same(grid: Grid, table: Path, folder: Path, capsys: pytest.CaptureFixture[str]) -> int:
    """Hold a table beside the profiles that an import writes; the number of those."""
    found = import_grid(grid)
    write_files(str(folder), dict(found.profiles()), dict(found.shared()))
    beside = asked(capsys, folder)["profiles"] if folder.exists() else []
    rows = asked(capsys, table)["profiles"]
    by_id: dict[tuple[Any, ...], Any] = {}
    for profile in beside:
        revision = tomllib.loads(Path(profile["path"]).read_text())["method"].get("revision")
        by_id[profile["method"], profile["instrument"], revision] = said(profile)
    open_rows = [row for row in rows if any("question" in f["data"] for f in row["findings"])]
    checked = [row for row in rows if row not in open_rows]
    assert len(checked) == len(beside) == len(found.ready)
    assert len(open_rows) == found.waiting
    left = list(by_id.values())
    for row in checked:
        assert row["path"] == str(table)
        mine = said(row)
        assert mine in left
        left.remove(mine)
    for row in open_rows:
        assert row["checks"]["holds"] == row["checks"]["broken"] == []
        assert all(f["check"] == "not-decided" and f["cell"] for f in row["findings"])
    return len(checked)


@pytest.mark.parametrize("path", SHAPES, ids=lambda path: path.stem)
def test_a_shape_is_checked_like_the_profiles_of_its_import(
    path: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    shape = tomllib.loads(path.read_text("utf-8"))
    table = tmp_path / ("table.csv" if "text" in shape else "table.xlsx")
    table.write_bytes(content_of(shape))
    the_same(grid_of_shape(shape), table, tmp_path / "profiles", capsys)


@pytest.mark.parametrize("seed", range(12))
def test_a_generated_table_is_checked_like_the_profiles_of_its_import(
    seed: int, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """With slips, as CSV or workbook, with or without the column that says the unit."""
    rng = Random(seed)
    made = register(seed % 3, rng.choice((3, 12, 30)), rng)
    header, rows = (HEADER, made.rows) if rng.random() < 0.6 else bare(made.rows)
    rows = [list(row) for row in rows]
    for _ in range(rng.randrange(6)):
        row = rng.choice(rows)
        at = rng.randrange(2, len(row))
        row[at] = rng.choice(("", "?", "12 mPa", "9999", f"{row[at]}0", "0.5", "x" * 30, '5"\n6'))
    table, content = tmp_path / "reg.csv", as_csv(header, rows)
    if seed % 2:
        table, content = tmp_path / "reg.xlsx", workbook({"Methods": Book([list(header), *rows])})
    table.write_bytes(content)
    the_same(grid_of(content, table.name), table, tmp_path / "profiles", capsys)


CSV = """Method;Instrument;Pressure unit;High cutoff;Low cutoff;Expected low;Expected high;Pump rating;Column rating
"KB-1
second line";KB-LC-1;bar; 420 ;20;80;200;400 bar;400 bar
KB-2;KB-LC-1;bar;"250";20;80;12 mPa;400 bar;400 bar
KB-3;KB-LC-1;bar;260;;90;200;400 bar;400 bar
"""  # noqa: E501


def test_places_in_a_csv_are_true_lines_and_columns(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    table = tmp_path / "register.csv"
    table.write_text(CSV, "utf-8")
    lines = CSV.split("\n")
    found = asked(capsys, table)["profiles"]
    assert [profile["row"] for profile in found] == ["2", "4", "5"]
    over = next(f for f in found[0]["findings"] if f["check"] == "high-cutoff-above-rating")
    assert (over["cell"], over["line"]) == ("D2", 3)
    assert lines[2][over["column"] - 1 : over["end_column"] - 1] == "420"
    assert [(place["line"], place["cell"]) for place in over["related"]] == [(3, "H2"), (3, "I2")]
    question = next(f for f in found[1]["findings"] if f.get("cell") == "G3")
    assert (question["line"], question["check"]) == (4, "not-decided")
    assert lines[3][question["column"] - 1 : question["end_column"] - 1] == "12 mPa"
    off = next(f for f in found[2]["findings"] if f["check"] == "low-cutoff-off")
    assert (off["line"], off["column"], off["cell"]) == (5, lines[4].index(";;") + 2, "E4")


BOOK = [
    ["Method", "Instrument", "High cutoff (bar)", "Expected (bar)", "Column rating (bar)"],
    ["KB-1", "KB-LC-1", "420", "80-200", "400"],
    ["KB-2", "KB-LC-1", "ca. 250", "80-200", "400"],
]


def written_book(folder: Path) -> Path:
    path = folder / "register.xlsx"
    path.write_bytes(workbook({"Methods": Book(BOOK)}))
    return path


def test_every_format_names_sheet_and_cell(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    table = written_book(tmp_path)
    formats = ("sarif", "junit", "text", "remarks-text", "remarks-json")
    files = [f"{name}={tmp_path / name}" for name in formats]
    assert run(["check", str(table), *(f"-o{file}" for file in files)]) == 1
    assert f"{table}:Methods!C2: error: high-cutoff-above-rating" in capsys.readouterr().out
    told = {name: (tmp_path / name).read_text("utf-8") for name in formats}
    assert all("Methods!C2" in text and "Methods!C3" in text for text in told.values())
    (sarif,) = json.loads(told["sarif"])["runs"]
    for result in sarif["results"]:
        (place,) = result["locations"]
        assert place["physicalLocation"].keys() == {"artifactLocation"}
        cell = place["logicalLocations"][0]["fullyQualifiedName"]
        assert result["message"]["text"].startswith(f"{cell}: ")
        assert "fixes" not in result
    suites = {suite.get("name") for suite in ElementTree.fromstring(told["junit"])}
    assert {"register.xlsx:Methods!2", "register.xlsx:Methods!3"} <= {
        str(name).rpartition("/")[2] for name in suites
    }


def test_a_question_of_a_whole_column_is_told_once(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    table = tmp_path / "register.csv"
    rows = [f"KB-{n};KB-LC-1;{n}50;400" for n in range(1, 5)]
    table.write_text("\n".join(["Method;Instrument;High cutoff;Column rating", *rows]), "utf-8")
    assert run(["check", str(table)]) == 1
    shown = " ".join(capsys.readouterr().out.split())
    assert shown.count("ratings without a unit") == 1
    assert all(f"{table}:{n}: 0 checks hold" in shown for n in range(2, 6))


@pytest.mark.parametrize(
    "text",
    ["", "a;b\n1;2\n", "Method;Instrument;High cutoff (bar)\n", "Column;Rating\nx;400 bar\n"],
)
def test_a_table_without_a_row_to_check_is_an_error(
    text: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    table = tmp_path / "register.csv"
    table.write_text(text, "utf-8")
    (profile,) = asked(capsys, table, "--fail-on", "never")["profiles"]
    assert profile["status"] == "unreadable"
    assert run(["check", str(table), "--fail-on", "never"]) == 2
    assert f"{table}:1:1: error: unreadable-profile" in capsys.readouterr().out


def test_options_of_check_on_tables(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    table = written_book(tmp_path)
    for option in ("--fix", "--fix-likely", "--diff"):
        assert run(["check", str(table), option]) == 2
        assert "corrections are written into profiles only" in capsys.readouterr().err
    known = tmp_path / "known.json"
    assert run(["check", str(table), "--write-known", str(known)]) == 1
    entries = json.loads(known.read_text("utf-8"))["known"]
    assert {entry["file"] for entry in entries} == {"register.xlsx"}
    found = asked(capsys, table, "--known", known)["profiles"]
    kept = [[f["check"] for f in p["findings"] if not f["known"]] for p in found]
    assert kept == [[], ["not-decided"]]  # a question is never a known finding
    assert run(["check", str(table), "--known", str(known), "--fail-on", "never"]) == 0
    assert run(["check", str(tmp_path)]) == 2
    assert "1 table: name it to have its rows checked" in capsys.readouterr().out
    assert run(["check", str(tmp_path / "none.toml"), "--map", "map.toml"]) == 2
    assert "no table is named" in capsys.readouterr().err


def test_a_table_and_profiles_contradict_each_other(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    table, folder = written_book(tmp_path), tmp_path / "profiles"
    found = import_grid(grid_of(table.read_bytes(), "register.xlsx"))
    write_files(str(folder), dict(found.profiles()), dict(found.shared()))
    answer = asked(capsys, table, folder)
    twice = [
        (profile["path"], finding.get("cell"))
        for profile in answer["profiles"]
        for finding in profile["findings"]
        if finding["check"] == "duplicate-method-revision"
    ]
    assert twice == [(str(table), "Methods!A2"), (str(folder / "kb-1-kb-lc-1.toml"), None)]


def test_answers_and_a_mapping_decide(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    table, answers = written_book(tmp_path), tmp_path / "answers.csv"
    assert run(["import", str(table), "--questions", str(answers)]) == 1
    text = answers.read_text("utf-8").splitlines()
    answers.write_text("\n".join([text[0], *(f"{line[:-1]}250," for line in text[1:])]), "utf-8")
    found = asked(capsys, table, "--answers", answers)["profiles"] if capsys.readouterr() else []
    assert not any("question" in f["data"] for p in found for f in p["findings"])
    assert run(["check", str(table), str(tmp_path / "b.csv"), "--answers", str(answers)]) == 2
    odd = tmp_path / "odd.csv"
    odd.write_text("M|I|Pmax\nKB-1|KB-LC-1|250 bar\n", "utf-8")
    mapping = tmp_path / "map.toml"
    mapping.write_text(
        'mapping = 1\ndelimiter = "|"\n[headers]\nM = "method.id"\nI = "instrument.id"\n'
        'Pmax = "cutoffs.high"\n',
        "utf-8",
    )
    capsys.readouterr()
    (profile,) = asked(capsys, odd, "--map", mapping)["profiles"]
    assert (profile["method"], profile["instrument"]) == ("KB-1", "KB-LC-1")


def test_a_cell_without_a_header_is_told(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """As one cell too many in a row gives: the numbers before it may have moved."""
    table = tmp_path / "register.csv"
    head = "Method;Instrument;High cutoff (bar);Column rating (bar)"
    table.write_text(f"{head}\nKB-1;KB-LC-1;250;400;extra\n", "utf-8")
    (remark,) = asked(capsys, table)["looked"]["remarks"]
    assert 'E2: "extra" has no header' in remark
