"""Any profile comes back from a table of the fleet as it was, or its row is asked.

The profiles are drawn: every kind of part, several of one kind, in any order, with and without
ratings, tables of ratings, conditions, gradients, measured pairs, margins and acceptances.
"""

from __future__ import annotations

import tempfile
from collections.abc import Mapping
from datetime import date
from functools import cache, partial
from pathlib import Path
from random import Random
from typing import Any, get_args

import pytest
import tomli_w
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from limitcheck.checking.fleet import fleet_of
from limitcheck.checking.policy_file import policy_for
from limitcheck.checking.run import Target, check_targets
from limitcheck.errors import Refused
from limitcheck.profile.load import load, load_bytes
from limitcheck.profile.model import Column, Device, Profile, Tube
from limitcheck.tables.checked import read_table, rows_of
from limitcheck.tables.fleet import WHOLE, fleet_table
from limitcheck.tables.from_fleet import OURS
from limitcheck.tables.grid import Grid, TableError, grid_of
from limitcheck.tables.importing import Import, import_grid
from limitcheck.tables.spreadsheet import STYLES, WrittenTable, csv_text, workbook

DAY = date(2026, 11, 27)
KINDS = [
    name
    for part in (Device, Tube, Column)
    for name in get_args(part.model_fields["part"].annotation)
]
FACTORS = {"bar": 1, "psi": 14.5, "MPa": 0.1, "kPa": 100}
TEXTS = st.text(
    st.sampled_from(" abKB019-=+@'\"\\,;|#{}[]\u00b5\u00e9"), min_size=1, max_size=20
).filter(lambda text: bool(text.strip()))


@st.composite
def parts(draw: st.DrawFn) -> dict[str, Any]:
    """A part of any kind, with some of the keys that it may have."""
    kind = draw(st.sampled_from(KINDS))
    part: dict[str, Any] = {"part": kind}
    if draw(st.booleans()):
        part["rating"] = draw(st.sampled_from(["400 bar", "6000 psi", "41.37 MPa", "1000 bar"]))
        if draw(st.integers(0, 3)) == 0:
            part["rating_at_flow"] = [
                {"flow": "1 mL/min", "rating": "400 bar"},
                {"flow": "2.50 mL/min", "rating": "380 bar"},
            ]
            part["interpolate"] = draw(st.booleans())
        if draw(st.integers(0, 3)) == 0:
            part["rating_at_temperature"] = [{"temperature": "60 degC", "rating": "395.0 bar"}]
    if draw(st.booleans()):
        part["label"] = draw(TEXTS)
    if kind in ("tubing", "loop") and draw(st.booleans()):
        part |= {"length": "300 mm", "bore": "0.17 mm"}
    if kind in ("filter", "detector cell", "restrictor") and draw(st.booleans()):
        part["resistance_at"] = {"pressure": "3 bar", "flow": "1 mL/min"}
    if kind in ("column", "guard column") and draw(st.booleans()):
        part |= {"chemistry": "C18", "length": "150 mm", "bore": "4.6 mm", "particle_size": "5 um"}
    return part


@st.composite
def profiles(draw: st.DrawFn) -> dict[str, Any]:
    """A profile whose pressures fit each other."""
    unit = draw(st.sampled_from(sorted(FACTORS)))
    factor = FACTORS[unit]
    cutoffs = {"high": round(250 * factor), "low": round(60 * factor)}
    if draw(st.integers(0, 4)) == 0:
        del cutoffs[draw(st.sampled_from(["high", "low"]))]
    elif draw(st.integers(0, 4)) == 0:
        cutoffs["low"] = 0
    method: dict[str, Any] = {"id": draw(TEXTS)}
    for key in ("title", "revision", "site"):
        if draw(st.booleans()):
            method[key] = draw(TEXTS)
    made: dict[str, Any] = {
        "method": method,
        "instrument": {"id": draw(st.sampled_from(["KB-LC-03", "HM-LC 7"])), "pressure_unit": unit},
        "cutoffs": cutoffs,
    }
    if draw(st.booleans()):
        made["expected"] = {"low": round(120 * factor), "high": round(200 * factor)}
        if draw(st.booleans()):
            made["expected"] = {"low": "120.0 bar", "high": "200 bar", "basis": "measured"}
    if draw(st.booleans()):
        made["conditions"] = {"flow": "1.0 mL/min", "temperature": "40 degC", "solvent_a": "water"}
        if draw(st.booleans()):
            made["conditions"] |= {
                "solvent_b": "acetonitrile",
                "gradient": [{"minute": 0, "percent_b": 5}, {"minute": 12.5, "percent_b": 95}],
            }
    before = draw(st.lists(parts(), max_size=4))
    after = draw(st.lists(parts(), max_size=4))
    column = {"part": "column", "rating": "400 bar"}
    pump = {"part": "pump"} | ({"rating": "400 bar"} if draw(st.booleans()) else {})
    made["flow_path"] = [pump, *before, column, *after]
    if draw(st.booleans()):
        pair = {"pressure": "150 bar", "flow": "1 mL/min", "percent_b": 5, "day": DAY}
        made["measured"] = [pair]
    if draw(st.booleans()):
        made["margins"] = {"high": "25 %", "headroom": "5 %"}
    if draw(st.booleans()):
        made["accepted"] = [
            {"check": "no-low-cutoff", "reason": draw(TEXTS), "by": "Kestrel Bay", "until": DAY}
        ]
    return {"format": 1} | made


def fleet(folder: Path, *more: Path) -> WrittenTable:
    """The table of the fleet of a folder, and of tables."""
    files = [Target(str(path)) for path in sorted(folder.glob("*.toml"))]
    targets = [*files, *(Target(str(path), table=True) for path in more)]
    run = check_targets(targets, policy_for, DAY, facts=True, read_table=partial(read_table))
    table = fleet_table(fleet_of(run.reports), "bar")
    return table._replace(rows=[list(row) for row in table.rows])


def written(table: WrittenTable, form: str) -> Grid:
    if form == "xlsx":
        return grid_of(workbook(table), "fleet.xlsx")
    return grid_of(csv_text(table, STYLES[form]).encode(), "fleet.csv")


def made_by(found: Import) -> dict[tuple[str, str], Profile]:
    """The profiles of an import, as their files are read."""
    assert not list(found.shared())
    texts = [load_bytes(text.encode(), path).profile for path, text in found.profiles()]
    return {(one.method.id, one.instrument.id): one for one in texts}


def same(one: Profile, other: Profile) -> bool:
    """Whether two profiles say the same, also in which unit each pressure was typed."""
    tables = [(p.cutoffs.with_unit, p.expected and p.expected.with_unit) for p in (one, other)]
    return plain(one) == plain(other) and tables[0] == tables[1] and repr(one) == repr(other)


def plain(profile: Profile) -> Mapping[str, Any]:
    """What a profile says, without the names of files that its values were in."""
    data = profile.model_dump()
    data["instrument"]["use"] = None
    for part in data["flow_path"]:
        part["use"] = None
    return data


def asked(found: Import) -> set[str]:
    return {question.method for question in found.questions}


@pytest.mark.parametrize("form", ["comma", "semicolon", "xlsx"])
@settings(max_examples=40, deadline=None, suppress_health_check=list(HealthCheck))
@given(drawn=st.lists(profiles(), min_size=1, max_size=3, unique_by=lambda p: p["method"]["id"]))
def test_a_profile_comes_back_as_it_was_or_is_asked(form: str, drawn: list[dict[str, Any]]) -> None:
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        for number, data in enumerate(drawn):
            (folder / f"{number}.toml").write_text(tomli_w.dumps(data), "utf-8")
        found = import_grid(written(fleet(folder), form))
        before = [load(path).profile for path in sorted(folder.glob("*.toml"))]
    made = made_by(found)
    assert len(made) + found.waiting == len(before)
    for profile in before:
        again = made.get((profile.method.id, profile.instrument.id))
        if again is None:
            assert " ".join(profile.method.id.split()) in asked(found)
        else:
            assert same(profile, again)


def test_most_profiles_come_back(tmp_path: Path) -> None:
    """The property above is not kept by asking: all that is in the profiles below comes back."""
    before = varied(tmp_path)
    for form in ("comma", "xlsx"):
        found = import_grid(written(fleet(tmp_path), form))
        assert not found.questions
        made = made_by(found)
        assert {key: plain(one) for key, one in made.items()} == before


def varied(folder: Path) -> dict[tuple[str, str], Mapping[str, Any]]:
    """Profiles with what older tables lost, written to a folder; what each says."""
    paths: list[list[dict[str, Any]]] = [
        [{"part": "pump"}, {"part": "column"}, {"part": "detector cell", "rating": "60 bar"}],
        [
            {"part": "pump", "rating": "400 bar"},
            {"part": "fitting", "rating": "400 bar", "label": "inlet"},
            {"part": "fitting", "rating": "420 bar", "label": "column inlet"},
            {"part": "fitting"},
            {"part": "guard column", "rating": "400 bar"},
            {"part": "column", "rating": "400 bar"},
            {"part": "tubing", "length": "200 mm", "bore": "0.12 mm"},
            {"part": "detector cell", "rating": "60 bar"},
            {"part": "restrictor"},
            {"part": "waste"},
        ],
        [
            {"part": "pump", "rating": "600 bar"},
            {
                "part": "column",
                "rating": "400 bar",
                "rating_at_temperature": [{"temperature": "60 degC", "rating": "300 bar"}],
            },
        ],
    ]
    for number, path in enumerate(paths):
        data = {
            "format": 1,
            "method": {"id": f"KB-{number}", "title": "Xanthines = in tea"},
            "instrument": {"id": f"KB-LC-{number}", "pressure_unit": "bar", "display_step": 1},
            "cutoffs": {"high": 250, "low": 0},
            "expected": {"low": 120, "high": 200, "basis": "measured"},
            "conditions": {"flow": "1.0 mL/min", "temperature": "40 degC"},
            "flow_path": path,
            "measured": [{"pressure": "150 bar", "flow": "1 mL/min", "day": DAY}],
        }
        (folder / f"{number}.toml").write_text(tomli_w.dumps(data), "utf-8")
    found = [load(path).profile for path in sorted(folder.glob("*.toml"))]
    return {(one.method.id, one.instrument.id): plain(one) for one in found}


def test_the_rows_of_a_fleet_table_can_be_checked(tmp_path: Path) -> None:
    varied(tmp_path)
    read = rows_of(written(fleet(tmp_path), "xlsx"))
    assert [row.file is not None for row in read.rows] == [True] * 3


@cache
def mixed() -> tuple[WrittenTable, dict[tuple[str, str], Mapping[str, Any]]]:
    """A table of profiles, of a file that cannot be read, and of a register with questions."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        before = varied(folder)
        (folder / "bad.toml").write_text((folder / "0.toml").read_text("utf-8") + "x", "utf-8")
        register = folder / "register.csv"
        register.write_text(
            "Method;Instrument;High cutoff (bar);Low cutoff (bar);Unit;Pump rating (bar)\n"
            "KB-A;KB-LC-0;about 250;60;bar;400\nKB-B;KB-LC-1;250;?;bar;400\n",
            "utf-8",
        )
        return fleet(folder, register), before


@pytest.mark.parametrize("seed", range(120))
def test_no_row_in_doubt_comes_back_ready_whatever_is_done_to_the_table(seed: int) -> None:
    """Columns renamed, deleted, moved or sorted alone, rows sorted or taken out."""
    table, before = mixed()
    chance = Random(seed)
    columns = [
        [heading, *(row[at] for row in table.rows)]  # type: ignore[index]
        for at, (heading, _) in enumerate(table.columns)
    ]
    for _ in range(chance.randrange(1, 4 + seed // 10)):
        at = chance.randrange(len(columns))
        match chance.randrange(4):
            case 0:
                columns[at][0] = f"Our {columns[at][0]}"
            case 1:
                del columns[at]
            case 2:
                columns.insert(0, columns.pop(at))
            case 3:
                values = columns[at][1:]
                columns[at][1:] = sorted(values, key=str)
        if len(columns) < 4:
            break
    order = chance.sample(range(1, len(columns[0])), len(columns[0]) - 1)
    rows = [[column[at] for column in columns] for at in order]
    changed = table._replace(columns=[(str(c[0]), 12) for c in columns], rows=rows)
    try:
        found = import_grid(written(changed, chance.choice(["comma", "xlsx"])))
    except (Refused, TableError):
        return
    ready = {key: plain(one) for key, one in made_by(found).items()}
    assert not {key[0] for key in ready} & {"KB-A", "KB-B", ""}
    for key, profile in ready.items():
        assert profile == before[key]


def test_every_heading_that_makes_a_table_ours_is_one_of_the_table() -> None:
    table, _ = mixed()
    headings = {heading.casefold() for heading, _ in table.columns}
    assert headings >= OURS
    assert WHOLE in [heading for heading, _ in table.columns]
