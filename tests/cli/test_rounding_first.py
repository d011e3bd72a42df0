"""A high cutoff rounded over a rating: every answer says what is first, and what comes after."""

from __future__ import annotations

import csv
import io
import json
from pathlib import Path

import pytest

from limitcheck.cli.app import run
from limitcheck.profile.write import dump_profile
from tests.detection.generator import generate
from tests.detection.measure import slip_of
from tests.profiles_for_tests import WITH_GEOMETRY, write

THEN = "Correct the high cutoff first; then the limit proposed for it is 250 bar."
CLOSE = {"pump": '"6000 psi"', "column": '"6000 psi"'}


@pytest.fixture
def rounded(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> str:
    """414 bar over 6000 psi, which are 413.7 bar; `good.toml` is the same with 250 bar."""
    monkeypatch.chdir(tmp_path)
    write(tmp_path, "good.toml", **CLOSE)
    return write(tmp_path, "rounded.toml", high="414", **CLOSE).name


def answers(capsys: pytest.CaptureFixture[str], *arguments: str) -> tuple[str, str]:
    """What a command says in one line, and the data of its JSON as text."""
    run(list(arguments))
    told = " ".join(capsys.readouterr().out.split())
    run([*arguments, "--format", "json"])
    return told, capsys.readouterr().out


@pytest.mark.parametrize(
    "arguments",
    [
        ["check", "rounded.toml"],
        ["propose", "rounded.toml"],
        ["entry", "414", "--profile", "good.toml"],
        ["transfer", "good.toml", "rounded.toml"],
    ],
)
def test_the_limit_that_comes_after_is_said_in_the_same_words(
    arguments: list[str], rounded: str, capsys: pytest.CaptureFixture[str]
) -> None:
    told, data = answers(capsys, *arguments)
    assert "high = 413 (bar)" in told
    assert told.count(THEN) == 1
    assert '"then": "250"' in data
    # Corrected, nothing is first any more, and the limit is the one that was said.
    write(Path(), rounded, high="413", **CLOSE)
    told, data = answers(capsys, *("413" if word == "414" else word for word in arguments))
    assert "Correct this first" not in told
    assert '"then": "' not in data


def test_what_is_proposed_once_it_is_corrected(
    rounded: str, capsys: pytest.CaptureFixture[str]
) -> None:
    write(Path(), rounded, high="413", **CLOSE)
    told, _ = answers(capsys, "propose", rounded)
    assert "proposed cutoffs: high = 250 (bar)" in told


def test_a_cutoff_that_is_right_is_not_among_what_is_corrected(
    rounded: str, capsys: pytest.CaptureFixture[str]
) -> None:
    told, _ = answers(capsys, "propose", rounded)
    assert "low = 60" not in told
    assert "has high 414 bar and low 60 bar" in told
    write(Path(), rounded, high="414", low="0", **CLOSE)
    told, _ = answers(capsys, "propose", rounded)
    assert "low = 60 (bar)" in told


def test_fit_says_what_is_wrong_with_the_methods_own_cutoff(
    rounded: str, capsys: pytest.CaptureFixture[str]
) -> None:
    good = WITH_GEOMETRY.replace("400 bar", "6000 psi")
    Path("good.toml").write_text(good, "utf-8")
    Path(rounded).write_text(good.replace("high = 260", "high = 414"), "utf-8")
    told, data = answers(capsys, "fit", rounded, "--on", "good.toml")
    why = "its own high cutoff (error: rounded-over-rating); 413 bar was meant"
    first = "Correct this first; the numbers above are those that are proposed after it:"
    assert "215 / 73" in told
    assert f"{first} - KB-TEA-014: {why}" in told
    (cell,) = json.loads(data)["cells"]
    assert cell["correct_first"] == why
    run(["fit", rounded, "--on", "good.toml", "--format", "csv"])
    (row,) = csv.DictReader(io.StringIO(capsys.readouterr().out))
    assert row["correct_first"] == why
    told, data = answers(capsys, "fit", "good.toml", "--on", rounded)
    assert first not in told
    assert json.loads(data)["cells"][0]["correct_first"] is None


def slipped(place: str) -> str:
    """A profile with one cutoff typed in another unit."""
    if place == "generated, low":
        slip = slip_of("low", 3, generate(3, 9))
        assert slip is not None
        return dump_profile(slip.document)
    typed = {"high in MPa": "26", "high in psi": "3480"}[place]
    return WITH_GEOMETRY.replace("high = 260", f"high = {typed}")


@pytest.mark.parametrize("place", ["high in MPa", "high in psi", "generated, low"])
def test_fit_and_propose_say_in_the_same_words_why_their_numbers_differ(
    place: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    name = "low" if "low" in place else "high"
    Path("slip.toml").write_text(slipped(place), "utf-8")
    _, data = answers(capsys, "fit", "slip.toml", "--on", "slip.toml")
    (cell,) = json.loads(data)["cells"]
    why = cell["correct_first"]
    assert why.startswith(f"its own {name} cutoff (")
    told, data = answers(capsys, "propose", "slip.toml")
    (proposal,) = json.loads(data)["proposals"]
    assert proposal["correct_first"] == why
    item = proposal[name]["recommendation"]
    first = "the numbers that fit shows and --write writes are those that are proposed after it:"
    assert f"{first} - {why}" in told
    assert item["then"] == cell[name]["value"] != item["enter"]
    run(["propose", "slip.toml", "--write"])
    assert f"{name} = {item['then']}\n" in Path("slip.toml").read_text("utf-8")
    written = Path("slip.toml").read_bytes()
    capsys.readouterr()
    told, data = answers(capsys, "propose", "slip.toml", "--write")
    assert json.loads(data)["proposals"][0]["correct_first"] is None
    assert "proposed cutoffs, as in the file:" in told
    assert Path("slip.toml").read_bytes() == written
