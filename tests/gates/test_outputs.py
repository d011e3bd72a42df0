"""What a gate is given: options over the policy, forms, annotations, stable names, patches.

The SARIF of each run is held against the OASIS schema. The two annotation formats are from memory
of the code hosts' documentation, and so are these tests of them.
"""

from __future__ import annotations

import json
import re
import shutil
import subprocess
from collections.abc import Iterator
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import pytest
from jsonschema import Draft4Validator, Draft202012Validator  # type: ignore[import-untyped]

from limitcheck.checking.policy_file import forget_policies
from limitcheck.checks.documentation import SWITCHED
from limitcheck.cli.app import run
from limitcheck.schemas import command_schema
from tests.gates.test_outcomes import CLEAN
from tests.needs import need, need_program
from tests.profiles_for_tests import CERTAIN
from tests.profiles_for_tests import text as small

Capture = pytest.CaptureFixture[str]
OASIS = Path(__file__).parents[3] / "shared/reference/sarif-schema-2.1.0.json"
LOW_OFF = CLEAN.replace("low = 90", "low = 0")
BEYOND = CLEAN.replace("high = 280", "high = 800")
"""Errors: beyond the entry field and above every rating; the low cutoff holds."""
UNREADABLE = CLEAN.replace("high = 280", "hihg = 280")
ACCEPTED = f"""{LOW_OFF}
[[accepted]]
check = "low-cutoff-off"
at = "cutoffs.low"
value = "off"
reason = "leak sensor"
by = "owner"
until = 2126-06-30
"""
FORMATS = ("text", "json", "sarif", "junit", "remarks-text", "remarks-json")


@pytest.fixture(autouse=True)
def own_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    folder = tmp_path / "repository"
    (folder / ".git").mkdir(parents=True)
    monkeypatch.chdir(folder)
    forget_policies()
    yield
    forget_policies()


@pytest.fixture(scope="module")
def oasis() -> Any:
    """The schema of the standard: OASIS SARIF 2.1.0 (oasis-tcs/sarif-spec)."""
    need(OASIS.exists(), f"{OASIS} is absent")
    return Draft4Validator(json.loads(OASIS.read_text("utf-8")))


def written(profile: str, name: str = "tea.toml") -> None:
    path = Path(name)
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(profile, "utf-8")


def told(capsys: Capture) -> str:
    captured = capsys.readouterr()
    return " ".join((captured.out + captured.err).split())


OPTIONS = [
    # profile, options, exit code, a sentence of the text
    (BEYOND, [], 1, "error: entry-beyond-field"),
    (BEYOND, ["--without", "entry-beyond-field"], 1, "entry-beyond-field is turned off"),
    (
        BEYOND,
        ["--only", "entry-beyond-field"],
        1,
        "every check but entry-beyond-field is turned off",
    ),
    (BEYOND, ["--only", "low-cutoff-off"], 0, f"{len(SWITCHED) - 1} checks turned off"),
    (BEYOND, ["--only", "low-cutoff-off", "--only", "entry-beyond-field"], 1, "entry-beyond-field"),
    (BEYOND, ["--fail-on", "never"], 0, "no finding fails (--fail-on never)"),
    (BEYOND, ["--fail-on", "never"], 0, "fail_on = never, whatever a policy says"),
    (BEYOND, ["--fail-on", "Never"], 2, "write error, warning, note or never"),
    (
        BEYOND,
        ["--without", "high-cutoff-above-ratings"],
        2,
        "did you mean high-cutoff-above-rating?",
    ),
    (BEYOND, ["--only", "entry"], 2, '--only entry: there is no check "entry"'),
    (BEYOND, ["--without", "unreadable-profile"], 2, "it always fails"),
    (BEYOND, ["--without", "crashed-check"], 2, "it always fails"),
    (BEYOND, ["--only", "not-decided"], 2, "not-decided is about other checks"),
    (BEYOND, ["--only", "fault-unseen", "--without", "fault-unseen"], 2, "leave one out"),
    (BEYOND, ["--require", "fault-unseen", "--without", "fault-unseen"], 2, "leave one out"),
    (LOW_OFF, [], 0, "warning: low-cutoff-off"),
    (LOW_OFF, ["--fail-on", "warning"], 1, "fail_on = warning, whatever a policy says"),
    (LOW_OFF, ["--without", "low-cutoff-off", "--fail-on", "note"], 0, "1 check turned off"),
    (UNREADABLE, ["--fail-on", "never"], 2, "unknown key hihg"),
    (UNREADABLE, ["--only", "low-cutoff-off"], 2, "unknown key hihg"),
    (CLEAN, ["--only", "low-cutoff-off"], 0, "1 check holds"),
    (CLEAN, ["--without", "high-cutoff-above-rating"], 0, "turned off by --without"),
    (BEYOND, ["--quiet", "--format", "json"], 2, "--quiet is a form of text, not of json"),
    (BEYOND, ["--summary", "--format", "sarif"], 2, "--summary is a form of text"),
]


@pytest.mark.parametrize(("profile", "options", "exit_code", "sentence"), OPTIONS)
def test_options(
    profile: str, options: list[str], exit_code: int, sentence: str, capsys: Capture
) -> None:
    written(profile)
    assert run(["check", "tea.toml", *options]) == exit_code
    assert sentence in told(capsys)


@pytest.mark.parametrize("format", FORMATS)
def test_every_format_says_what_options_turn_off(format: str, capsys: Capture) -> None:
    written(CLEAN)
    options = ["--without", "rating-missing", "--fail-on", "never", "--format", format]
    assert run(["check", "tea.toml", *options]) == 0
    text = told(capsys)
    assert "rating-missing is turned off" in text
    assert "fail_on = never, whatever a policy says" in text
    run(["check", "tea.toml", "--only", "rating-missing", "--format", format])
    assert "every check but rating-missing is turned off" in told(capsys)


FORMS = [
    (CLEAN, "--quiet", 0, ["1 profile: 0 errors, 0 warnings, 0 notes"]),
    (LOW_OFF, "--quiet", 0, ["1 profile: 0 errors, 1 warning, 0 notes"]),
    (ACCEPTED, "--quiet", 0, ["1 profile: 0 errors, 0 warnings, 0 notes, 1 accepted"]),
    (BEYOND, "--quiet", 1, ["error: entry-beyond-field", "1 profile: 2 errors"]),
    (UNREADABLE, "--quiet", 2, ["unknown key hihg", "1 profile, 1 unreadable"]),
    (CLEAN, "--summary", 0, ["tea.toml: no findings", "1 profile: 0 errors"]),
    (ACCEPTED, "--summary", 0, ["tea.toml: 1 accepted", "1 low-cutoff-off (accepted)"]),
    (BEYOND, "--summary", 1, ["tea.toml: 2 errors", "1 entry-beyond-field (error)", "2 errors"]),
    (UNREADABLE, "--summary", 2, ["tea.toml: cannot be read, nothing was checked", "1 unreadable"]),
]


@pytest.mark.parametrize(("profile", "form", "exit_code", "sentences"), FORMS)
def test_forms_of_the_text(
    profile: str, form: str, exit_code: int, sentences: list[str], capsys: Capture
) -> None:
    written(profile)
    assert run(["check", "tea.toml", form]) == exit_code
    out = capsys.readouterr().out
    assert all(len(line) <= 80 for line in out.splitlines())
    for sentence in sentences:
        assert sentence in " ".join(out.split())
    assert out.splitlines()[-1].startswith("1 profile")
    if form == "--quiet" and exit_code == 0:
        assert len(out.splitlines()) == 1


WAYS = [
    # the folder the command runs in, and how it names the file
    (".", "a/tea.toml"),
    (".", "./a/tea.toml"),
    (".", "a/../a//tea.toml"),
    ("a", "tea.toml"),
    ("a", "../a/tea.toml"),
    ("a", "."),
    (".", "."),
    ("..", "repository/a"),
    ("..", "repository"),
    ("..", "link/tea.toml"),
    (".", "ABSOLUTE"),
]


@pytest.mark.parametrize(("folder", "path"), WAYS)
def test_names_do_not_depend_on_how_the_path_was_typed(
    folder: str, path: str, capsys: Capture, monkeypatch: pytest.MonkeyPatch
) -> None:
    written(BEYOND, "a/tea.toml")
    Path("../link").symlink_to("repository/a")
    named = str(Path("a/tea.toml").absolute()) if path == "ABSOLUTE" else path
    monkeypatch.chdir(folder)
    assert run(["check", named, "--format", "junit"]) == 1
    suite = ElementTree.fromstring(capsys.readouterr().out).find("testsuite")
    assert suite is not None
    assert suite.get("name") == "a/tea.toml"
    assert {case.get("classname") for case in suite.iter("testcase")} == {"a/tea.toml"}
    cases = sorted(str(case.get("name")) for case in suite.iter("testcase"))
    assert "entry-beyond-field: cutoffs.high" in cases
    run(["check", named, "--format", "sarif"])
    (log,) = json.loads(capsys.readouterr().out)["runs"]
    places = {json.dumps(place) for place in files_in(log)}
    assert places == {'{"uri": "a/tea.toml", "uriBaseId": "REPOSITORY"}'}
    run(["check", named, "--format", "remarks-json"])
    entries = json.loads(capsys.readouterr().out)
    assert {entry["location"]["path"] for entry in entries} == {"a/tea.toml"}
    run(["check", named, "--format", "remarks-text"])
    assert "::error file=a/tea.toml,line=18,col=8," in capsys.readouterr().out


def files_in(data: Any) -> Iterator[Any]:
    if isinstance(data, dict):
        if "uri" in data:
            yield data
        for value in data.values():
            yield from files_in(value)
    elif isinstance(data, list):
        for item in data:
            yield from files_in(item)


def test_without_a_repository_names_are_from_the_policy_or_the_current_folder(
    tmp_path: Path, capsys: Capture, monkeypatch: pytest.MonkeyPatch
) -> None:
    shutil.rmtree(".git")
    if any((folder / ".git").exists() for folder in Path.cwd().parents):
        pytest.skip("the temporary folder lies in a repository")
    written(BEYOND, "b/c/tea.toml")

    def name(path: str) -> str | None:
        run(["check", path, "--format", "junit"])
        (suite,) = ElementTree.fromstring(capsys.readouterr().out)
        return suite.get("name")

    assert name("b/c/tea.toml") == "b/c/tea.toml"
    Path("b/limitcheck.toml").write_text("")
    forget_policies()
    monkeypatch.chdir("b/c")
    from limitcheck.checking import root
    from limitcheck.profile import shared

    for remembered in (root._root, root._below_root, shared.marked_root):
        remembered.cache_clear()
    assert name("tea.toml") == "c/tea.toml"


@pytest.mark.parametrize(
    ("profile", "exit_code", "sentence"),
    [
        (CLEAN, 0, ""),
        (BEYOND, 1, ""),
        (ACCEPTED, 0, ""),
        (UNREADABLE, 2, "1 profile not read, so nothing in it was checked"),
        (None, 2, "unknown key colour"),
    ],
)
def test_sarif_is_valid_and_says_whether_the_run_was_done(
    profile: str | None, exit_code: int, sentence: str, oasis: Any, capsys: Capture
) -> None:
    written(profile or CLEAN)
    Path("limitcheck.toml").write_text(
        "colour = 1\n" if profile is None else '[severity]\nrating-missing = "note"\n'
    )
    assert run(["check", "tea.toml", "--format", "sarif"]) == exit_code
    log = json.loads(capsys.readouterr().out)
    assert [error.message for error in oasis.iter_errors(log)] == []
    (invocation,) = log["runs"][0]["invocations"]
    assert invocation["executionSuccessful"] == (exit_code < 2)
    assert invocation["exitCode"] == exit_code
    texts = [n["message"]["text"] for n in invocation["toolExecutionNotifications"]]
    assert bool(texts) == (exit_code == 2)
    assert sentence in " ".join(texts)


def test_a_fault_of_ours_is_no_success_in_any_output(
    oasis: Any, capsys: Capture, monkeypatch: pytest.MonkeyPatch
) -> None:
    written(CLEAN)
    monkeypatch.setattr("limitcheck.checking.selection.select", lambda *a, **k: 1 / 0)
    outputs = ["-o", "a.json", "-o", "a.sarif", "-o", "a.xml"]
    assert run(["check", "tea.toml", *outputs]) == 3
    log = json.loads(Path("a.sarif").read_text("utf-8"))
    assert [error.message for error in oasis.iter_errors(log)] == []
    (invocation,) = log["runs"][0]["invocations"]
    assert (invocation["executionSuccessful"], invocation["exitCode"]) == (False, 3)
    assert "ZeroDivisionError" in invocation["toolExecutionNotifications"][0]["message"]["text"]
    assert json.loads(Path("a.json").read_text("utf-8"))["exit_code"] == 3
    assert "ZeroDivisionError" in Path("a.xml").read_text("utf-8")


@pytest.mark.parametrize("profile", [CLEAN, BEYOND, ACCEPTED, UNREADABLE, None])
def test_json_keeps_to_its_schema(profile: str | None, capsys: Capture) -> None:
    written(profile or CLEAN)
    Path("limitcheck.toml").write_text("colour = 1\n" if profile is None else 'fail_on = "note"\n')
    code = run(["check", "tea.toml", "--format", "json", "--without", "fault-unseen"])
    found = json.loads(capsys.readouterr().out)
    Draft202012Validator(json.loads(command_schema("check"))).validate(found)
    assert found["exit_code"] == code
    assert (found["failure"] is not None) == (profile is None)


def test_settings_keep_to_their_schema(capsys: Capture) -> None:
    written(CLEAN)
    assert run(["check", "tea.toml", ".", "--settings", "--format", "json"]) == 0
    found = json.loads(capsys.readouterr().out)
    Draft202012Validator(json.loads(command_schema("settings"))).validate(found)
    assert [item["path"] for item in found["settings"]] == ["tea.toml", "."]


COMMAND = re.compile(r"::(error|warning|notice) ((?:[a-zA-Z]+=[^,:]*,?)+)::(.*)")


def test_remark_lines_are_one_line_a_finding(capsys: Capture) -> None:
    """Escapes of the form, from memory: %25 %0D %0A, and in properties %3A %2C."""
    name = "a,b: 100%\n::error::x.toml"
    written(BEYOND, name)
    assert run(["check", name, "--format", "remarks-text"]) == 1
    *commands, last = capsys.readouterr().out.splitlines()
    assert len(commands) >= 2
    assert last.startswith("1 profile: 2 errors")
    for line in commands:
        found = COMMAND.fullmatch(line)
        assert found is not None, line
        given = dict(pair.split("=") for pair in found[2].split(","))
        assert given["file"] == "a%2Cb%3A 100%25%0A%3A%3Aerror%3A%3Ax.toml"
        assert int(given["line"]) > 0
        assert given["title"].startswith("limitcheck%3A ")
        assert "%0ADo: " in found[3]


def test_annotations_leave_out_what_somebody_answers_for(capsys: Capture) -> None:
    written(ACCEPTED)
    assert run(["check", "tea.toml", "--format", "remarks-text"]) == 0
    assert capsys.readouterr().out == "1 profile: 0 errors, 0 warnings, 0 notes, 1 accepted\n"
    assert run(["check", "tea.toml", "--format", "remarks-json"]) == 0
    assert json.loads(capsys.readouterr().out) == []


def test_remark_list_has_what_a_review_needs(capsys: Capture) -> None:
    """Keys and grades of the form, from memory."""
    written(BEYOND)
    written(LOW_OFF.replace("TEA", "MILL"), "b.toml")
    assert run(["check", ".", "--format", "remarks-json"]) == 1
    entries = json.loads(capsys.readouterr().out)
    for entry in entries:
        assert set(entry) == {"description", "check_name", "fingerprint", "severity", "location"}
        assert set(entry["location"]) == {"path", "lines"}
        assert entry["location"]["lines"]["begin"] > 0
    assert {(entry["check_name"], entry["severity"]) for entry in entries} >= {
        ("entry-beyond-field", "critical"),
        ("low-cutoff-off", "major"),
    }
    assert len({entry["fingerprint"] for entry in entries}) == len(entries)


TEXT = small(**CERTAIN)
PATCHED: dict[str, tuple[str, bytes]] = {
    "plain": ("tea.toml", TEXT.encode()),
    "below": ("a/b/tea.toml", TEXT.encode()),
    "CRLF": ("tea.toml", TEXT.replace("\n", "\r\n").encode()),
    "mixed line ends": ("tea.toml", TEXT.replace("\n", "\r\n", 7).encode()),
    "no newline at the end": ("tea.toml", TEXT.rstrip("\n").encode()),
    "CRLF, none at the end": ("tea.toml", TEXT.rstrip("\n").replace("\n", "\r\n").encode()),
    "a byte-order mark": ("tea.toml", b"\xef\xbb\xbf" + TEXT.encode()),
    "spaces": ("a b/te a.toml", TEXT.encode()),
    "a space at the end of a folder": ("a /tea.toml", TEXT.encode()),
    "not ASCII": ("Küste/thé.toml", TEXT.encode()),
    "quotes and backslashes": ('a"b\\c/tea.toml', TEXT.encode()),
    "a tab and a line feed": ("a\tb\nc.toml", TEXT.encode()),
    "a leading hyphen": ("./-tea.toml", TEXT.encode()),
    "like a header": ("a/b/+++ b.toml", TEXT.encode()),
    "separators in a comment": (
        "tea.toml",
        f"# a\x85b\u2028c\x0bd\n{TEXT}".replace("\x0b", "").encode(),
    ),
    "the last line": ("tea.toml", TEXT.replace("[expected]", "[expected] # band").encode()),
}


@pytest.mark.parametrize("case", PATCHED)
@pytest.mark.parametrize("here", [".", "sub"])
def test_git_applies_the_diff(
    case: str, here: str, capfdbinary: pytest.CaptureFixture[bytes], monkeypatch: pytest.MonkeyPatch
) -> None:
    """The patch gives, byte for byte, what --fix writes."""
    need_program("git")
    name, content = PATCHED[case]
    root = Path.cwd()
    path = root / name
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(content)
    (root / "sub").mkdir()
    shutil.rmtree(".git")
    subprocess.run(["git", "init", "-q"], cwd=root, check=True)
    monkeypatch.chdir(root / here)
    capfdbinary.readouterr()
    assert run(["check", "--diff", str(path)]) == 1
    patch = capfdbinary.readouterr().out
    assert patch.startswith(b"diff --git ")
    assert path.read_bytes() == content
    strict = ["git", "-c", "core.autocrlf=false", "apply", "--whitespace=nowarn"]
    done = subprocess.run(strict, cwd=root, input=patch, capture_output=True, check=False)
    assert done.returncode == 0, done.stderr
    patched = path.read_bytes()
    assert patched != content
    path.write_bytes(content)
    run(["check", "--fix", str(path)])
    assert patched == path.read_bytes()


def test_the_diff_of_several_files_is_one_patch_and_the_report_is_beside_it(
    capfdbinary: pytest.CaptureFixture[bytes],
) -> None:
    need_program("git")
    for number, name in enumerate(("a/x.toml", "b/y.toml", "z.toml")):
        written(small(**CERTAIN, method=f'"KB-TEA-{number}"'), name)
    shutil.rmtree(".git")
    subprocess.run(["git", "init", "-q"], check=True)
    capfdbinary.readouterr()
    assert run(["check", ".", "--diff"]) == 1
    captured = capfdbinary.readouterr()
    assert b"3 profiles: " in captured.err
    assert b"profiles: " not in captured.out
    subprocess.run(["git", "apply"], input=captured.out, check=True)
    assert run(["check", ".", "--quiet", "--only", "unit-confusion"]) == 0


def test_a_diff_on_a_terminal_cannot_steer_it(
    capsys: Capture, monkeypatch: pytest.MonkeyPatch
) -> None:
    written(TEXT.replace("[expected]", "[expected] # \x9b2J\u202e"))
    monkeypatch.setattr("sys.stdout.isatty", lambda: True, raising=False)
    assert run(["check", "tea.toml", "--diff"]) == 1
    out = capsys.readouterr().out
    assert "\\x9b2J\\u202e" in out
    assert "\x9b" not in out


def test_a_check_that_crashed_is_no_success(
    oasis: Any, capsys: Capture, monkeypatch: pytest.MonkeyPatch
) -> None:
    def breaks_down(subject: object) -> Iterator[Any]:
        raise ZeroDivisionError("by nought")

    from limitcheck.checking.file import check_file

    monkeypatch.setattr(check_file, "__defaults__", ((breaks_down,),))
    written(CLEAN)
    assert run(["check", "tea.toml", "--format", "sarif", "--fail-on", "never"]) == 3
    log = json.loads(capsys.readouterr().out)
    assert [error.message for error in oasis.iter_errors(log)] == []
    (invocation,) = log["runs"][0]["invocations"]
    assert (invocation["executionSuccessful"], invocation["exitCode"]) == (False, 3)
    (notification,) = invocation["toolExecutionNotifications"]
    assert "1 check not finished" in notification["message"]["text"]
    for form in ("--quiet", "--summary"):
        assert run(["check", "tea.toml", form, "--fail-on", "never"]) == 3
        assert "crashed-check" in told(capsys)


@pytest.mark.parametrize("format", [*FORMATS])
@pytest.mark.parametrize("case", ["nothing found", "nothing but others"])
def test_every_format_says_that_nothing_was_found(
    case: str, format: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: Capture
) -> None:
    """What is written says what the exit code says: nothing was checked, and what was skipped."""
    monkeypatch.chdir(tmp_path)
    Path("lab").mkdir()
    if case == "nothing but others":
        Path("lab/other.toml").write_text("x = 1\n")
    assert run(["check", "lab", "--format", format, "-o", f"{format}=out"]) == 2
    printed, written = capsys.readouterr(), Path("out").read_text("utf-8")
    assert "no profile was found: nothing was checked" in " ".join(printed.err.split())
    assert "no profile was found: nothing was checked" in " ".join(written.split())
    skipped = '"not-a-profile"' if format == "json" else "1 TOML file skipped"
    assert (skipped in written) is (case == "nothing but others")
    if format != "text":
        assert printed.out == written
    if format == "sarif":
        (invocation,) = json.loads(written)["runs"][0]["invocations"]
        assert (invocation["exitCode"], invocation["executionSuccessful"]) == (2, False)
    elif format == "json":
        assert json.loads(written)["exit_code"] == 2
    elif format == "junit":
        assert 'errors="1"' in written


def entries_of(capsys: Capture, *paths: str) -> list[tuple[str, str]]:
    """Name and fingerprint of each entry about a profile."""
    capsys.readouterr()
    run(["check", "--format", "remarks-json", *paths])
    entries = json.loads(capsys.readouterr().out)
    return [(entry["check_name"], entry["fingerprint"]) for entry in entries]


def test_an_entry_of_a_finding_that_got_worse_is_a_new_one(capsys: Capture) -> None:
    Path("tea.toml").write_text(CLEAN.replace("high = 280", "high = 450"))
    before = dict(entries_of(capsys, "tea.toml"))
    Path("tea.toml").write_text(CLEAN.replace("high = 280", "high = 495"))
    after = dict(entries_of(capsys, "tea.toml"))
    assert before["high-cutoff-above-rating"] != after["high-cutoff-above-rating"]


def test_entries_of_two_files_have_two_fingerprints(capsys: Capture) -> None:
    for name in ("a.toml", "b.toml"):
        Path(name).write_text(BEYOND)
    found = entries_of(capsys, ".")
    assert len(found) == len(set(found)) > 2


def test_entries_of_two_parts_of_one_name_have_two_fingerprints(capsys: Capture) -> None:
    tubing = '[[flow_path]]\npart = "tubing"\nlength = "600 mm"\nbore = "170 mm"\n'
    injector = '[[flow_path]]\npart = "injector"'
    assert injector in CLEAN
    Path("tea.toml").write_text(CLEAN.replace(injector, f"{tubing}{tubing}{injector}"))
    found = [item for item in entries_of(capsys, "tea.toml") if item[0] == "geometry-implausible"]
    assert len(found) == len(set(found)) == 2


@pytest.mark.parametrize("how", ["accepted", "known"])
def test_what_is_left_open_is_said_in_annotations_and_cases(how: str, capsys: Capture) -> None:
    """Whoever answers for it: no output is silent about what nobody looked at."""
    expected = CLEAN.partition("[expected]")
    content = expected[0] + expected[2].partition("\n\n")[2]
    content = content.replace("high = 280", "high = 240")  # 113 to 243 bar are predicted
    Path("tea.toml").write_text(content.replace("entry_max = 600\n", ""))
    known: list[str] = []
    if how == "known":
        known = ["--known", "known.json"]
        assert run(["check", "tea.toml", "--write-known", "known.json"]) == 0
    else:
        signed = ["--reason", "new method", "--by", "owner", "--until", "2126-06-30"]
        assert run(["accept", "tea.toml", "not-decided", *signed]) == 0
    files = {"remarks-json": "a.json", "remarks-text": "a.log", "junit": "a.xml"}
    outputs = [f"--output={format}={name}" for format, name in files.items()]
    assert run(["check", "tea.toml", *known, *outputs]) == 0
    entries = json.loads(Path("a.json").read_text())
    (entry,) = [entry for entry in entries if entry["check_name"] == "not-decided"]
    assert entry["severity"] == "info"
    assert "leaves open: high-cutoff-below-expected" in entry["description"]
    assert re.search(
        r"^::notice .*title=limitcheck%3A not-decided::", Path("a.log").read_text(), re.M
    )
    suite = ElementTree.parse("a.xml").getroot()[0]
    skipped = {
        c.attrib["name"]: c[0].attrib["message"] for c in suite if c.find("skipped") is not None
    }
    assert "no entry_max" in skipped["not decided: entry-beyond-field"]
    assert "not-decided: cutoffs.high" in skipped
    assert int(suite.attrib["skipped"]) == len(skipped)
    assert int(suite.attrib["tests"]) == len(suite)
