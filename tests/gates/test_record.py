"""The controlled record of a transfer: what `transfer --verify` says, and with which exit code."""

from __future__ import annotations

import hashlib
import json
import re
import shutil
import subprocess
from collections.abc import Callable
from datetime import datetime
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator

from limitcheck import api
from limitcheck.checking.policy_file import forget_policies
from limitcheck.cli.app import run
from limitcheck.schemas import command_schema
from limitcheck.transfer.control import sealed

EXAMPLES = Path(__file__).parents[2] / "examples" / "transfer"
SIDES = ["kestrel-bay.toml", "harrow-mill-07.toml"]


@pytest.fixture
def lab(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The example with its record in three forms."""
    shutil.copytree(EXAMPLES, tmp_path / "lab")
    (tmp_path / "lab" / "limitcheck.toml").touch()
    monkeypatch.chdir(tmp_path / "lab")
    forget_policies()
    written = [f"--output=record.{form}" for form in ("json", "html", "pdf")]
    assert run(["transfer", *SIDES, *written]) == 0
    return tmp_path / "lab"


def change(name: str, old: str, new: str) -> Callable[[], None]:
    def do() -> None:
        text = Path(name).read_text(encoding="utf-8")
        assert old in text
        Path(name).write_text(text.replace(old, new), encoding="utf-8")

    return do


def write(name: str, text: str) -> Callable[[], object]:
    return lambda: Path(name).write_text(text, encoding="utf-8")


def another_build() -> None:
    change("record.json", built(), "0" * 64)()


CASES = {
    "nothing": (lambda: None, 0, "nothing changed since it was made"),
    "a comment": (
        change(SIDES[0], "format = 1", "format = 1 # read"),
        *(1, "kestrel-bay.toml has other bytes; every value compared is the same"),
    ),
    "a value": (
        change(SIDES[0], "percent_b = 18", "percent_b = 60"),
        *(1, "the decision was accept; it is do not accept now"),
    ),
    "a ruling": (
        change(SIDES[0], "percent_b = 18", "percent_b = 60"),
        *(1, "conditions: percent_b: same then, not allowed now"),
    ),
    "a shared file": (
        change("columns/tea.toml", "# The column", "# A column"),
        *(1, "columns/tea.toml has other bytes"),
    ),
    "a file is gone": (Path(SIDES[1]).unlink, 1, "it cannot be made again today"),
    "the policy": (
        write("limitcheck.toml", '[severity]\nlow-cutoff-off = "error"\n'),
        *(1, "policy of the sending side: "),
    ),
    "the record": (
        change("record.json", '"decision": "accept"', '"decision": "do not accept"'),
        *(1, "the record itself was altered"),
    ),
    "the version": (
        change("record.json", '"version": "0.1.0"', '"version": "0.0.9"'),
        *(1, "tool version: 0.0.9 then, 0.1.0 now"),
    ),
    "the build": (another_build, *(1, f"build: {'0' * 64} then")),
    "another revision appears": (
        lambda: Path("old.toml").write_text(
            Path(SIDES[0]).read_text(encoding="utf-8").replace('revision = "A"', 'revision = "0"')
        ),
        *(1, "other revisions.found: new"),
    ),
    "no record": (write("record.json", "{}"), 2, "not a record of limitcheck transfer"),
    "record gone": (Path("record.json").unlink, 2, "cannot be read"),
}


def built() -> str:
    return str(json.loads(Path("record.json").read_bytes())["control"]["build_sha256"])


@pytest.mark.parametrize(("spoil", "code", "sentence"), CASES.values(), ids=CASES)
def test_verify_says_what_changed(
    lab: Path,
    capsys: pytest.CaptureFixture[str],
    spoil: Callable[[], object],
    code: int,
    sentence: str,
) -> None:
    spoil()
    forget_policies()
    capsys.readouterr()
    assert run(["transfer", "--verify", "record.json"]) == code
    shown = capsys.readouterr()
    said = " ".join((shown.out + shown.err).split())
    assert sentence in said
    if code < 2:
        assert run(["transfer", "--verify", "record.json", "--format", "json"]) == code
        data = json.loads(capsys.readouterr().out)
        Draft202012Validator(json.loads(command_schema("verify"))).validate(data)
        assert bool(data["changes"]) == bool(code)


def test_html_and_pdf_carry_the_same_record(lab: Path) -> None:
    record = Path("record.json").read_bytes()
    page = Path("record.html").read_text(encoding="utf-8")
    (inside,) = re.findall(
        r'<script type="application/json" id="record">(.*?)</script>', page, re.S
    )
    assert json.loads(inside) == json.loads(record)
    if shutil.which("pdfdetach") is None:
        pytest.skip("needs pdfdetach of poppler-utils")
    subprocess.run(["pdfdetach", "-save", "1", "-o", "got.json", "record.pdf"], check=True)
    assert Path("got.json").read_bytes() == record
    for form in ("html", "pdf"):
        assert run(["transfer", "--verify", f"record.{form}"]) == 0


def test_the_hash_is_over_the_canonical_text(lab: Path) -> None:
    record = json.loads(Path("record.json").read_bytes())
    own = record["record"]
    content = {**record, "record": {"made": own["made"]}}
    text = json.dumps(content, sort_keys=True, ensure_ascii=False, separators=(",", ":"))
    assert own["sha256"] == hashlib.sha256(text.encode()).hexdigest()
    assert own["id"] == f"{own['made'][:10]}-{own['sha256'][:12]}"


def test_a_qualification_is_named_and_belongs_to_this_build(
    lab: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    mine: dict[str, Any] = {
        "verdict": "pass",
        "installation": {"build_sha256": built(), "verdict": "pass"},
        "groups": [{"results": [{"verdict": "pass"}]}],
    }
    Path("q.json").write_text(json.dumps(mine), encoding="utf-8")
    data = json.loads(json.dumps(api.transfer(*SIDES, qualification="q.json").data))
    assert (
        list(Draft202012Validator(json.loads(command_schema("transfer"))).iter_errors(data)) == []
    )
    found = data["control"]["qualification"]
    assert (found["verdict"], found["of_this_build"]) == ("pass", True)
    assert found["file"]["sha256"] == hashlib.sha256(Path("q.json").read_bytes()).hexdigest()
    mine["installation"] = {"build_sha256": "0" * 64, "verdict": "pass"}
    Path("q.json").write_text(json.dumps(mine), encoding="utf-8")
    found = api.transfer(*SIDES, qualification="q.json").data["control"]["qualification"]
    assert found["of_this_build"] is False
    Path("q.json").write_text("[]", encoding="utf-8")
    assert run(["transfer", *SIDES, "--qualification", "q.json"]) == 2
    assert "not a qualification record" in capsys.readouterr().err


def test_the_functions_for_python_give_the_record_of_the_command(lab: Path) -> None:
    record = json.loads(Path("record.json").read_bytes())
    own = json.loads(json.dumps(api.transfer(*SIDES).data))
    assert {**own, "record": None} == {**record, "record": None}


@pytest.mark.parametrize(
    ("edit", "sentence"),
    [
        (lambda r: r["to_fill_in"].append(r["to_fill_in"][0]), "to fill in: no longer"),
        (lambda r: r["rulings"].reverse(), "rulings: in another order"),
        (lambda r: r["rulings"][0].update(note="seen"), "format: seen then, not in the record"),
        (lambda r: r["tool"].update(name="another"), "tool name: another then"),
        (lambda r: r.update(signed=None), "signed: null then, not in the record now"),
        (lambda r: r.update(day="1999-01-01"), "day: 1999-01-01, but it was made"),
        (lambda r: r["sending"]["margins"].append(r["sending"]["margins"][0]), "margins"),
        (
            lambda r: r["receiving"]["profile"]["uses"].append(
                r["receiving"]["profile"]["uses"][0]
            ),
            "something in it is not what the files of today give",
        ),
    ],
)
def test_whatever_differs_is_a_change(
    edit: Callable[[dict[str, Any]], object],
    sentence: str,
    lab: Path,
    capsys: pytest.CaptureFixture[str],
) -> None:
    """A record given its own right hash again: its hash shows nothing, its content does."""
    record = json.loads(Path("record.json").read_bytes())
    made = datetime.fromisoformat(record.pop("record")["made"])
    edit(record)
    Path("record.json").write_text(json.dumps(sealed(record, made)), "utf-8")
    capsys.readouterr()
    assert run(["transfer", "--verify", "record.json"]) == 1
    assert sentence in " ".join(capsys.readouterr().out.split())


@pytest.mark.parametrize("form", ["html", "pdf"])
@pytest.mark.parametrize("spoil", ["a comment", "a file is gone"])
def test_a_page_that_was_not_compared_is_said(
    spoil: str, form: str, lab: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Where a source changed too, the page cannot be drawn as it was: silence is no verdict."""
    CASES[spoil][0]()
    capsys.readouterr()
    assert run(["transfer", "--verify", f"record.{form}"]) == 1
    assert "what the page shows was not" in " ".join(capsys.readouterr().out.split())


def test_a_record_on_letter_paper_is_verified(
    lab: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(["transfer", *SIDES, "--output=letter.pdf", "--paper=letter"]) == 0
    assert run(["transfer", "--verify", "letter.pdf"]) == 0
    assert "nothing changed" in capsys.readouterr().out
    page = Path("letter.pdf").read_bytes()
    Path("letter.pdf").write_bytes(page.replace(b"%%EOF", b"% EOF"))
    assert run(["transfer", "--verify", "letter.pdf"]) == 1
    assert "the page itself was altered" in " ".join(capsys.readouterr().out.split())


@pytest.mark.parametrize("groups", [[], [{"results": []}]])
def test_a_qualification_without_results_is_none(
    groups: list[object], lab: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    installation = {"build_sha256": built(), "verdict": "pass"}
    data = {"verdict": "pass", "installation": installation, "groups": groups}
    Path("q.json").write_text(json.dumps(data), encoding="utf-8")
    assert run(["transfer", *SIDES, "--qualification", "q.json"]) == 2
    assert "not a qualification record" in capsys.readouterr().err
