"""A profile made by `transfer --new`, and its sources since then."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest

from limitcheck.cli.app import run

EXAMPLES = Path(__file__).parents[2] / "examples" / "transfer"
SENDING, THERE, COLUMN = "kestrel-bay.toml", "instruments/hm-lc-11.toml", "columns/tea.toml"


@pytest.fixture
def lab(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A repository with the sending profile, and new.toml made from it."""
    shutil.copytree(EXAMPLES, tmp_path / "lab")
    (tmp_path / "lab" / "limitcheck.toml").touch()
    monkeypatch.chdir(tmp_path / "lab")
    assert run(["transfer", SENDING, "--new", "new.toml", "--instrument", THERE]) != 2
    return tmp_path / "lab"


def change(file: Path, old: str, new: str) -> None:
    text = file.read_text(encoding="utf-8")
    assert old in text
    file.write_text(text.replace(old, new), encoding="utf-8")


def said(capsys: pytest.CaptureFixture[str], path: str = "new.toml") -> tuple[list, list]:  # type: ignore[type-arg]
    """The findings of source-changed, and why it was not decided."""
    capsys.readouterr()
    assert run(["check", path, "--format", "json"]) in (0, 1)
    (profile,) = json.loads(capsys.readouterr().out)["profiles"]
    return (
        [f for f in profile["findings"] if f["check"] == "source-changed"],
        [s["reason"] for s in profile["checks"]["not_decided"] if s["check"] == "source-changed"],
    )


@pytest.mark.parametrize(
    ("file", "old", "new", "place"),
    [
        (SENDING, 'flow = "1.2 mL/min"', 'flow = "1.1 mL/min"', 1),
        (SENDING, 'revision = "A"', 'revision = "B"', 1),
        (SENDING, "high = 320", "high = 321", 1),
        (COLUMN, 'rating = "600 bar"', 'rating = "500 bar"', 1),  # a file that the source uses
        (THERE, 'rating = "45 MPa"', 'rating = "40 MPa"', 2),
        (SENDING, "high = 320", "high = 320 # read again", None),
        (SENDING, '"1.2 mL/min"', "'1.2 mL/min'", None),
        (THERE, "entry_max = 66", "entry_max = 66.0", None),
        (
            *(SENDING, "[conditions]"),
            '[[accepted]]\ncheck = "low-cutoff-off"\nreason = "x"\nby = "y"\n[conditions]',
            None,
        ),
    ],
    ids=lambda value: str(value)[:24],
)
def test_values_that_changed_are_found(
    lab: Path, capsys: pytest.CaptureFixture[str], file: str, old: str, new: str, place: int | None
) -> None:
    assert said(capsys) == ([], [])
    change(lab / file, old, new)
    found, undecided = said(capsys)
    assert [f["path"] for f in found] == ([["source", place, "values"]] if place else [])
    assert undecided == []


def test_writing_the_hashes_of_the_message_answers_it(
    lab: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    change(lab / SENDING, 'revision = "A"', 'revision = "B"')
    (found,), _ = said(capsys)
    assert found["severity"] == "warning"
    for key in ("sha256", "values"):
        old = next(
            line
            for line in (lab / "new.toml").read_text(encoding="utf-8").splitlines()
            if line.startswith(f"{key} = ")
        )
        assert f'{key} = "{found["data"][key]}"' in found["advice"]
        change(lab / "new.toml", old, f'{key} = "{found["data"][key]}"')
    assert said(capsys) == ([], [])


@pytest.mark.parametrize(
    ("spoil", "reason"),
    [
        (lambda lab: (lab / SENDING).unlink(), "kestrel-bay.toml, which it was made from, is not"),
        (lambda lab: (lab / SENDING).write_text("format = 1"), "cannot be read"),
        (
            lambda lab: change(lab / "new.toml", f'"{SENDING}"', '"../kestrel-bay.toml"'),
            "../kestrel-bay.toml lies outside of this repository",
        ),
    ],
    ids=["gone", "unreadable", "outside"],
)
def test_a_source_that_cannot_be_compared_is_not_decided(  # type: ignore[no-untyped-def]
    lab: Path, capsys: pytest.CaptureFixture[str], spoil, reason: str
) -> None:
    spoil(lab)
    found, (undecided,) = said(capsys)
    assert found == []
    assert reason in undecided


def test_a_policy_may_turn_it_off_and_that_is_said(
    lab: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    change(lab / SENDING, 'revision = "A"', 'revision = "B"')
    (lab / "limitcheck.toml").write_text('[severity]\nsource-changed = "off"\n', encoding="utf-8")
    from limitcheck.checking.policy_file import forget_policies

    forget_policies()
    found, (undecided,) = said(capsys)
    assert found == []
    assert undecided.startswith("turned off in")
    forget_policies()
