"""A normal agreed on, and later readings judged against it, from day to day."""

from __future__ import annotations

import io
import json
from datetime import date
from pathlib import Path

import pytest
from jsonschema import Draft202012Validator

from limitcheck.cli.app import run
from limitcheck.documents.agreed import judged_data
from limitcheck.history.agreed import CannotJudge, State, agree, digest_of, read_state, state_text
from limitcheck.history.judging import Judged, judge
from limitcheck.history.layout import Options
from limitcheck.history.log import Choice
from limitcheck.schemas import command_schema
from tests.documents.schemas import violations
from tests.history.logs import baseline, runs
from tests.profiles_for_tests import WITH_GEOMETRY, with_geometry

PROFILE = with_geometry().profile
DAY = date(2026, 5, 1)
STEADY = runs(60, seed=2)


def agreed(text: str = STEADY, before: State | None = None) -> State:
    found = baseline(text, of=PROFILE)
    rows = digest_of(io.BytesIO(text.encode()), "runs.csv", Options(), Choice(), found)
    return agree(found, PROFILE, "A. Analyst", "new column", DAY, before, rows)


def judged(text: str, state: State, profile: object = PROFILE) -> tuple[Judged, State]:
    stream = io.BytesIO(text.encode())
    return judge(stream, "runs.csv", Options(), Choice(), profile, state)  # type: ignore[arg-type]


def later(n: int, creep: float = 0.0, seed: int = 2) -> str:
    """The steady log with n runs more, creeping by so much a run from the agreement on."""
    return runs(60 + n, lambda i: max(0, i - 59) * creep, seed=seed)


def test_as_agreed_and_not() -> None:
    state = agreed()
    found, after = judged(later(20), state)
    assert found.as_agreed
    assert (found.readings, found.before, after.judged) == (20, 0, 20)
    moved, _ = judged(later(30, creep=0.5), state)
    assert not moved.as_agreed
    assert moved.phases[0].level_out is not None
    assert violations("agreed", judged_data(moved, with_geometry())) == []


def test_a_creep_read_a_day_at_a_time_never_becomes_the_normal() -> None:
    """60 days at 0.15 bar (0.075 deviations) a day, one reading each."""
    state, first = agreed(), None
    band = state.agreed.low, state.agreed.high
    for day in range(1, 61):
        found, state = judged(later(day, creep=0.15), state)
        assert found.readings == 1
        if not found.as_agreed and first is None:
            first = day
    assert first is not None
    assert first < 30
    assert (state.agreed.low, state.agreed.high) == band
    assert not found.as_agreed


def test_day_by_day_is_as_all_at_once() -> None:
    log, state = later(30, creep=0.2), agreed()
    _, whole = judged(log, state)
    lines = log.splitlines(keepends=True)
    for end in range(62, 92):
        _, state = judged("".join(lines[:end]), state)
    assert state == whole
    only_new = "".join([lines[0], *lines[61:]])
    assert judged(only_new, agreed())[1] == whole


def test_rows_are_not_judged_twice_and_not_lost() -> None:
    dates = "time,pressure (bar)\n" + "".join(f"2026-06-01,{158 + i % 3}\n" for i in range(4))
    state = agreed()
    first, state = judged(dates, state)
    assert first.readings == 4
    again, state = judged(dates + "2026-06-01,159\n2026-06-02,157\n", state)
    assert (again.readings, again.before) == (2, 4)
    with pytest.raises(CannotJudge, match="no row is later"):
        judged(dates, state)


def test_a_changed_past_is_refused() -> None:
    _, state = judged(later(10), agreed())
    lines = later(12).splitlines(keepends=True)
    changed = [*lines]
    changed[65] = changed[65].split(",")[0] + ",150\n"
    with pytest.raises(CannotJudge, match="are changed in this log"):
        judged("".join(changed), state)
    more = [*lines[:66], lines[65], *lines[66:]]
    with pytest.raises(CannotJudge, match="10 were judged"):
        judged("".join(more), state)


@pytest.mark.parametrize(
    ("of", "what"),
    [
        (WITH_GEOMETRY.replace("KB-TEA-014", "KB-TEA-015"), "the method of the profile"),
        (WITH_GEOMETRY.replace("KB-LC-03", "KB-LC-04"), "the instrument of the profile"),
        (WITH_GEOMETRY.replace("percent_b = 18", "percent_b = 20"), "conditions"),
    ],
)
def test_another_profile_is_refused(of: str, what: str) -> None:
    with pytest.raises(CannotJudge, match=what):
        judged(later(5), agreed(), with_geometry(of).profile)


def test_another_column_is_refused() -> None:
    header = "time,pressure (bar),column serial"
    log = runs(60, seed=2, header=header, row=lambda t, p, i: f"{t:%Y-%m-%d},{p:.0f},C-1")
    state = agreed(log)
    with pytest.raises(CannotJudge, match="column C-2 is not the one agreed on, C-1"):
        judged(f"{header}\n2026-06-01,158,C-2\n", state)


@pytest.mark.parametrize(
    "text",
    [runs(60, lambda i: i), runs(8), runs(60, lambda i: 60 if i in (7, 30) else 0)],
    ids=["drift", "few", "wild"],
)
def test_nothing_is_agreed_on_in_doubt(text: str) -> None:
    with pytest.raises(CannotJudge, match="nothing to agree on"):
        agreed(text)


def test_one_wild_reading_is_told_and_moves_no_chart() -> None:
    found, _ = judged(STEADY + "2026-06-01,300\n", agreed())
    (phase,) = found.phases
    assert not found.as_agreed
    assert phase.far_count == 1
    assert phase.level_out is None
    assert phase.scatter_out is None


def test_a_swing_is_seen() -> None:
    found, _ = judged(
        STEADY + runs(40, lambda i: 8 * (-1) ** i).split("\n", 1)[1].replace("2026", "2027"),
        agreed(),
    )
    assert found.phases[0].scatter_out is not None


def test_state_file() -> None:
    _, state = judged(later(10), agreed())
    text = state_text(state)
    assert read_state(text, "s.json") == state
    Draft202012Validator(json.loads(command_schema("state"))).validate(json.loads(text))
    again = agreed(before=state)
    assert len(again.agreements) == 2
    found, _ = judged(later(3), again)
    assert found.first_agreed == state.agreed


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (lambda t: t[: len(t) // 2], r"s.json:\d+:\d+: damaged"),
        (lambda t: "", r"s.json:1:1: damaged"),
        (lambda t: "[]", "not a state"),
        (lambda t: '{"rows": 1}', "not a state"),
        (lambda t: t.replace('"format": 1', '"format": 2'), "this version reads 1"),
        (lambda t: t.replace('"low": "151"', '"low": "155"'), "changed since limitcheck wrote it"),
        (lambda t: t.replace('"judged": 10,', '"judged": -1,'), "judged: "),
        (lambda t: t.replace('"deviation": ', '"deviation": NaN, "x": '), "s.json"),
    ],
)  # fmt: skip
def test_a_damaged_state_is_refused(change: object, said: str) -> None:
    _, state = judged(later(10), agreed())
    with pytest.raises(CannotJudge, match=said):
        read_state(change(state_text(state)), "s.json")  # type: ignore[operator]


def test_commands(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    tea, log, state = tmp_path / "tea.toml", tmp_path / "runs.csv", tmp_path / "tea.json"
    tea.write_text(WITH_GEOMETRY)
    log.write_text(STEADY)
    call = ["baseline", str(log), "--profile", str(tea), "--state", str(state)]
    assert run(call) == 2
    assert "nothing is agreed yet" in " ".join(capsys.readouterr().err.split())
    assert run([*call, "--agree", "--by", "A. Analyst", "--reason", "new column"]) == 0
    said = " ".join(capsys.readouterr().err.split())
    assert "agreed by A. Analyst: 151 to 163 bar" in said
    kept = state.read_bytes()
    assert run(call) == 2
    assert state.read_bytes() == kept
    log.write_text(later(30, creep=0.5))
    assert run([*call, "--format", "json"]) == 1
    assert violations("agreed", json.loads(capsys.readouterr().out)) == []
    assert state.read_bytes() != kept
    state.write_bytes(kept)
    assert run([*call, "-o", str(tmp_path / "judged.html")]) == 1
    assert "not as agreed" in (tmp_path / "judged.html").read_text()
    log.write_text(runs(60, lambda i: i))
    assert run([*call, "--agree", "--by", "B", "--reason", "x"]) == 2


@pytest.mark.parametrize(
    ("options", "said"),
    [
        (["--agree"], "--agree without --state"),
        (["--state", "s.json"], "--state without a profile"),
        (["--state", "s.json", "--profile", "p.toml", "--agree"], "without --by and --reason"),
        (["--state", "s.json", "--profile", "p.toml", "--by", "x"], "without --agree"),
        (["--state", "s.json", "--profile", "p.toml", "--write"], "--write beside --state"),
    ],
)
def test_half_an_option(options: list[str], said: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["baseline", "runs.csv", *options]) == 2
    assert said in " ".join(capsys.readouterr().err.split())


def test_many_readings_and_time_zones_are_no_traceback() -> None:
    many = "time,pressure (bar)\n" + "".join(
        f"2026-06-{1 + i // 400:02d} {i % 400 // 60:02d}:{i % 60:02d},{158 + i % 9 - 4}\n"
        for i in range(6000)
        if i % 400 < 400
    )
    rows = many.splitlines(keepends=True)
    assert judged("".join([rows[0], *sorted(rows[1:])]), agreed())[0].readings == 6000
    with pytest.raises(CannotJudge, match="time zone"):
        judged("time,pressure (bar)\n2026-06-01T09:00+01:00,158\n", agreed())


def test_what_lies_in_the_time_agreed_on_is_not_passed_over() -> None:
    found, _ = judged(STEADY + "2026-03-12 09:00,240\n2026-06-01,158\n", agreed())
    assert not found.as_agreed
    assert "61 rows lie in the time agreed on" in found.notes[0]


@pytest.mark.parametrize(
    ("of", "what"),
    [
        (WITH_GEOMETRY.replace('particle_size = "3 um"', 'particle_size = "5 um"'), "flow path"),
        (WITH_GEOMETRY.replace("high = 260", "high = 160"), "inside the agreed band"),
    ],
)
def test_another_column_or_cutoff_is_refused(of: str, what: str) -> None:
    with pytest.raises(CannotJudge, match=what):
        judged(later(5), agreed(), with_geometry(of).profile)


def test_another_flow_and_another_system_are_refused() -> None:
    with pytest.raises(CannotJudge, match=r"a flow of 0.5 mL/min"):
        judged("time,pressure (bar),flow (mL/min)\n2026-06-01,158,0.5\n", agreed())
    other = with_geometry(WITH_GEOMETRY.replace("KB-LC-03", "KB-LC-04")).profile
    with pytest.raises(CannotJudge, match="the state is of KB-TEA-014 on KB-LC-03"):
        agree(baseline(STEADY, of=other), other, "A", "x", DAY, agreed(), "0" * 64)


def test_agreed_rows_that_are_changed_later_are_refused() -> None:
    lines = later(5).splitlines(keepends=True)
    lines[20] = lines[20].split(",")[0] + ",240\n"
    with pytest.raises(CannotJudge, match="rows that were agreed on are changed"):
        judged("".join(lines), agreed())
    assert judged("".join([lines[0], *lines[61:]]), agreed())[0].readings == 5
