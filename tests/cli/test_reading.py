"""The command reading: output, exit codes, bad input."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest

from limitcheck.api import isolate
from limitcheck.api import reading as reading_of
from limitcheck.cli.app import run
from tests.profiles_for_tests import WITH_GEOMETRY


def call(*arguments: str | Path) -> int:
    return run([str(argument) for argument in arguments])


def joined(capsys: pytest.CaptureFixture[str]) -> str:
    """What was said on standard error, its lines joined."""
    return " ".join(capsys.readouterr().err.split())


@pytest.mark.parametrize(
    ("typed", "code"), [("160", 0), ("160 bar", 0), ("2320 psi", 0), ("286", 1), ("12 bar", 1)]
)
def test_reading(typed: str, code: int, tea: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert call("reading", typed, "--profile", tea) == code
    out = capsys.readouterr().out
    assert "for KB-TEA-014 on KB-LC-03: 145 to 172 bar" in " ".join(out.split())
    assert "The maker's manual, the site's procedures and qualified staff decide" in out


def test_reading_json_and_other_conditions(tea: Path, capsys: pytest.CaptureFixture[str]) -> None:
    at = "flow=0.5 mL/min"
    assert call("reading", "79", "--profile", tea, "--at", at, "--format", "json") == 0
    data = json.loads(capsys.readouterr().out)
    assert data["changed"] == at
    assert data["position"] == "normal"


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["1,234"], "has a comma"),
        (["nan"], "reading: "),
        (["-3"], "-3"),
        (["286 mPa"], "millipascal"),
        (["286", "--at", "length=250 mm"], "another column belongs in the profile"),
        (["286", "--at", "speed=9"], "is not a condition"),
        (["286", "--format", "xml"], 'no format "xml"'),
        (["286", "--swing", "-3"], '--swing: "-3" is negative'),
        (["286", "--swing", "3 mL"], "--swing: "),
        (["286", "--swing", "700"], "below zero"),
        (["286", "--period", "1.2"], "--period has no --swing"),
        (["286", "--swing", "3", "--period", "fast"], "write seconds"),
        (["286", "--came", "fast"], "write one of suddenly, slowly, at-start-up"),
        (["286", "--since", "whenever"], 'write "2 weeks"'),
        (["286", "--since", "9999-01-01"], "is after today"),
        (["286", "--after", "lunch"], 'write one of "column change", "new batch"'),
    ],
)
def test_bad_reading(
    arguments: list[str], said: str, tea: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert call("reading", "--profile", tea, *arguments) == 2
    captured = capsys.readouterr()
    assert said in " ".join(captured.err.split())
    assert captured.out == ""


def test_what_else_was_seen(tea: Path, capsys: pytest.CaptureFixture[str]) -> None:
    answers = ["--came", "slowly", "--since", "2 weeks", "--after", "new-samples", "--no-leak-seen"]
    swing = ["--swing", "100 psi", "--period", "1.2 s"]
    assert call("reading", "250", "--profile", tea, *answers, *swing, "--format", "json") == 1
    data = json.loads(capsys.readouterr().out)
    assert data["told"] == {
        "came": "slowly",
        "since_days": 14,
        "always": False,
        "after": "new samples",
        "leak_seen": False,
    }
    assert data["swing"]["seen"]["unit"] == "psi"
    assert data["swing"]["period_seconds"] == 1.2
    first = data["causes"][0]
    assert first["name"] == "inlet-frit-blocked"
    assert {"comes slowly", "may follow new samples"} <= set(first["reasons"])


def test_a_swing_is_in_the_unit_of_the_reading(
    tea: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    call("reading", "2320 psi", "--profile", tea, "--swing", "20", "--format", "json")
    assert json.loads(capsys.readouterr().out)["swing"]["seen"]["unit"] == "psi"


def test_an_undecided_swing_is_not_normal(tea: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert call("reading", "160", "--profile", tea, "--swing", "2") == 1
    assert "can't be told" in " ".join(capsys.readouterr().out.split())
    assert call("reading", "160", "--profile", tea, "--swing", "0") == 0


def test_all(tea: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert call("reading", "286", "--profile", tea, "--all") == 1
    out = capsys.readouterr().out
    assert "All causes\n" in out
    assert "common practice, no source" in " ".join(out.split())


def test_a_band_in_doubt_is_told_with_what_rests_on_it(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """`limitcheck check` doubts the band of this gradient: its peak is not in it."""
    text = WITH_GEOMETRY.replace(
        "percent_b = 18", "gradient = [{minute = 0, percent_b = 5}, {minute = 12, percent_b = 95}]"
    ).replace('"acetonitrile"', '"methanol"')
    path = tmp_path / "tea.toml"
    path.write_text(text, "utf-8")
    run(["check", str(path)])
    assert "gradient-peak-outside-expected" in capsys.readouterr().out
    rests, apart = "What stands here rests on it.", "It is not used here: correct it first."
    for command, how in (
        (["reading", "250 bar", "--profile", str(path)], apart),
        (["faults", str(path)], rests),
    ):
        run(command)
        told = " ".join(capsys.readouterr().out.split())
        assert "[expected] is in doubt (gradient-peak-outside-expected, " in told
        assert how in told
        run([*command, "--format", "json"])
        assert json.loads(capsys.readouterr().out)["band_in_doubt"].startswith("[expected] is in")
    run(["isolate", str(path), "--reading", "all=150"])
    assert "[expected] is in doubt" in " ".join(capsys.readouterr().out.split())
    path.write_text(WITH_GEOMETRY, "utf-8")
    run(["reading", "150 bar", "--profile", str(path), "--format", "json"])
    assert json.loads(capsys.readouterr().out)["band_in_doubt"] is None


@pytest.mark.parametrize(("high", "pressure"), [("9999999", "210"), ("430", "150"), ("430", "425")])
def test_a_band_above_what_its_parts_hold_calls_no_pressure_normal(
    tea: Path, capsys: pytest.CaptureFixture[str], high: str, pressure: str
) -> None:
    text = tea.read_text("utf-8")
    tea.write_text(text.replace("high = 172", f"high = {high}"), "utf-8")
    assert call("reading", pressure, "--profile", tea) == 1
    said = " ".join(capsys.readouterr().out.split())
    assert f"{pressure} bar can't be told from normal" in said
    assert "[expected] is in doubt (expected-above-rating, " in said
    assert "is normal" not in said
    assert "also give a normal pressure" not in said
    assert call("reading", pressure, "--profile", tea, "--format", "json") == 1
    assert json.loads(capsys.readouterr().out)["position"] == "unknown"
    assert reading_of(tea, f"{pressure} bar").position == "unknown"
    if pressure != "425":  # else the flow is to be stopped first
        run(["isolate", str(tea), "--reading", f"all={pressure}"])
        said = " ".join(capsys.readouterr().out.split())
        assert "can't be told from normal (a band that is in doubt: " in said
        assert isolate(tea, {"all": f"{pressure} bar"}).verdict == "undecided"


@pytest.mark.parametrize("geometry", [True, False])
@pytest.mark.parametrize("at", [[], ["--at", "flow=0.5 mL/min"]])
def test_a_band_whose_ends_are_exchanged_judges_nothing(
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
    geometry: bool,
    at: list[str],
) -> None:
    """It is told, with its place; the reading is compared with the prediction, or not at all."""
    monkeypatch.chdir(tmp_path)
    path = Path("tea.toml")
    swapped = re.sub(r"low = (145)\nhigh = (172)", r"low = \2\nhigh = \1", WITH_GEOMETRY)
    if not geometry:
        swapped = swapped.replace('particle_size = "3 um"\n', "")
    path.write_text(swapped, "utf-8")
    line = 1 + swapped.split("\n").index("low = 172")
    run(["reading", "150 bar", "--profile", str(path), *at])
    said = " ".join(capsys.readouterr().out.split())
    assert f"[expected] is in doubt (expected-inverted, {path}:{line}:7)" in said
    assert "It is not used here: correct it first." in said
    assert ("(predicted, not measured" in said) == geometry
    assert geometry or "can't be judged" in said
    assert "(measured" not in said
    assert "rests on it" not in said


def test_a_band_in_another_unit_is_told_where_a_reading_is_compared_with_it(
    capsys: pytest.CaptureFixture[str],
) -> None:
    """200 bar is normal there: the band of 2611 to 3336 is in psi, as `limitcheck check` says."""
    profile = "examples/units/expected-in-psi.toml"
    for command in (["reading", "200 bar", "--profile", profile], ["faults", profile]):
        run(command)
        told = " ".join(capsys.readouterr().out.split())
        assert "[expected] is in doubt (unit-confusion, " in told


def test_a_rating_that_depends_on_what_is_not_given_is_not_said_surely(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """As `limitcheck check` says it: not decided, the flow is not given."""
    table = '[{flow = "2 mL/min", rating = "400 bar"}, {flow = "5 mL/min", rating = "190 bar"}]'
    text = re.sub(
        r'(part = "pump"\nrating = )"400 bar"',
        rf'\1"400 bar"\nrating_at_flow = {table}',
        WITH_GEOMETRY,
    )
    text = re.sub(r'\nflow = "1.0 mL/min"', "", text)
    assert "rating_at_flow" in text
    assert "1.0 mL/min" not in text
    path = tmp_path / "tea.toml"
    path.write_text(text, "utf-8")
    call("reading", "160", "--profile", path)
    said = " ".join(capsys.readouterr().out.split())
    assert "protects the pump can't be told: it may hold no more than 190 bar" in said
    assert "does not protect it" not in said


def test_of_a_band_above_any_pump_nothing_is_proposed(
    tea: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    text = re.sub(r'\nrating = "[^"]*"', "", tea.read_text("utf-8"))
    tea.write_text(text.replace("high = 172", "high = 9999"), "utf-8")
    assert call("propose", tea, "--format", "json") == 1
    (proposal,) = json.loads(capsys.readouterr().out)["proposals"]
    for name in ("high", "low"):
        assert proposal[name]["recommendation"] is None
        assert "expected.high is in doubt" in proposal[name]["withheld"]
