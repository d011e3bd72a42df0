"""A policy cannot whisper: what is nearly one is read or refused, and what it changes is said.

Each line of the tables is a repository: files beside a profile, the command, exit code, a sentence.
"""

from __future__ import annotations

import json
import os
from hashlib import sha256
from pathlib import Path
from typing import Any

import pytest

from limitcheck.checking.policy_file import forget_policies
from limitcheck.cli.app import run
from limitcheck.policy import AcceptanceRules
from tests.gates.test_outcomes import CLEAN

Capture = pytest.CaptureFixture[str]
LOW_OFF = CLEAN.replace("low = 90", "low = 0")
"""A warning: low-cutoff-off."""
OVER_RATING = CLEAN.replace("high = 280", "high = 800")
"""Errors: high-cutoff-above-rating among them."""
ACCEPTANCE = """
[[accepted]]
check = "{check}"
at = "cutoffs.low"
value = "off"
reason = "leak sensor"
by = "owner"
until = 2126-06-30
"""


@pytest.fixture(autouse=True)
def own_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / ".git").mkdir()
    monkeypatch.chdir(tmp_path)
    forget_policies()


def written(files: dict[str, str | bytes | None], profile: str = CLEAN) -> None:
    """Files beside a profile; None makes a folder, text that begins with -> a link."""
    Path("tea.toml").write_text(profile, "utf-8")
    for name, content in files.items():
        path = Path(name)
        path.parent.mkdir(parents=True, exist_ok=True)
        if content is None:
            path.mkdir()
        elif isinstance(content, bytes):
            path.write_bytes(content)
        elif content.startswith("->"):
            path.symlink_to(content[2:])
        else:
            path.write_text(content, "utf-8")


def told(capsys: Capture) -> str:
    captured = capsys.readouterr()
    return " ".join((captured.out + captured.err).split())


WARNS = 'fail_on = "warning"\n'
OWN, SHARED = "limitcheck.toml", "pyproject.toml"
FILES: dict[str, tuple[dict[str, str | bytes | None], int, str]] = {
    "no policy": ({}, 0, "1 profile: 0 errors, 1 warning, 0 notes"),
    "a policy": ({OWN: WARNS}, 1, "fail_on = warning (default: error)"),
    "an empty policy": ({OWN: ""}, 0, "1 profile: 0 errors, 1 warning, 0 notes"),
    "in pyproject": ({SHARED: f"[tool.limitcheck]\n{WARNS}"}, 1, "fail_on = warning"),
    "an inline table": ({SHARED: '[tool]\nlimitcheck = {fail_on = "warning"}\n'}, 1, "fail_on = w"),
    "a dotted key": ({SHARED: 'tool.limitcheck.fail_on = "warning"\n'}, 1, "fail_on = warning"),
    "an escaped key": ({SHARED: f'[tool."limit\\u0063heck"]\n{WARNS}'}, 1, "fail_on = warning"),
    "a spaced header": ({SHARED: f"[ tool . limitcheck ]\n{WARNS}"}, 1, "fail_on = warning"),
    "another suffix case": ({"limitcheck.TOML": WARNS}, 1, "limitcheck.TOML"),
    "another case": ({"LimitCheck.toml": WARNS}, 1, "LimitCheck.toml"),
    "with a byte-order mark": ({OWN: b"\xef\xbb\xbf" + WARNS.encode()}, 1, "fail_on = warning"),
    "a link": ({"a/policy": WARNS, OWN: "->a/policy"}, 1, "fail_on = warning"),
    # What is nearly a policy.
    "a number": ({SHARED: "[tool]\nlimitcheck = 3\n"}, 2, "a number where a table belongs"),
    "a text": ({SHARED: '[tool]\nlimitcheck = "strict"\n'}, 2, "where a table belongs"),
    "a list of tables": ({SHARED: f"[[tool.limitcheck]]\n{WARNS}"}, 2, "where a table belongs"),
    "misspelt": ({SHARED: f"[tool.limitchek]\n{WARNS}"}, 2, "did you mean [tool.limitcheck]?"),
    "with a hyphen": (
        {SHARED: f"[tool.limit-check]\n{WARNS}"},
        2,
        "[tool.limit-check] is not read",
    ),
    "with a capital": ({SHARED: f"[tool.Limitcheck]\n{WARNS}"}, 2, "[tool.Limitcheck] is not read"),
    "Tool": ({SHARED: f"[Tool.limitcheck]\n{WARNS}"}, 2, "[Tool.limitcheck] is not read"),
    "without tool": ({SHARED: f"[limitcheck]\n{WARNS}"}, 2, "write [tool.limitcheck]"),
    "pyproject's table in its own file": (
        {OWN: f"[tool.limitcheck]\n{WARNS}"},
        2,
        "unknown key tool",
    ),
    "a misspelt file": ({"limitchek.toml": WARNS}, 2, "rename it limitcheck.toml"),
    "a hyphen in the file": ({"limit-check.toml": WARNS}, 2, "not read, but it holds a policy"),
    "a hidden file": ({".limitcheck.toml": WARNS}, 2, "rename it limitcheck.toml"),
    "two cases": ({OWN: WARNS, "limitcheck.TOML": ""}, 2, "keep one"),
    "two places": (
        {OWN: "", SHARED: f"[tool.limitcheck]\n{WARNS}"},
        2,
        "keep one: limitcheck.toml",
    ),
    "a folder": ({OWN: None}, 2, "a folder, not a file"),
    "a link to nowhere": ({OWN: "->nowhere"}, 2, "a link to nowhere, which is not there"),
    "a link to itself": ({OWN: f"->{OWN}"}, 2, "cannot be read"),
    "UTF-16": ({OWN: WARNS.encode("utf-16")}, 2, "UTF-16"),
    "binary": ({OWN: b"fail_on\x00"}, 2, "binary data"),
    "no TOML": ({OWN: "fail_on: warning\n"}, 2, "limitcheck.toml:1:"),
    "an unknown key": ({OWN: 'fails_on = "warning"\n'}, 2, "did you mean fail_on?"),
    "an unknown check": (
        {OWN: '[severity]\nrating-mising = "off"\n'},
        2,
        "did you mean rating-missing?",
    ),
    "an unknown grade": (
        {OWN: '[severity]\nrating-missing = "ignore"\n'},
        2,
        "not one of its values",
    ),
    "never in a policy": ({OWN: 'fail_on = "never"\n'}, 2, '"never" is not one of its values'),
    "a crash graded down": ({OWN: '[severity]\ncrashed-check = "note"\n'}, 2, "it always fails"),
    "unreadable graded down": (
        {OWN: '[severity]\nunreadable-profile = "off"\n'},
        2,
        "always fails",
    ),
    "not decided turned off": ({OWN: '[severity]\nnot-decided = "off"\n'}, 2, "require less"),
    "broken pyproject with our name": ({SHARED: "[tool.limitcheck]\n[\n"}, 2, "pyproject.toml:"),
    # What is not ours never blocks.
    "another tool": ({SHARED: "[tool.linter]\nx = 1\n"}, 0, "1 profile"),
    "tool is no table": ({SHARED: "tool = 3\n"}, 0, "1 profile"),
    "broken pyproject of others": ({SHARED: "[tool.linter\n"}, 0, "1 profile"),
    "a huge pyproject of others": ({SHARED: "# x\n" * 300_000}, 0, "1 profile"),
    "a huge pyproject with our name": (
        {SHARED: "# x\n" * 300_000 + "[tool.limitcheck]\n"},
        2,
        "far too large",
    ),
    "pyproject that is no text": ({SHARED: b"\xff\xfe\x00"}, 0, "1 profile"),
    "an empty pyproject": ({SHARED: ""}, 0, "1 profile"),
    "another file of nearly the name": ({"limitchek.toml": 'title = "x"\n'}, 0, "1 profile"),
    "an old policy beside the policy": ({OWN: "", "limitcheck-old.toml": WARNS}, 0, "1 profile"),
}


@pytest.mark.parametrize("case", FILES)
def test_a_policy_is_read_or_refused(case: str, capsys: Capture) -> None:
    files, exit_code, sentence = FILES[case]
    written(files, LOW_OFF)
    assert run(["check", "tea.toml"]) == exit_code, told(capsys)
    assert sentence in told(capsys)


def test_a_pipe_is_no_policy(capsys: Capture) -> None:
    written({})
    os.mkfifo("limitcheck.toml")
    assert run(["check", "tea.toml"]) == 2
    assert "not a regular file" in told(capsys)


def test_the_line_of_a_misread_policy_is_named(capsys: Capture) -> None:
    written({SHARED: '[project]\nname = "methods"\n\n[tool.limitchek]\n'})
    assert run(["check", "tea.toml"]) == 2
    assert "pyproject.toml:4:1: error: unreadable-settings" in told(capsys)


POLICY = """\
[acceptances]
until_required = false

[margins]
high = "40 %"
low_wide = "5 %"

[severity]
high-cutoff-above-rating = "note"
rating-missing = "off"

[require]
checks = ["units"]
""".replace('checks = ["units"]', 'checks = ["unit-confusion"]')
SAID = (
    "acceptances.until_required = false (default: true)",
    "require.checks = unit-confusion (default: core)",
    "margins.high = 40 % (default: 25 %)",
    "margins.low_wide = 5 % (the default)",
    "high-cutoff-above-rating is graded note",
    "rating-missing is turned off",
)
DIGEST = sha256(POLICY.encode()).hexdigest()


@pytest.mark.parametrize(
    "format", ["text", "json", "sarif", "junit", "remarks-text", "remarks-json"]
)
def test_every_format_says_what_a_policy_changes(format: str, capsys: Capture) -> None:
    written({OWN: POLICY})
    assert run(["check", "tea.toml", "--format", format]) == 0
    text = told(capsys).replace("%25", "%")
    assert DIGEST in text
    assert OWN in text
    for sentence in SAID:
        assert sentence in text, sentence


@pytest.mark.parametrize("form", ["--quiet", "--summary"])
def test_no_form_of_the_text_hides_it(form: str, capsys: Capture) -> None:
    written({OWN: POLICY}, OVER_RATING)
    assert run(["check", "tea.toml", form]) == 1
    last = "1 check turned off; 1 check regraded; 6 core checks not required"
    assert told(capsys).endswith(last)


@pytest.mark.parametrize("ending", ["html", "md", "pdf", "txt", "json"])
def test_the_report_says_it(ending: str) -> None:
    written({OWN: POLICY})
    assert run(["report", "tea.toml", "-o", f"tea.{ending}"]) == 0
    if ending == "pdf":
        assert Path("tea.pdf").read_bytes().startswith(b"%PDF")
        return
    text = " ".join(Path(f"tea.{ending}").read_text("utf-8").split()).replace("\\_", "_")
    assert DIGEST in text
    for sentence in SAID:
        assert sentence in text, sentence


def test_the_transfer_record_says_it_of_both_sides(capsys: Capture) -> None:
    (there := Path("harrow-mill")).mkdir()
    (there / OWN).write_text('[severity]\nlow-cutoff-off = "off"\n')
    written({OWN: POLICY})
    (there / "tea.toml").write_text(CLEAN.replace("KB-LC-03", "HM-LC-01"), "utf-8")
    run(["transfer", "tea.toml", "harrow-mill/tea.toml"])
    text = told(capsys)
    for sentence in (*SAID, "low-cutoff-off is turned off", f"harrow-mill/{OWN}", DIGEST):
        assert sentence in text, sentence
    run(["transfer", "tea.toml", "harrow-mill/tea.toml", "--format", "json"])
    policies = json.loads(capsys.readouterr().out)["policies"]
    assert [item["path"] for item in policies] == [OWN, f"harrow-mill/{OWN}"]


def test_a_regraded_finding_says_its_own_grade(capsys: Capture) -> None:
    written({OWN: '[severity]\nhigh-cutoff-above-rating = "note"\n'}, OVER_RATING)
    run(["check", "tea.toml"])
    text = told(capsys)
    assert "note: high-cutoff-above-rating" in text
    assert "A note here; an error by default." in text
    (finding,) = [f for f in data(capsys, "tea.toml")["profiles"][0]["findings"] if regraded(f)]
    assert (finding["severity"], finding["default_severity"]) == ("note", "error")
    run(["check", "tea.toml", "--format", "sarif"])
    (log,) = json.loads(capsys.readouterr().out)["runs"]
    (result,) = [r for r in log["results"] if r["ruleId"] == "high-cutoff-above-rating"]
    assert (result["level"], result["properties"]["defaultLevel"]) == ("note", "error")
    assert "an error by default" in result["message"]["text"]
    (override,) = log["invocations"][0]["ruleConfigurationOverrides"]
    assert override["configuration"] == {"level": "note"}


def regraded(finding: dict[str, Any]) -> bool:
    return bool(finding["severity"] != finding["default_severity"])


def data(capsys: Capture, *arguments: str) -> Any:
    capsys.readouterr()
    run(["check", *arguments, "--format", "json"])
    return json.loads(capsys.readouterr().out)


def test_an_accepted_finding_says_its_own_grade_too(capsys: Capture) -> None:
    accepted = ACCEPTANCE.format(check="low-cutoff-off")
    written({OWN: '[severity]\nlow-cutoff-off = "note"\n'}, f"{LOW_OFF}{accepted}")
    assert run(["check", "tea.toml"]) == 0
    assert "A note here; a warning by default." in told(capsys)


def test_checks_of_acceptances_can_be_turned_off_and_that_is_said(capsys: Capture) -> None:
    accepted = ACCEPTANCE.format(check="low-cutoff-margin-thin")
    written({}, f"{CLEAN}{accepted}")
    assert "acceptance-unused" in {
        f["check"] for f in data(capsys, "tea.toml")["profiles"][0]["findings"]
    }
    written({OWN: '[severity]\nacceptance-unused = "off"\n'}, f"{CLEAN}{accepted}")
    forget_policies()
    assert data(capsys, "tea.toml")["profiles"][0]["findings"] == []
    run(["check", "tea.toml", "--quiet"])
    assert "1 check turned off" in told(capsys)


def test_each_file_fails_by_its_own_policy(capsys: Capture) -> None:
    written(
        {"strict/limitcheck.toml": WARNS, "strict/tea.toml": CLEAN.replace("TEA", "MILL")}, LOW_OFF
    )
    assert run(["check", "."]) == 0
    assert run(["check", "tea.toml", "strict"]) == 0
    Path("strict/tea.toml").write_text(LOW_OFF.replace("TEA", "MILL"), "utf-8")
    capsys.readouterr()
    for paths in ([".", "strict"], ["tea.toml", "strict"], ["strict", "tea.toml"]):
        assert run(["check", *paths]) == 1, paths
    assert "strict/limitcheck.toml" in told(capsys)
    found = data(capsys, ".")
    assert found["summary"]["warnings"] == 2
    assert found["summary"]["failing"] == 1
    assert {p["path"]: p["policy"] for p in found["profiles"]} == {
        "./strict/tea.toml": "strict/limitcheck.toml",
        "./tea.toml": None,
    }


def test_the_policies_of_a_run_in_processes_are_all_said(capsys: Capture) -> None:
    written({})
    for number in range(220):
        folder = Path(f"site-{number % 2}")
        folder.mkdir(exist_ok=True)
        text = CLEAN.replace("KB-TEA-014", f"KB-TEA-{number}").replace("TEA-021", f"T-{number}")
        (folder / f"{number}.toml").write_text(text, "utf-8")
    Path("site-0/limitcheck.toml").write_text('[severity]\nrating-missing = "off"\n')
    Path("site-1/limitcheck.toml").write_text('[severity]\nlow-cutoff-off = "error"\n')
    found = data(
        capsys, "site-0", "site-1", "--jobs", "2", "--without", "frit-not-finer-than-particles"
    )
    assert [item["path"] for item in found["policies"]] == [
        "site-0/limitcheck.toml",
        "site-1/limitcheck.toml",
        None,
    ]
    assert (
        found["policies"][2]["settings"][0]["text"] == "frit-not-finer-than-particles is turned off"
    )


FAILS = [
    ("a bad policy", {OWN: "colour = 1\n"}, ["tea.toml"], "unknown key colour"),
    (
        "a contradiction",
        {},
        ["tea.toml", "--only", "rating-missing", "--without", "rating-missing"],
        "another option asks for it",
    ),
    (
        "an unknown check",
        {},
        ["tea.toml", "--only", "rating-mising"],
        "did you mean rating-missing?",
    ),
    ("an unknown grade", {}, ["tea.toml", "--fail-on", "fatal"], "there is no such grade"),
    ("two forms", {}, ["tea.toml", "--quiet", "--summary"], "are two forms"),
    ("no known file", {}, ["tea.toml", "--known", "nowhere.json"], "nowhere.json cannot be read"),
]
OUTPUTS = ("a.json", "a.sarif", "a.xml", "a.txt", "remarks-text=a.log", "remarks-json=q.json")


@pytest.mark.parametrize(("case", "files", "arguments", "sentence"), FAILS)
def test_a_failed_run_leaves_no_stale_output(
    case: str, files: dict[str, Any], arguments: list[str], sentence: str, capsys: Capture
) -> None:
    written({})
    outputs = [f"--output={name}" for name in OUTPUTS]
    assert run(["check", "tea.toml", *outputs]) == 0
    names = [name.rpartition("=")[2] for name in OUTPUTS]
    before = {name: Path(name).read_text("utf-8") for name in names}
    written(files)
    forget_policies()
    capsys.readouterr()
    code = run(["check", *arguments, *outputs])
    text = told(capsys)
    assert code == 2
    assert sentence in text
    for name in names:
        assert f"{name}: replaced: it was of an earlier run, and this one failed" in text
        now = Path(name).read_text("utf-8")
        assert now != before[name]
        assert sentence.partition("?")[0].split()[-1] in now
    assert json.loads(Path("a.json").read_text())["exit_code"] == 2
    assert json.loads(Path("a.json").read_text())["failure"]
    (log,) = json.loads(Path("a.sarif").read_text())["runs"]
    assert not log["invocations"][0]["executionSuccessful"]
    assert 'errors="1"' in Path("a.xml").read_text()
    assert Path("a.log").read_text().startswith("::error ")
    assert json.loads(Path("q.json").read_text())[0]["severity"] == "blocker"


def test_an_output_that_can_not_be_written_is_named_and_the_others_are_written(
    capsys: Capture,
) -> None:
    written({"a.json": None})
    assert run(["check", "tea.toml", "-o", "a.json", "-o", "a.sarif"]) == 2
    assert "what stands in a.json is not of this run" in told(capsys)
    assert json.loads(Path("a.sarif").read_text())["runs"]


def test_settings_in_force_and_where_each_comes_from(capsys: Capture) -> None:
    written({OWN: POLICY}, f'{CLEAN}\n[margins]\nlow = "60 %"\n')
    arguments = ["check", "tea.toml", "--settings", "--fail-on", "never", "--format", "json"]
    assert run(arguments) == 0
    (found,) = json.loads(capsys.readouterr().out)["settings"]
    assert (found["policy"], found["sha256"]) == (OWN, DIGEST)
    origin = {item["name"]: (item["value"], item["from"]) for item in found["settings"]}
    of_a_transfer = {origin.pop(name) for name in list(origin) if name.startswith("transfer.")}
    assert {where for _, where in of_a_transfer} == {"default"}
    assert origin == {
        "fail_on": ("never", "command line"),
        "require.checks": ("unit-confusion", OWN),
        "exclude": ("nothing", "default"),
        "acceptances.allowed": ("true", "default"),
        "acceptances.until_required": ("false", OWN),
        "acceptances.never": (", ".join(AcceptanceRules().never), "default"),
        "margins.high": ("40 %", OWN),
        "margins.low": ("60 %", "profile"),
        "margins.headroom": ("10 %", "default"),
        "margins.high_thin": ("10 %", "default"),
        "margins.high_wide": ("100 %", "default"),
        "margins.low_thin": ("85 %", "default"),
        "margins.low_wide": ("5 %", OWN),
        "severity.high-cutoff-above-rating": ("note", OWN),
        "severity.rating-missing": ("off", OWN),
    }
    assert run(["check", ".", "--settings"]) == 0
    assert "margins.high Value: 40 % Default: 25 % From: limitcheck.toml" in told(capsys)


@pytest.mark.parametrize("ending", ["html", "pdf", "md", "json", "txt"])
@pytest.mark.parametrize("command", ["report", "propose", "transfer"])
def test_no_other_command_leaves_a_stale_record(command: str, ending: str, capsys: Capture) -> None:
    name = f"record.{ending}"
    written({"other.toml": CLEAN.replace("HM-LC-30", "HM-LC-31")})
    paths = ["tea.toml", "other.toml"] if command == "transfer" else ["tea.toml"]
    assert run([command, *paths, "-o", name]) in (0, 1)
    before = Path(name).read_bytes()
    written({OWN: "colour = 1\n"})
    forget_policies()
    capsys.readouterr()
    assert run([command, *paths, "-o", name]) == 2
    assert f"{name}: replaced: it was of an earlier run, and this one failed" in told(capsys)
    assert Path(name).read_bytes() != before
    if ending != "pdf":
        assert "unknown key colour" in Path(name).read_text("utf-8")


def test_a_stopped_run_leaves_no_stale_output(
    capsys: Capture, monkeypatch: pytest.MonkeyPatch
) -> None:
    def stop(*arguments: object, **options: object) -> None:
        raise KeyboardInterrupt

    written({})
    assert run(["check", "tea.toml", "-o", "a.json"]) == 0
    monkeypatch.setattr("limitcheck.checking.run.check_targets", stop)
    assert run(["check", "tea.toml", "-o", "a.json", "-o", "new.json"]) == 130
    assert json.loads(Path("a.json").read_text("utf-8"))["exit_code"] == 130
    assert not Path("new.json").exists()
    assert "stopped" in told(capsys)


def test_a_proposal_shown_as_a_patch_is_written_too(capsys: Capture) -> None:
    written({}, LOW_OFF)
    assert run(["propose", "tea.toml", "--diff", "-o", "a.json"]) in (0, 1)
    assert json.loads(Path("a.json").read_text("utf-8"))["proposals"]
    assert capsys.readouterr().out.startswith("diff --git ")


def test_a_lowered_grade_stays_a_reason_against_a_transfer(capsys: Capture) -> None:
    over = CLEAN.replace("high = 280", "high = 420").replace("HM-LC-30", "HM-LC-31")
    written({"there.toml": over})
    assert run(["transfer", "tea.toml", "there.toml"]) == 1
    assert "high-cutoff-above-rating in the receiving profile" in told(capsys)
    written({OWN: '[severity]\nhigh-cutoff-above-rating = "note"\n', "there.toml": over})
    forget_policies()
    assert run(["transfer", "tea.toml", "there.toml"]) == 1
    assert "high-cutoff-above-rating in the receiving profile" in told(capsys)


@pytest.mark.parametrize("grade", ["note", "off"])
def test_no_policy_makes_a_number_above_a_rating_fit_to_be_typed(
    grade: str, capsys: Capture
) -> None:
    written({OWN: f'[severity]\nhigh-cutoff-above-rating = "{grade}"\n'})
    assert run(["entry", "420", "--profile", "tea.toml"]) == 1
    text = told(capsys)
    assert "may be typed" not in text
    assert "high-cutoff-above-rating is " in text
    assert "SHA-256" in text
    run(["entry", "420", "--profile", "tea.toml", "--format", "json"])
    found = json.loads(capsys.readouterr().out)
    assert found["may_be_typed"] is False
    assert found["policies"][0]["settings"][0]["name"] == "severity.high-cutoff-above-rating"


WAYS = ["a/tea.toml", "./a/tea.toml", "b/../a/tea.toml", "a/../a/tea.toml", "link/tea.toml"]


@pytest.mark.parametrize("path", [*WAYS, "a", "link", "b/../a"])
def test_the_policy_does_not_depend_on_how_the_path_was_typed(path: str, capsys: Capture) -> None:
    written(
        {"a/limitcheck.toml": 'fail_on = "warning"\nexclude = ["old/*"]\n', "b/limitcheck.toml": ""}
    )
    Path("a/old").mkdir()
    Path("a/old/tea.toml").write_text("format = 1\n[", "utf-8")
    Path("a/tea.toml").write_text(LOW_OFF, "utf-8")
    Path("link").symlink_to("a")
    assert run(["check", path]) == 1
    assert "fail_on = warning" in told(capsys)


def test_a_proposal_says_the_policy_it_rests_on(capsys: Capture) -> None:
    written({OWN: POLICY})
    run(["propose", "tea.toml"])
    text = told(capsys)
    assert DIGEST in text
    for sentence in SAID:
        assert sentence in text, sentence


def test_a_table_of_fits_says_the_policies_of_its_methods(capsys: Capture) -> None:
    instrument = CLEAN[CLEAN.index("[instrument]") : CLEAN.index("[cutoffs]")]
    parts = CLEAN[CLEAN.index("[[flow_path]]") :]
    written({OWN: POLICY, "there.toml": instrument + parts})
    run(["fit", "tea.toml", "--on", "there.toml"])
    text = told(capsys)
    assert DIGEST in text
    assert "high-cutoff-above-rating is graded note" in text


def test_a_policy_that_only_leaves_files_out_is_said(capsys: Capture) -> None:
    written({"old/limitcheck.toml": 'exclude = ["*"]\n', "old/tea.toml": OVER_RATING})
    assert run(["check", "."]) == 0
    text = told(capsys)
    assert "old/limitcheck.toml" in text
    assert "exclude = * (default: nothing)" in text


@pytest.mark.parametrize("output", [["-o", "a.json"], ["-oa.json"], ["--output=json=a.json"]])
def test_arguments_that_cannot_be_read_name_stale_outputs(
    output: list[str], capsys: Capture
) -> None:
    written({})
    assert run(["check", "tea.toml", *output]) == 0
    before = Path("a.json").read_bytes()
    assert run(["check", "tea.toml", *output, "--fail-no", "error"]) == 2
    assert "a.json: what stands there is of an earlier run: this one did not begin" in told(capsys)
    assert Path("a.json").read_bytes() == before


def test_a_run_ended_by_a_signal_leaves_no_stale_output(
    capsys: Capture, monkeypatch: pytest.MonkeyPatch
) -> None:
    from limitcheck.__main__ import Told

    def told_to_end(*arguments: object, **options: object) -> None:
        raise Told(143)

    written({})
    assert run(["check", "tea.toml", "-o", "a.json"]) == 0
    monkeypatch.setattr("limitcheck.checking.run.check_targets", told_to_end)
    with pytest.raises(Told):
        run(["check", "tea.toml", "-o", "a.json"])
    assert json.loads(Path("a.json").read_text("utf-8"))["exit_code"] == 143


@pytest.mark.parametrize(
    "option",
    ["--known k.json", "--write-known k.json", "--fix", "--fix-likely", "--diff", "--quiet"],
)
def test_settings_are_not_asked_beside_what_would_not_be_done(option: str, capsys: Capture) -> None:
    Path("tea.toml").write_text(LOW_OFF, "utf-8")
    assert run(["check", "tea.toml", "--settings", *option.split()]) == 2
    told = f"--settings checks nothing, so {option.split(maxsplit=1)[0]} would do nothing"
    assert told in capsys.readouterr().err
