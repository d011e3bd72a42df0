"""A run that found no profile has checked nothing, and is not green."""

from __future__ import annotations

import json
import os
from pathlib import Path

import pytest
from jsonschema import Draft202012Validator

from limitcheck.checking.policy_file import forget_policies
from limitcheck.cli.app import run
from limitcheck.render import FORMATS
from limitcheck.schemas import command_schema
from tests.gates.test_outcomes import CLEAN

Capture = pytest.CaptureFixture[str]


@pytest.fixture(autouse=True)
def own_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / ".git").mkdir()
    monkeypatch.chdir(tmp_path)
    forget_policies()


def placed(files: dict[str, str | bytes | None]) -> None:
    """Files of a repository; None makes a folder, text that begins with -> a link."""
    for name, content in files.items():
        path = Path(name)
        path.parent.mkdir(parents=True, exist_ok=True)
        if content is None:
            path.mkdir(exist_ok=True)
        elif isinstance(content, bytes):
            path.write_bytes(content)
        elif content.startswith("->"):
            path.symlink_to(content[2:])
        else:
            path.write_text(content, "utf-8")


@pytest.mark.parametrize(
    ("policy", "arguments", "exit_code"),
    [
        ("", [], 2),
        ('exclude = ["*"]\n', [], 2),
        ("", ["--allow-empty"], 0),
        ("", ["--format", "json"], 2),
    ],
)
def test_nothing_found_is_not_green(
    policy: str, arguments: list[str], exit_code: int, capsys: Capture
) -> None:
    Path("limitcheck.toml").write_text(policy)
    assert run(["check", ".", *arguments]) == exit_code
    told = "no profile was found: nothing was checked" in capsys.readouterr().err
    assert told is (exit_code == 2)


EXCLUDES = {
    "q": ["q/tea.toml", "q/deep/tea.toml"],
    "q/": ["q/tea.toml", "q/deep/tea.toml"],
    "./q": ["q/tea.toml", "q/deep/tea.toml"],
    "q/**": ["q/tea.toml", "q/deep/tea.toml"],
    "q/*": ["q/tea.toml", "q/deep/tea.toml"],
    "**/q": ["a/q/tea.toml", "q/tea.toml", "q/deep/tea.toml"],
    "**/q/**": ["a/q/tea.toml", "q/tea.toml", "q/deep/tea.toml"],
    "a/**/tea.toml": ["a/q/tea.toml"],
    "q/tea.toml": ["q/tea.toml"],
    "?": ["a/q/tea.toml", "q/tea.toml", "q/deep/tea.toml"],
    ".": ["a/q/tea.toml", "q/tea.toml", "q/deep/tea.toml", "queue.toml"],
    "*.toml": ["a/q/tea.toml", "q/tea.toml", "q/deep/tea.toml", "queue.toml"],
    "tea.toml": [],
    "nowhere": [],
}


@pytest.mark.parametrize(("pattern", "left_out"), EXCLUDES.items())
def test_what_a_pattern_leaves_out(pattern: str, left_out: list[str], capsys: Capture) -> None:
    for number, name in enumerate(EXCLUDES["."]):
        Path(name).parent.mkdir(parents=True, exist_ok=True)
        Path(name).write_text(CLEAN.replace("KB-TEA-014", f"KB-TEA-{number}"), "utf-8")
    Path("limitcheck.toml").write_text(f'exclude = ["{pattern}"]\n')
    nothing_left = left_out == EXCLUDES["."]
    assert run(["check", ".", "--format", "json"]) == (2 if nothing_left else 0)
    captured = capsys.readouterr()
    looked = json.loads(captured.out)["looked"]
    assert {item["path"] for item in looked["skipped"]} == {f"./{name}" for name in left_out}
    assert {item["reason"] for item in looked["skipped"]} <= {"excluded"}
    assert [item["pattern"] for item in looked["unmatched"]] == ([] if left_out else [pattern])
    sentence = f'4 TOML files skipped: 4 excluded by exclude = "{pattern}" (limitcheck.toml)'
    assert (sentence in " ".join(captured.err.split())) is nothing_left


@pytest.mark.parametrize(
    ("pattern", "sentence"),
    [
        (r"old\\tea.toml", 'write folders with /: "old/tea.toml"'),
        ("", "an empty pattern matches nothing"),
        ("/old", '"/old" is not a path from this folder'),
        ("../old", '"../old" leads out of this folder'),
    ],
)
def test_a_pattern_that_can_match_nothing_is_refused(
    pattern: str, sentence: str, capsys: Capture
) -> None:
    Path("tea.toml").write_text(CLEAN, "utf-8")
    Path("limitcheck.toml").write_text(f'exclude = ["{pattern}"]\n')
    assert run(["check", "."]) == 2
    assert sentence in " ".join(capsys.readouterr().err.split())


FOREIGN = "[server]\nport = 80\n"
DESCRIPTION = '[instrument]\nid = "KB-LC-09"\npressure_unit = "bar"\n'
LOCK = '[[packages]]\nname = "cutoffs"\n'
TWO_TABLES = "[cutoffs]\nhigh = 260\n\n[conditions]\nflow = '1.0 mL/min'\n"
MISSPELT = CLEAN.replace("[instrument]", "[Instrument]")
Files = dict[str, str | bytes | None]
RUNS: dict[str, tuple[Files, list[str], int, str]] = {
    # Nothing found.
    "an empty folder": ({}, ["."], 2, "no profile was found: nothing was checked"),
    "allowed to be empty": ({}, [".", "--allow-empty"], 0, "0 profiles"),
    "only others": ({"a.toml": FOREIGN}, ["."], 2, "1 TOML file skipped: 1 not a profile."),
    "all excluded": (
        {"limitcheck.toml": 'exclude = ["*"]\n', "tea.toml": CLEAN},
        ["."],
        2,
        '1 TOML file skipped: 1 excluded by exclude = "*" (limitcheck.toml).',
    ),
    "all excluded, from below": (
        {"limitcheck.toml": 'exclude = ["q"]\n', "q/tea.toml": CLEAN},
        ["q"],
        2,
        '1 excluded by exclude = "q" (limitcheck.toml)',
    ),
    "only a policy": ({"limitcheck.toml": "\n"}, ["."], 2, "nothing was checked"),
    # Names of any case.
    "TEA.TOML": ({"TEA.TOML": CLEAN}, ["."], 0, "1 profile: 0 errors"),
    "tea.Toml": ({"deep/tea.Toml": CLEAN}, ["."], 0, "1 profile: 0 errors"),
    "another suffix": ({"tea.toml.bak": CLEAN}, ["."], 2, "nothing was checked"),
    # What was meant to be a profile.
    "a table in capitals": (
        {"tea.toml": MISSPELT},
        ["."],
        2,
        "tea.toml:11:1: error: unreadable-profile 11 | [Instrument] | ^^^^^^^^^^^^ unknown key "
        "Instrument in the file Do: did you mean instrument?",
    ),
    "a table in capitals, no format": (
        {"tea.toml": MISSPELT.replace("format = 1\n", "")},
        ["."],
        2,
        "no `format`, but taken for a profile, because it has [method], [Instrument]",
    ),
    "a table in capitals, named": ({"t.toml": MISSPELT}, ["t.toml"], 2, "did you mean instrument?"),
    "a dash": (
        {"tea.toml": CLEAN.replace("flow_path", "flow-path")},
        ["."],
        2,
        "did you mean flow_path?",
    ),
    "two of its tables": (
        {"tea.toml": TWO_TABLES},
        ["."],
        2,
        "tea.toml:1:1: error: unreadable-profile 1 | [cutoffs] | ^^^^^^^^^ no `format`, but taken "
        "for a profile, because it has [cutoffs], [conditions] Do: correct it;",
    ),
    "a description in capitals": (
        {"a.toml": CLEAN, "b.toml": DESCRIPTION.replace("[i", "[I")},
        ["."],
        2,
        "because it has [Instrument] Do: correct it; if it is none, put its path into `exclude` of "
        "limitcheck.toml ./b.toml:1:1: error: unreadable-profile 1 | [Instrument] | ^^^^^^^^^^^^ "
        "unknown key Instrument in the file Do: did you mean instrument? known keys here: "
        "accepted, conditions, cutoffs, expected, flow_path, format, instrument, margins, "
        "measured, method, source 2 profiles, 1 unreadable: 2 errors",
    ),
    "only its schema line": (
        {"tea.toml": "#:schema ../limitcheck/profile/profile.schema.json\n"},
        ["."],
        2,
        "format is missing from the file Do: add format = 1",
    ),
    "beside a good one": ({"a.toml": CLEAN, "b.toml": TWO_TABLES}, ["."], 2, "1 unreadable"),
    "a broken profile": (
        {"a.toml": CLEAN, "b.toml": TWO_TABLES + "[["},
        ["."],
        2,
        "2 profiles, 1 unreadable",
    ),
    "a dangling link": (
        {"a.toml": CLEAN, "b.toml": "->nowhere"},
        ["."],
        2,
        "a link to nowhere, which is not there",
    ),
    "a link to itself": ({"a.toml": CLEAN, "b.toml": "->b.toml"}, ["."], 2, "b.toml:1:1: error"),
    # Other TOML never stops a search.
    "a broken file": (
        {"a.toml": CLEAN, "b.toml": "[server\n"},
        ["."],
        0,
        "1 TOML file skipped: 1 not readable as TOML, with nothing of a profile in it.",
    ),
    "the same, named": ({"b.toml": "[server\n"}, ["b.toml"], 2, "a table name that is not closed"),
    "5 MB": (
        {"a.toml": CLEAN, "b.toml": FOREIGN + "# x\n" * 1_300_000},
        ["."],
        0,
        "1 far too large for a profile, with nothing of one in it",
    ),
    "a lock file": ({"a.toml": CLEAN, "pylock.toml": LOCK}, ["."], 0, "1 lock file."),
    "a broken lock file": ({"a.toml": CLEAN, "pylock.toml": LOCK + "["}, ["."], 0, "1 lock file."),
    "a lock file, named": ({"pylock.toml": LOCK}, ["pylock.toml"], 2, "this is not a profile"),
    "found, and named, too": ({"b.toml": FOREIGN}, [".", "b.toml"], 2, "this is not a profile"),
    "a broken project": ({"a.toml": CLEAN, "pyproject.toml": "[["}, ["."], 0, "1 not a profile."),
    "binary": ({"a.toml": CLEAN, "b.toml": b"\x00\xff\x01"}, ["."], 0, "1 not readable as TOML"),
    "an empty file": ({"a.toml": CLEAN, "b.toml": ""}, ["."], 0, "1 TOML file skipped: 1 empty."),
    "music": (
        {"a.toml": CLEAN, "b.toml": '[instrument]\nname = "piano"\n\n[[track]]\ntempo = 90\n'},
        ["."],
        0,
        "1 TOML file skipped: 1 not a profile.",
    ),
    "descriptions": (
        {"a.toml": CLEAN, "b.toml": DESCRIPTION, "c.toml": FOREIGN, "d.toml": DESCRIPTION},
        ["."],
        0,
        "3 TOML files skipped: 1 not a profile, 2 describe instruments or parts.",
    ),
    "names": (
        {"a.toml": CLEAN, "b.toml": FOREIGN, "pylock.toml": LOCK},
        [".", "--verbose"],
        0,
        "Skipped: ./b.toml: not a profile ./pylock.toml: lock file",
    ),
    "names in no other format": (
        {"a.toml": CLEAN},
        [".", "--verbose", "--format", "json"],
        2,
        "--verbose is a form of text, not of json",
    ),
    # Excludes.
    "an exclude that matches nothing": (
        {"a.toml": CLEAN, "limitcheck.toml": 'exclude = ["old/*"]\n'},
        ["."],
        0,
        'exclude = "old/*" (limitcheck.toml) matches nothing.',
    ),
    "an excluded file, named": (
        {"q/tea.toml": CLEAN, "limitcheck.toml": 'exclude = ["q"]\n'},
        ["q/tea.toml"],
        0,
        'q/tea.toml is named, so it is checked in spite of exclude = "q" (limitcheck.toml).',
    ),
    "an excluded file, named by a hook": (
        {"q/tea.toml": CLEAN, "limitcheck.toml": 'exclude = ["q"]\n'},
        ["q/tea.toml", "--skip-others"],
        0,
        '1 TOML file skipped: 1 excluded by exclude = "q" (limitcheck.toml).',
    ),
    "an excluded profile in error": (
        {"a.toml": CLEAN, "q/tea.toml": MISSPELT, "limitcheck.toml": 'exclude = ["q/"]\n'},
        ["."],
        0,
        "1 profile: 0 errors",
    ),
    # Links, and folders that are not searched.
    "a link to a folder": (
        {"a.toml": CLEAN, "b": "->/tmp"},
        ["."],
        0,
        "Not searched: 1 link to a folder.",
    ),
    "a loop of folders": ({"q/a.toml": CLEAN, "q/up": "->.."}, ["."], 0, "1 link to a folder."),
    "a link to a folder, named": ({"q/a.toml": CLEAN, "up": "->q"}, ["up"], 0, "1 profile: 0"),
    "two names of one file": (
        {"a.toml": CLEAN, "b.toml": "->a.toml"},
        ["."],
        0,
        "1 TOML file skipped: 1 another name of a file that is checked.",
    ),
    "the policy beside the file holds, not that beside a link": (
        {
            "lax/limitcheck.toml": '[severity]\nhigh-cutoff-above-rating = "off"\n',
            "lax/a.toml": "->../strict/a.toml",
            "strict/a.toml": CLEAN.replace("high = 280", "high = 800"),
        },
        ["."],
        1,
        "1 another name of a file that is checked.",
    ),
    "a link that is named": ({"a.toml": CLEAN, "b.toml": "->a.toml"}, ["b.toml"], 0, "b.toml: "),
    "one file named twice": ({"a.toml": CLEAN}, ["a.toml", "./a.toml", "."], 0, "1 profile: 0"),
    "a hidden folder": (
        {"a.toml": CLEAN, ".old/b.toml": MISSPELT},
        ["."],
        0,
        "Not searched: 1 hidden folder with TOML files.",
    ),
    "a hidden folder, named": ({".old/b.toml": MISSPELT}, [".old"], 2, "did you mean instrument?"),
}


@pytest.mark.parametrize(("files", "arguments", "code", "sentence"), RUNS.values(), ids=RUNS)
def test_a_run_says_what_it_looked_at(
    files: Files, arguments: list[str], code: int, sentence: str, capsys: Capture
) -> None:
    placed(files)
    assert run(["check", *arguments]) == code
    captured = capsys.readouterr()
    assert sentence in " ".join((captured.out + captured.err).split())
    assert all(len(line) <= 80 for line in captured.out.splitlines())


def test_what_is_not_there_is_not_said(capsys: Capture) -> None:
    placed({"a.toml": CLEAN, ".old/notes.txt": "x", "limitcheck.toml": "", "q/b.txt": "x"})
    assert run(["check", "."]) == 0
    assert capsys.readouterr().out.splitlines()[-1].startswith("1 profile: 0 errors")


def test_part_of_a_policys_folder_says_nothing_of_its_excludes(capsys: Capture) -> None:
    placed({"p/a.toml": CLEAN, "limitcheck.toml": 'exclude = ["old"]\n'})
    assert run(["check", "p"]) == 0
    assert "matches nothing" not in capsys.readouterr().out


@pytest.mark.parametrize("format", FORMATS)
def test_every_format_says_what_was_skipped(format: str, capsys: Capture) -> None:
    placed({"a.toml": CLEAN, "b.toml": FOREIGN, "limitcheck.toml": 'exclude = ["old"]\n'})
    assert run(["check", ".", "--format", format]) == 0
    told = capsys.readouterr().out
    assert "not-a-profile" in told or "1 TOML file skipped: 1 not a profile" in told
    if format in ("sarif", "junit"):
        assert "b.toml" in told
    assert "old" in told


@pytest.mark.parametrize(
    "command", [["report"], ["fit", "--on", "kb.toml"], ["propose"], ["fleet"]]
)
@pytest.mark.parametrize("files", [{}, {"q/b.toml": FOREIGN}])
def test_no_other_command_is_green_over_nothing(
    command: list[str], files: Files, capsys: Capture
) -> None:
    placed({"q": None, **files, "kb.toml": CLEAN})
    assert run([*command, "q"]) == 2
    told = " ".join(capsys.readouterr().err.split())
    assert "no profile was found: nothing was checked" in told
    assert ("1 TOML file skipped: 1 not a profile" in told) is bool(files)


SOME_SKIPPED: Files = {
    "q/a.toml": CLEAN,
    "q/b.toml": FOREIGN,
    "q/c.toml": "->a.toml",
    "q/old/d.toml": CLEAN,
    "q/limitcheck.toml": 'exclude = ["old", "new"]\n',
}


@pytest.mark.parametrize("command", ["check", "report", "propose", "fit --on kb.toml", "fleet"])
def test_other_commands_say_what_they_skipped(command: str, capsys: Capture) -> None:
    placed({**SOME_SKIPPED, "kb.toml": CLEAN.replace("KB-TEA-014", "KB-TEA-015")})
    name, *options = command.split()
    outputs = ["--output", "a.md"] if name != "check" else []
    assert run([name, "q", *options, *outputs, "--format", "json"]) == 0
    data = json.loads(capsys.readouterr().out)
    schema = command_schema("check" if name == "report" else name)
    Draft202012Validator(json.loads(schema)).validate(data)
    looked = data["looked"]
    assert [(item["path"], item["reason"]) for item in looked["skipped"]] == [
        ("q/c.toml", "same-file"),
        ("q/old/d.toml", "excluded"),
        ("q/b.toml", "not-a-profile"),
    ]
    assert looked["skipped"][0]["same_as"] == "q/a.toml"
    assert looked["unmatched"] == [{"pattern": "new", "policy": "q/limitcheck.toml"}]
    if outputs:
        record = " ".join(Path("a.md").read_text("utf-8").split())
        assert "3 TOML files skipped: 1 not a profile, 1 excluded by exclude" in record
        assert "matches nothing" in record
        assert "q/old/d.toml" in record


@pytest.mark.parametrize("format", FORMATS)
def test_names_that_are_no_text(format: str, capsys: Capture) -> None:
    placed({"a.toml": CLEAN, os.fsdecode(b"\xff.toml"): "->a.toml"})
    more = ["--verbose"] if format == "text" else []
    assert run(["check", ".", "--format", format, *more]) == 0
    told = capsys.readouterr().out
    assert told.encode("utf-8")
    assert "other name of a file" in told or "same-file" in told
