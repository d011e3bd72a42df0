"""A fault of a shared description is said once in text, and of each profile everywhere else."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from limitcheck.cli.app import run
from limitcheck.render import shared_faults
from tests.profiles_for_tests import TEXT

COLUMN = '[[flow_path]]\npart = "column"\nrating = "450 bar"\n'
OWN = 'part = "column"\nrating = "450 bar"'
TUBING = '[[flow_path]]\npart = "tubing"\n\n'
Capture = pytest.CaptureFixture[str]


def place(number: int, text: str = TEXT) -> None:
    """Profiles that use one column; every second has one part more before it."""
    Path("p").mkdir(exist_ok=True)
    for index in range(number):
        own = text.replace(OWN, 'use = "../column.toml#column"').replace("014", f"{index:03}")
        if index % 2:
            own = own.replace("[[flow_path]]\nuse", f"{TUBING}[[flow_path]]\nuse")
        Path(f"p/{index}.toml").write_text(own)


@pytest.fixture(autouse=True)
def own_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / ".git").mkdir()
    monkeypatch.chdir(tmp_path)


FAULTS = {
    "gone": (None, "column.toml cannot be read: No such file or directory"),
    "no unit": (COLUMN.replace(" bar", ""), '"450" has no unit'),
    "no such part": (COLUMN.replace("column", "pump"), 'column.toml describes no "column"'),
    "two of them": (COLUMN + COLUMN, 'column.toml has 2 parts with part = "column"'),
    "not TOML": ("[[flow_path", "column.toml:1:"),
}


@pytest.mark.parametrize("form", [[], ["--quiet"]])
@pytest.mark.parametrize("case", FAULTS)
def test_a_shared_fault_is_said_once_with_its_users(
    case: str, form: list[str], capsys: Capture
) -> None:
    text, told = FAULTS[case]
    place(7)
    if text is not None:
        Path("column.toml").write_text(text)
    assert run(["check", "p", *form]) == 2
    out = " ".join(capsys.readouterr().out.split())
    assert out.count("error: unreadable-profile") == 1
    assert out.count(told) == 1
    users = "p/0.toml, p/1.toml, p/2.toml and 4 more (all in JSON)"
    assert f"7 profiles use it and cannot be checked: {users}" in out
    assert "7 profiles, 7 unreadable: 7 errors" in out
    assert run(["check", "p", "--format", "json"]) == 2
    profiles = json.loads(capsys.readouterr().out)["profiles"]
    assert [len(profile["findings"]) for profile in profiles] == [1] * 7


def test_few_users_are_all_named(capsys: Capture) -> None:
    place(2)
    assert run(["check", "p"]) == 2
    out = " ".join(capsys.readouterr().out.split())
    assert "2 profiles use it and cannot be checked: p/0.toml, p/1.toml 2 profiles," in out


def test_a_fault_of_one_profile_is_its_own(capsys: Capture) -> None:
    """Beside the shared one, which is still said."""
    place(2)
    Path("p/3.toml").write_text(TEXT.replace("450 bar", "450"))
    assert run(["check", "p"]) == 2
    out = capsys.readouterr().out
    line = TEXT.split("\n").index('rating = "450 bar"') + 1
    assert f"p/3.toml:{line}:10: error: unreadable-profile" in out
    assert "use it and cannot be checked: p/0.toml, p/1.toml" in " ".join(out.split())


def test_beyond_the_faults_that_are_kept_each_profile_says_its_own(
    capsys: Capture, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(shared_faults, "MOST_FAULTS", 1)
    place(2)
    for name in ("a", "b"):
        Path(f"p/{name}.toml").write_text(TEXT.replace(OWN, 'use = "../other.toml#column"'))
    assert run(["check", "p"]) == 2
    out = " ".join(capsys.readouterr().out.split())
    assert out.count("other.toml cannot be read") == 2
    assert out.count("use it and cannot be checked") == 1


def test_of_users_that_are_all_named_it_is_not_said_that_json_has_the_others(
    capsys: Capture,
) -> None:
    place(3)
    assert run(["check", "p"]) == 2
    out = " ".join(capsys.readouterr().out.split())
    assert "3 profiles use it and cannot be checked: p/0.toml, p/1.toml, p/2.toml" in out
    assert "all in JSON" not in out


def test_a_profile_that_has_a_fault_twice_is_one_user(capsys: Capture) -> None:
    place(1)
    one = Path("p/0.toml")
    part = '\n[[flow_path]]\nuse = "../column.toml#column"\n'
    one.write_text(one.read_text() + part)
    Path("p/1.toml").write_text(TEXT.replace('"400 bar"', '"400"'))
    Path("column.toml").write_text(COLUMN.replace(" bar", ""))
    assert run(["check", "p"]) == 2
    assert "profiles use it" not in capsys.readouterr().out
