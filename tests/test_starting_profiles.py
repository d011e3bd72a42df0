"""The starting profiles are clean, and `limitcheck new` begins a profile from one."""

from __future__ import annotations

import tomllib
from datetime import date
from decimal import Decimal
from pathlib import Path

import pytest

from limitcheck.checking.file import check_file
from limitcheck.cli.app import run
from limitcheck.limits import propose
from limitcheck.physics.predict import predict
from limitcheck.policy import Margins, Policy
from limitcheck.profile import starting
from limitcheck.profile.load import load

PROFILES = sorted(Path(__file__).parents[1].joinpath("profiles").glob("*.toml"))
named = pytest.mark.parametrize("path", PROFILES, ids=[path.stem for path in PROFILES])


def read(path: Path) -> dict[str, object]:
    return tomllib.loads(path.read_text("utf-8"), parse_float=Decimal)


def test_there_is_one_for_each_class_of_hardware() -> None:
    profiles = [load(path).profile for path in PROFILES]
    assert len(profiles) >= 8
    assert {profile.instrument.pressure_unit for profile in profiles} == {"bar", "psi", "MPa"}
    assert {"acetonitrile", "methanol"} == {
        p.conditions.solvent_b for p in profiles if p.conditions and p.conditions.gradient
    }


@named
def test_a_starting_profile_is_clean(path: Path) -> None:
    report = check_file(load(path), Policy(), date(2027, 1, 1))
    assert report.findings == ()


@named
def test_its_numbers_are_those_the_tool_proposes(path: Path) -> None:
    """The cutoffs are the proposed ones, and the expected band holds the predicted pressure."""
    profile = load(path).profile
    proposal = propose(profile, Margins())
    assert proposal.high is not None
    assert proposal.low is not None
    step = profile.instrument.step
    unit = profile.instrument.pressure_unit
    for typed, proposed in (
        (profile.cutoffs.high, proposal.high.pressure),
        (profile.cutoffs.low, proposal.low.pressure),
    ):
        assert typed is not None
        assert abs(typed.to(unit) - proposed.to(unit)) <= 10 * step
    assert profile.cutoffs.high is not None
    assert profile.cutoffs.high <= proposal.high.pressure
    prediction = predict(profile)
    assert profile.expected is not None
    assert float(profile.expected.low) <= prediction.lowest.low
    assert prediction.highest.high <= float(profile.expected.high)
    assert not prediction.extrapolated


@named
def test_new_writes_it_under_the_users_ids(
    path: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "own.toml"
    arguments = ["new", "--like", path.stem, "--id", "KB-TEA-014", "--instrument", "KB-LC-03"]
    assert run([*arguments, str(file)]) == 0
    begun, model = read(file), read(path)
    model["method"]["id"], model["instrument"]["id"] = "KB-TEA-014", "KB-LC-03"  # type: ignore[index]
    assert begun == model
    assert file.read_text("utf-8").startswith("# ")
    capsys.readouterr()
    assert run(["check", str(file)]) == 0
    assert "0 errors, 0 warnings, 0 notes" in capsys.readouterr().out


def test_the_list_names_every_starting_profile(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["new", "--list"]) == 0
    printed = capsys.readouterr().out
    assert all(path.stem in printed for path in PROFILES)
    assert max(map(len, printed.splitlines())) <= 80


def test_an_installed_package_uses_its_own_copy(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "only.toml").write_text("# A purpose.\nformat = 1\n")
    monkeypatch.setattr(starting, "_PACKAGED", tmp_path)
    assert run(["new", "--list"]) == 0
    assert capsys.readouterr().out == "only\n    A purpose.\n"


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["--like", "conventional-400", "--id", "x", "new.toml"], "did you mean conventional-400"),
        (["--like", "??", "--id", "x", "new.toml"], "--list"),
        (["--id", "x", "new.toml"], "--like, --id and a file are needed"),
        (["--like", "conventional-400-bar", "--id", "", "new.toml"], "empty"),
        (["--like", "conventional-400-bar", "--id", "a\x1bb", "new.toml"], "control character"),
        (["--like", "conventional-400-bar", "--id", "x", "there.toml"], "exists already"),
        (["--like", "conventional-400-bar", "--id", "x", "no/new.toml"], "No such file"),
    ],
)
def test_new_refuses(
    arguments: list[str],
    said: str,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    monkeypatch.chdir(tmp_path)
    Path("there.toml").write_text("kept")
    assert run(["new", *arguments]) == 2
    printed = capsys.readouterr()
    assert said in printed.err
    assert "\x1b" not in printed.err
    assert printed.out == ""
    assert [path.name for path in tmp_path.iterdir()] == ["there.toml"]
    assert Path("there.toml").read_text() == "kept"
