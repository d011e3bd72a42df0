"""The known-findings file: what stays known, what is new, and what --write-known keeps.

Each line of the table writes down the findings of two profiles, then changes the repository.
"""

from __future__ import annotations

import json
import os
from collections.abc import Callable
from pathlib import Path
from typing import Any, NamedTuple

import pytest

from limitcheck.checking import run as run_module
from limitcheck.checking.policy_file import forget_policies
from limitcheck.cli.app import run
from tests.profiles_for_tests import text

Capture = pytest.CaptureFixture[str]
TEA, LEAF = "profiles/tea.toml", "profiles/leaf.toml"
OVER = {"high": "410"}
"""Above the pump's 400 bar: an error."""


def put(path: str, **values: str) -> None:
    Path(path).parent.mkdir(parents=True, exist_ok=True)
    Path(path).write_text(text(**values), "utf-8")


def edit(path: str, old: str, new: str) -> None:
    content = Path(path).read_text("utf-8")
    assert old in content
    Path(path).write_text(content.replace(old, new, 1), "utf-8")


@pytest.fixture(autouse=True)
def repository(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Two profiles with findings, and the file that knows them."""
    monkeypatch.chdir(tmp_path)
    put(TEA, **OVER)
    put(LEAF, method='"KB-LEAF-002"', low="")
    assert run(["check", "profiles", "--write-known", "known.json"]) == 0


def entries(name: str = "known.json") -> list[dict[str, Any]]:
    found: list[dict[str, Any]] = json.loads(Path(name).read_text("utf-8"))["known"]
    return found


def known_of(capsys: Capture, *arguments: str) -> tuple[int, dict[str, Any]]:
    capsys.readouterr()
    code = run(["check", *arguments, "--fail-on", "note", "--format", "json"])
    return code, json.loads(capsys.readouterr().out)["summary"]


class Gate(NamedTuple):
    """What is done, the exit code with --fail-on note, and the arguments of the next run."""

    change: Callable[[], object]
    exit_code: int
    arguments: tuple[str, ...] = ("profiles", "--known", "known.json")


def move(old: str, new: str) -> Callable[[], object]:
    def moved() -> None:
        Path(new).parent.mkdir(parents=True, exist_ok=True)
        os.replace(old, new)

    return moved


def moved_known() -> None:
    Path("ci").mkdir()
    os.replace("known.json", "ci/known.json")


def copied(**values: str) -> Callable[[], object]:
    """Another file of the same method and instrument, in another revision."""

    def copy() -> None:
        put("profiles/tea-c.toml", **values)
        edit("profiles/tea-c.toml", 'id = "KB-TEA-014"\n', 'id = "KB-TEA-014"\nrevision = "C"\n')

    return copy


def both(*changes: Callable[[], object]) -> Callable[[], object]:
    return lambda: [change() for change in changes]


def edited(old: str, new: str, path: str = TEA) -> Callable[[], object]:
    return lambda: edit(path, old, new)


def pumps(rating: str) -> Callable[[], object]:
    """Another rating of the pump, in both files of the instrument."""
    return both(*(edited('"400 bar"', f'"{rating}"', path) for path in (TEA, LEAF)))


MIXER = '[[flow_path]]\npart = "mixer"\nrating = "{}"\n\n[[flow_path]]\npart = "column"'
COLUMN = '[[flow_path]]\npart = "column"'
TABLE = {
    "nothing": Gate(lambda: None, 0),
    "the files in another order": Gate(
        lambda: None, 0, (TEA, LEAF, "--known", "known.json")
    ),
    "a comment and empty lines": Gate(edited("[cutoffs]", "# as typed\n\n[cutoffs]"), 0),
    "410.00 for 410": Gate(edited("high = 410", "high = 410.00"), 0),
    "41 MPa for 410 bar, of a rating": Gate(edited('"400 bar"', '"40.0 MPa"'), 0),
    "a file that moved": Gate(move(TEA, "profiles/hplc/tea.toml"), 0),
    "a file with another name": Gate(move(TEA, "profiles/black-tea.toml"), 0),
    "both moved": Gate(
        both(move(TEA, "profiles/a.toml"), move(LEAF, "profiles/b.toml")), 0
    ),
    "the known file moved": Gate(moved_known, 0, ("profiles", "--known", "ci/known.json")),
    "a part put in": Gate(edited(COLUMN, MIXER.format("500 bar")), 0),
    "a part put in that is passed as well": Gate(edited(COLUMN, MIXER.format("405 bar")), 1),
    "further above the rating": Gate(edited("high = 410", "high = 411"), 1),
    "far further": Gate(edited("high = 410", "high = 510"), 1),
    "nearer to the rating": Gate(edited("high = 410", "high = 402"), 0),
    "a stronger pump": Gate(pumps("405 bar"), 0),
    "a weaker pump": Gate(pumps("390 bar"), 1),
    "another method": Gate(edited("KB-TEA-014", "KB-TEA-015"), 1),
    "another instrument": Gate(edited("KB-LC-03", "KB-LC-04"), 1),
    "a second file of the method, as bad": Gate(copied(**OVER), 1),
    "a second file of the method, less bad": Gate(copied(high="405"), 1),
    "a second file of the method, clean": Gate(copied(), 0),
    "the first corrected, a second as bad": Gate(
        both(edited("high = 410", "high = 250"), copied(**OVER)), 1
    ),
    "the first gone, a second as bad": Gate(both(lambda: os.unlink(TEA), copied(**OVER)), 0),
    "the second alone is looked at": Gate(
        copied(**OVER), 1, ("profiles/tea-c.toml", "--known", "known.json")
    ),
    "another method under the old name, the file moved": Gate(
        both(
            move(TEA, "profiles/a.toml"),
            lambda: put(TEA, method='"KB-NUT-001"'),
        ),
        0,
    ),
    "another method under the old name, only the moved file looked at": Gate(
        both(
            move(TEA, "profiles/a.toml"),
            lambda: put(TEA, method='"KB-NUT-001"'),
        ),
        0,
        ("profiles/a.toml", "--known", "known.json"),
    ),
    "a profile that cannot be read": Gate(edited("format = 1", "format = 2"), 2),
    "a known file that is none": Gate(
        lambda: Path("known.json").write_text("[]"), 2
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", TABLE)
def test_what_is_known_and_what_is_new(name: str, capsys: Capture) -> None:
    gate = TABLE[name]
    gate.change()
    assert run(["check", *gate.arguments, "--fail-on", "note"]) == gate.exit_code


def test_an_entry_has_fingerprint_place_and_both_numbers() -> None:
    first = next(e for e in entries() if e["check"] == "high-cutoff-above-rating")
    assert first["method"] == "KB-TEA-014"
    assert first["instrument"] == "KB-LC-03"
    assert (first["at"], first["value"], first["limit"]) == (
        "cutoffs.high", "410 bar", {"pump": "400 bar"},
    )  # fmt: skip
    lines = Path("known.json").read_text("utf-8").splitlines()
    assert len(lines) == len(entries()) + 2


def test_writing_for_one_file_keeps_the_entries_of_the_other(capsys: Capture) -> None:
    before = Path("known.json").read_bytes()
    assert run(["check", TEA, "--write-known", "known.json"]) == 0
    assert Path("known.json").read_bytes() == before
    assert "1 not looked at kept" in capsys.readouterr().err


def test_what_was_checked_and_is_gone_goes_and_is_said(capsys: Capture) -> None:
    edit(TEA, "high = 410", "high = 250")
    assert run(["check", TEA, "--write-known", "known.json"]) == 0
    said = " ".join(capsys.readouterr().err.split())
    assert "gone: profiles/tea.toml: high-cutoff-above-rating at cutoffs.high" in said
    assert {entry["file"] for entry in entries()} == {LEAF}


def test_a_file_that_is_gone_from_a_folder_goes_and_of_another_folder_stays() -> None:
    put("other/nut.toml", method='"KB-NUT-001"', low="")
    assert run(["check", "other", "--write-known", "known.json"]) == 0
    os.unlink("other/nut.toml")
    os.unlink(LEAF)
    assert run(["check", "profiles", "--write-known", "known.json"]) == 0
    assert {entry["file"] for entry in entries()} == {TEA, "other/nut.toml"}


def test_a_profile_that_cannot_be_read_keeps_its_entries() -> None:
    before = entries()
    edit(TEA, "format = 1", "format = 2")
    assert run(["check", "profiles", "--write-known", "known.json"]) == 2
    assert entries() == before


def test_a_file_that_moved_is_followed_and_the_rest_is_left() -> None:
    os.replace(TEA, "profiles/black.toml")
    assert run(["check", "profiles/black.toml", "--write-known", "known.json"]) == 0
    assert {entry["file"] for entry in entries()} == {"profiles/black.toml", LEAF}


def test_numbers_are_written_in_one_way() -> None:
    before = Path("known.json").read_bytes()
    edit(TEA, "high = 410", "high = 410.000")
    assert run(["check", "profiles", "--write-known", "known.json"]) == 0
    assert Path("known.json").read_bytes() == before


def test_what_got_worse_is_written_anew() -> None:
    edit(TEA, "high = 410", "high = 420")
    assert run(["check", "profiles", "--write-known", "known.json"]) == 0
    over = [e["value"] for e in entries() if e["check"] == "high-cutoff-above-rating"]
    assert over == ["420 bar"]


def test_the_order_of_the_arguments_does_not_matter() -> None:
    before = Path("known.json").read_bytes()
    for order in ((LEAF, TEA), (TEA, LEAF)):
        os.unlink("known.json")
        assert run(["check", *order, "--write-known", "known.json"]) == 0
        assert Path("known.json").read_bytes() == before


def test_each_file_of_two_has_an_entry_of_its_own(capsys: Capture) -> None:
    copied(**OVER)()
    assert run(["check", "profiles", "--write-known", "known.json"]) == 0
    assert run(["check", "profiles", "--known", "known.json", "--fail-on", "note"]) == 0
    edit("profiles/tea-c.toml", "high = 410", "high = 411")
    code, summary = known_of(capsys, "profiles", "--known", "known.json")
    assert code == 1
    assert summary["errors"] == 1


def test_an_accepted_finding_needs_no_entry(capsys: Capture) -> None:
    signed = ["--reason", "leak sensor", "--by", "owner", "--until", "2099-06-30"]
    assert run(["accept", LEAF, "low-cutoff-off", *signed]) == 0
    assert run(["check", "profiles", "--write-known", "known.json"]) == 0
    assert [entry["file"] for entry in entries()] == [TEA] * len(entries())


def test_what_two_files_contradict_each_other_in_goes_when_both_were_checked(
    capsys: Capture,
) -> None:
    put("profiles/nut.toml", method='"KB-NUT-001"', pump='"390 bar"', high="240")
    assert run(["check", "profiles", "--write-known", "known.json"]) == 0
    conflicts = [e for e in entries() if e["check"] == "part-rating-conflict"]
    assert {(e["file"], e["against"]) for e in conflicts} >= {("profiles/nut.toml", LEAF)}
    put("profiles/nut.toml", method='"KB-NUT-001"', pump='"400 bar"', high="240")
    assert run(["check", "profiles/nut.toml", "--write-known", "known.json"]) == 0
    assert [e for e in entries() if e["check"] == "part-rating-conflict"] == conflicts
    assert run(["check", "profiles", "--write-known", "known.json"]) == 0
    assert not [e for e in entries() if e["check"] == "part-rating-conflict"]


def test_many_known_findings_in_several_processes(capsys: Capture) -> None:
    for number in range(250):
        put(f"many/{number}.toml", method=f'"KB-{number}"', **OVER)
    arguments = ["many", "--jobs", "2"]
    assert run(["check", *arguments, "--write-known", "known.json"]) == 0
    edit("many/7.toml", "high = 410", "high = 420")
    code, summary = known_of(capsys, *arguments, "--known", "known.json")
    assert code == 1
    assert summary["errors"] == 1


def test_a_known_file_that_another_run_wrote_meanwhile_is_left(
    monkeypatch: pytest.MonkeyPatch, capsys: Capture
) -> None:
    real = run_module.check_targets

    def others_write(*arguments: Any, **options: Any) -> Any:
        Path("known.json").write_text('{"format": 1, "known": []}', "utf-8")
        return real(*arguments, **options)

    monkeypatch.setattr(run_module, "check_targets", others_write)
    assert run(["check", TEA, "--write-known", "known.json"]) == 2
    assert "has changed since it was read" in " ".join(capsys.readouterr().err.split())
    assert entries() == []


RATING, BAND = "high-cutoff-above-rating", "[expected]\nlow = 120\nhigh = 200\n"
NOT_LOOKED_FOR: dict[str, tuple[Callable[[], object], list[str]]] = {
    "another check alone": (lambda: None, ["--only", "low-cutoff-off"]),
    "turned off by an option": (lambda: None, ["--without", RATING]),
    "turned off by a policy": (lambda: policy(f'[severity]\n{RATING} = "off"\n'), []),
    "not decided": (lambda: edit(TEA, 'rating = "400 bar"\n', ""), []),
    "moved, and turned off": (lambda: os.rename(TEA, "profiles/t.toml"), ["--without", RATING]),
}


def policy(content: str) -> None:
    Path("limitcheck.toml").write_text(content, "utf-8")
    forget_policies()


@pytest.mark.parametrize("case", NOT_LOOKED_FOR)
def test_what_was_not_looked_for_is_neither_called_gone_nor_dropped(
    case: str, capsys: Capture
) -> None:
    change, options = NOT_LOOKED_FOR[case]
    before = [entry for entry in entries() if entry["check"] == RATING]
    assert before
    change()
    capsys.readouterr()
    run(["check", "profiles", "--known", "known.json", *options])
    told = capsys.readouterr().out
    gone = told.partition("no longer occur")[2]
    assert RATING not in gone
    assert run(["check", "profiles", "--write-known", "known.json", *options]) == 0
    assert f"gone: {TEA}: {RATING}" not in capsys.readouterr().err
    assert [entry for entry in entries() if entry["check"] == RATING] == before


def test_what_was_deleted_goes_whatever_is_turned_off(capsys: Capture) -> None:
    os.remove(TEA)
    assert run(["check", "profiles", "--without", RATING, "--write-known", "known.json"]) == 0
    assert RATING not in {entry["check"] for entry in entries()}


def test_a_known_check_left_open_hides_no_other_one_and_no_other_cutoff(capsys: Capture) -> None:
    put(TEA, column="")
    only = ["--require", "low-cutoff-off", "--require"]
    know = [TEA, *only, "high-cutoff-above-rating", "--write-known", "known.json"]
    assert run(["check", *know]) == 0
    know_it = ["check", TEA, *only, "high-cutoff-above-rating", "--known", "known.json"]
    assert run(know_it) == 0
    assert run(["check", TEA, *only, "expected-above-rating", "--known", "known.json"]) == 1
    edit(TEA, "high = 250", "high = 5800")
    assert run(know_it) == 1


@pytest.mark.parametrize(
    "options", [[], ["--only", "low-cutoff-off"], ["--require", "low-cutoff-off"]]
)
def test_a_known_check_left_open_is_gone_when_it_is_decided(
    options: list[str], capsys: Capture
) -> None:
    put(TEA, column="")
    assert run(["check", TEA, "--write-known", "known.json"]) == 0
    said = "no longer occur"
    for decided in (False, True):
        capsys.readouterr()
        run(["check", TEA, "--known", "known.json", *options])
        told = capsys.readouterr().out
        expected = decided and "--only" not in options
        assert ("not-decided" in told.partition(said)[2]) is expected, told
        put(TEA)


def test_a_known_unused_acceptance_of_what_is_turned_off_is_not_gone(capsys: Capture) -> None:
    accepted = 'at = "cutoffs.low"\nvalue = "off"\nreason = "x"\nby = "y"\nuntil = 2199-01-01\n'
    with Path(TEA).open("a", encoding="utf-8") as file:
        file.write(f'\n[[accepted]]\ncheck = "low-cutoff-off"\n{accepted}')
    assert run(["check", TEA, "--write-known", "known.json"]) == 0
    assert "acceptance-unused" in {entry["check"] for entry in entries()}
    for options in ([], ["--without", "low-cutoff-off"]):
        capsys.readouterr()
        run(["check", TEA, "--known", "known.json", *options])
        assert "acceptance-unused" not in capsys.readouterr().out.partition("no longer occur")[2]


def test_two_known_findings_files_are_refused(capsys: Capture) -> None:
    """One of them would not be read."""
    assert run(["check", TEA, "--known", "known.json", "--write-known", "other.json"]) == 2
    assert "are two files" in capsys.readouterr().err
    assert not Path("other.json").exists()
    assert run(["check", TEA, "--known", "known.json", "--write-known", "./known.json"]) == 0
