"""A table of the fleet, imported: the profiles that it gives make the same table again."""

from __future__ import annotations

import csv
import io
import tomllib
from pathlib import Path
from typing import Any

import pytest
import tomli_w

from limitcheck.cli.app import run
from limitcheck.errors import LimitcheckError
from limitcheck.tables.answers import Answer, Answers, key_of
from limitcheck.tables.fleet import WHOLE
from limitcheck.tables.grid import column_letters, grid_of
from limitcheck.tables.importing import Import, import_grid
from tests.detection.generator import generate
from tests.profiles_for_tests import text

PROFILES = Path(__file__).parents[2] / "profiles"
SAME = (
    *("Method", "Revision", "Site", "Instrument", "Shows", "High cutoff [bar]"),
    *("High cutoff as typed", "Low cutoff [bar]", "Low cutoff as typed", "Expected from [bar]"),
    *("Expected from as typed", "Expected to [bar]", "Expected to as typed"),
    "Pump rating as stated",
    *("Injector rating as stated", "Column rating as stated", "Detector cell rating as stated"),
    *("Tubing rating as stated", "Fitting rating as stated", "High cutoff over expected [%]"),
    "Low cutoff under expected [%]",
)
"""What a row carries of its profile, and what follows from that alone."""


def table(folder: Path, output: Path, *options: str) -> dict[tuple[str, str], list[str]]:
    """The rows of the fleet, as a CSV has them, by method and instrument."""
    plain = output.with_name("plain.csv")
    run(["fleet", str(folder), f"-o{output}", *options])
    run(["fleet", str(folder), f"-o{plain}"])
    rows = csv.DictReader(plain.read_text("utf-8-sig").splitlines())
    return {(row["Method"], row["Instrument"]): [row[name] for name in SAME] for row in rows}


def holds(folder: Path, name: str, tmp_path: Path, *options: str) -> int:
    """Hold the round trip of a folder of profiles; the number of rows that came back."""
    first = table(folder, tmp_path / name, *options)
    found = import_grid(grid_of((tmp_path / name).read_bytes(), name))
    back = tmp_path / f"back-{name}"
    run(["import", str(tmp_path / name), "--write", str(back)])
    second = table(back, tmp_path / f"again-{name}", *options)
    waiting = {(q.method, q.instrument) for q in found.questions}
    assert second == {key: row for key, row in first.items() if key not in waiting}
    assert "comments of the files" in " ".join(found.not_looked_at())
    return len(second)


@pytest.mark.parametrize(
    ("name", "options"),
    [
        ("f.csv", []),
        ("f.csv", ["--csv", "semicolon"]),
        ("f.xlsx", []),
        ("f.csv", ["--unit", "psi"]),
    ],
)
def test_the_starting_profiles(name: str, options: list[str], tmp_path: Path) -> None:
    assert holds(PROFILES, name, tmp_path, *options) >= 8


@pytest.mark.parametrize("seed", range(4))
def test_generated_profiles(seed: int, tmp_path: Path) -> None:
    folder = tmp_path / "profiles"
    folder.mkdir()
    for number in range(12):
        document: dict[str, Any] = generate(seed, number).document
        document["method"] = {**document["method"], "id": f"KB-{number}"}
        document["instrument"] = {**document["instrument"], "id": f"KB-LC-{number}"}
        (folder / f"{number}.toml").write_text(tomli_w.dumps(document), "utf-8")
    assert holds(folder, ("f.csv", "f.xlsx")[seed % 2], tmp_path) >= 8


def test_an_instrument_keeps_its_unit_and_its_numbers(tmp_path: Path) -> None:
    """Not those in the unit of the table, which stand beside them."""
    folder, output = tmp_path / "profiles", tmp_path / "fleet.csv"
    folder.mkdir()
    (folder / "a.toml").write_text(text(unit='"MPa"', high="25", low="6", expected_low="12",
                                        expected_high="20"), "utf-8")  # fmt: skip
    (folder / "b.toml").write_text(text(method='"=1+1"', low="0"), "utf-8")
    run(["fleet", str(folder), f"-o{output}"])
    found = import_grid(grid_of(output.read_bytes(), "fleet.csv"))
    made = {
        table["method"]["id"]: table
        for table in map(tomllib.loads, dict(found.profiles()).values())
    }
    asked = {q.method for q in found.questions}
    assert made.keys() | asked == {"KB-TEA-014", "=1+1"}
    assert {table["instrument"]["pressure_unit"] for table in made.values()} <= {"MPa", "bar"}
    if "KB-TEA-014" in made:
        assert made["KB-TEA-014"]["cutoffs"] == {"high": 25, "low": 6}


def _fleet_rows(tmp_path: Path) -> list[list[str]]:
    folder, output = tmp_path / "profiles", tmp_path / "fleet.csv"
    folder.mkdir()
    (folder / "a.toml").write_text(text(unit='"psi"', high="3900", low="430", expected_low="1700",
                                        expected_high="2800"), "utf-8")  # fmt: skip
    run(["fleet", str(folder), f"-o{output}"])
    return list(csv.reader(output.read_text("utf-8-sig").splitlines()))


def _import(rows: list[list[str]], answers: Answers | None = None) -> Import:
    made = io.StringIO()
    csv.writer(made).writerows(rows)
    return import_grid(grid_of(made.getvalue().encode(), "fleet.csv"), answers=answers)


def _units(found: Import) -> set[str]:
    return {tomllib.loads(text)["instrument"]["pressure_unit"] for _, text in found.profiles()}


def test_a_title_above_changes_nothing(tmp_path: Path) -> None:
    rows = _fleet_rows(tmp_path)
    found, above = _import(rows), _import([["Kestrel Bay fleet"], *rows])
    assert [q.about for q in above.questions] == [q.about for q in found.questions]
    assert _units(above) == {"psi"}
    profile, again = (dict(one.profiles()).popitem()[1] for one in (found, above))
    assert tomllib.loads(again)["cutoffs"] == tomllib.loads(profile)["cutoffs"]


def test_a_column_that_is_gone_is_named_or_not_missed(tmp_path: Path) -> None:
    rows = _fleet_rows(tmp_path)
    needed = {WHOLE, *(name for name in SAME if " [" not in name)}
    for at, heading in enumerate(rows[0]):
        left = [row[:at] + row[at + 1 :] for row in rows]
        if heading in needed:
            with pytest.raises(LimitcheckError, match=f'without its column "{heading}"'):
                _import(left)
            continue
        assert _units(_import(left)) <= {"psi"}


@pytest.mark.parametrize("heading", ["High cutoff [bar]", "Expected from [bar]"])
def test_a_number_that_was_edited_is_asked(heading: str, tmp_path: Path) -> None:
    rows = _fleet_rows(tmp_path)
    at = rows[0].index(heading)
    assert not _import(rows).questions
    shown = [*rows[1]]
    shown[at] = f"{float(shown[at]):.2f}"
    assert not _import([rows[0], shown]).questions
    for other in ("250", "", "about"):
        row = [*rows[1]]
        row[at] = other
        found = _import([rows[0], row])
        (question,) = found.questions
        assert not found.ready
        assert question.cell == f"{column_letters(at + 1)}2"
        assert f"as {heading} ({column_letters(at)}2): one was changed" in question.text
        kept = Answers({key_of(question): Answer("as it stands", False, question)})
        assert not _import([rows[0], row], kept).questions


def test_a_row_that_fleet_could_not_read_becomes_no_profile(tmp_path: Path) -> None:
    """Its numbers are not in the table: a profile without cutoffs would be none of them."""
    folder = tmp_path / "fleet"
    folder.mkdir()
    (folder / "good.toml").write_text(text(), "utf-8")
    (folder / "bad.toml").write_text(text().replace("high = ", "high == "), "utf-8")
    output = tmp_path / "fleet.csv"
    run(["fleet", str(folder), f"-o{output}"])
    lines = output.read_text("utf-8-sig").splitlines()
    rows = [dict(row) for row in csv.DictReader(lines)]
    for row in rows:  # a register's row has a method and an instrument all the same
        if row["Nearness to harm"] == "unreadable":
            row |= {"Method": "KB-X-1", "Instrument": "KB-LC-9", "Shows": "bar"}
    out = io.StringIO()
    writer = csv.DictWriter(out, rows[0])
    writer.writeheader()
    writer.writerows(rows)
    found = import_grid(grid_of(out.getvalue().encode(), "fleet.csv"))
    assert [question.method for question in found.questions] == ["KB-X-1"]
    assert "had no numbers of this row" in found.questions[0].text
    assert len(dict(found.profiles())) == 1


@pytest.mark.parametrize(
    ("heading", "new", "place", "value"),
    [
        ("High cutoff as typed", "3800 psi", ("cutoffs", "high"), 3800),
        ("High cutoff as typed", "3800", ("cutoffs", "high"), 3800),
        ("Low cutoff as typed", "off", ("cutoffs", "low"), None),
        ("Expected to as typed", "19.5 MPa", ("expected", "high"), "19.5 MPa"),
        ("Site", "Harrow Mill", ("method", "site"), "Harrow Mill"),
        ("Column rating as stated", "440 bar", ("flow_path", 1, "rating"), "440 bar"),
    ],
)
def test_what_was_edited_is_asked_and_then_put_into_the_profile(
    heading: str, new: str, place: tuple[str | int, ...], value: object, tmp_path: Path
) -> None:
    rows = _fleet_rows(tmp_path)
    at = rows[0].index(heading)
    rows[1][at] = new
    (question,) = _import(rows).questions
    assert question.cell == f"{column_letters(at)}2"
    assert "in the whole profile: one was changed" in question.text
    kept = Answers({key_of(question): Answer("as it stands", False, question)})
    found = _import(rows, kept)
    assert not found.questions
    made: Any = tomllib.loads(dict(found.profiles()).popitem()[1])
    for step in place[:-1]:
        made = made[step]
    assert made.get(place[-1]) == value


@pytest.mark.parametrize(
    ("heading", "new", "told"),
    [
        ("Shows", "bar", "changes what its bare numbers mean"),
        ("High cutoff as typed", "250 bar", "on an instrument that shows psi"),
        ("High cutoff as typed", "about 3800", "is not a number"),
        ("Expected from as typed", "not given", "expected"),
        ("Injector rating as stated", "400 bar", "the profile has no injector"),
        ("Method", "", "id is missing"),
    ],
)
def test_what_cannot_be_put_there_is_asked_again(
    heading: str, new: str, told: str, tmp_path: Path
) -> None:
    rows = _fleet_rows(tmp_path)
    rows[1][rows[0].index(heading)] = new
    (question,) = _import(rows).questions
    kept = Answers({key_of(question): Answer("as it stands", False, question)})
    found = _import(rows, kept)
    assert not found.ready
    assert any(told in one.text for one in found.questions)


def test_a_whole_profile_that_was_cut_off_is_asked(tmp_path: Path) -> None:
    rows = _fleet_rows(tmp_path)
    at = rows[0].index(WHOLE)
    for cell in (rows[1][at][:100], "", "{}", "{ format = 1 }", "1", "too long for a cell"):
        row = [*rows[1]]
        row[at] = cell
        found = _import([rows[0], row])
        assert not found.ready
        assert found.questions[0].cell == f"{column_letters(at)}2"
