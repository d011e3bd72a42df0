"""Qualification: passes as packed, fails when a factor or a data file is altered."""

from __future__ import annotations

import hashlib
import json
import os
import shutil
import subprocess
import sys
from base64 import urlsafe_b64encode
from datetime import UTC, datetime
from decimal import Decimal
from fractions import Fraction
from importlib.metadata import Distribution, PackageNotFoundError
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator  # type: ignore[import-untyped]

import limitcheck
from limitcheck.cli.app import run
from limitcheck.documents.qualification import qualification_data, qualification_document
from limitcheck.profile.toml import parse
from limitcheck.qualify import installation, known_answers, profiles, record
from limitcheck.qualify.installation import CheckedFile, Installation, check_installation
from limitcheck.qualify.known_answers import allowed
from limitcheck.qualify.record import qualify
from limitcheck.qualify.results import Group, Result, Verdict
from limitcheck.render import text
from limitcheck.render.run_json import render
from limitcheck.schemas import command_schema
from limitcheck.units import QUANTITIES
from tests.reference.rows import rows

PACKAGE = Path(limitcheck.__file__).parent
MADE = datetime(2026, 3, 4, 5, 6, 7, tzinfo=UTC)


def seal(site: Path) -> None:
    """Write RECORD as an installer does.

    Source: PEP 427, binary distribution format: path, sha256 in urlsafe base64 without padding,
    size; RECORD itself without.
    """
    info = site / "limitcheck-0.1.0.dist-info"
    info.mkdir(exist_ok=True)
    (info / "METADATA").write_text(
        "Metadata-Version: 2.4\nName: limitcheck\nVersion: 0.1.0\nRequires-Dist: pint>=0.25\n"
        "Requires-Dist: not-there\nRequires-Dist: pytest; extra == 'test'\n"
    )
    lines = ["limitcheck-0.1.0.dist-info/RECORD,,", "limitcheck/__pycache__/run.cpython-311.pyc,,"]
    for file in sorted(p for p in site.rglob("*") if p.is_file() and p.name != "RECORD"):
        digest = urlsafe_b64encode(hashlib.sha256(file.read_bytes()).digest()).rstrip(b"=")
        name = file.relative_to(site).as_posix()
        lines.append(f"{name},sha256={digest.decode()},{file.stat().st_size}")
    (info / "RECORD").write_text("\n".join(lines) + "\n")


@pytest.fixture
def site(tmp_path: Path) -> Path:
    """A folder with the package as if installed from a wheel."""
    target = tmp_path / "site"
    shutil.copytree(PACKAGE, target / "limitcheck", ignore=shutil.ignore_patterns("__pycache__"))
    seal(target)
    return target


def python(site: Path, *arguments: str) -> subprocess.CompletedProcess[str]:
    environment = {**os.environ, "PYTHONPATH": str(site), "PYTHONDONTWRITEBYTECODE": "1"}
    return subprocess.run(
        [sys.executable, *arguments],
        cwd=site.parent,
        env=environment,
        text=True,
        capture_output=True,
        check=False,
    )


def record_of(site: Path, code: int) -> dict[str, Any]:
    done = python(site, "-m", "limitcheck", "qualify", "-o", "record.json")
    assert (done.returncode, done.stderr) == (code, "")
    written: dict[str, Any] = json.loads((site.parent / "record.json").read_text())
    return written


def wrong_files(written: dict[str, Any]) -> dict[str, str]:
    files = written["installation"]["files"]
    return {f["path"]: f["state"] for f in files if f["verdict"] != "pass"}


def failed_groups(written: dict[str, Any]) -> set[str]:
    return {group["title"] for group in written["groups"] if group["verdict"] == "fail"}


def alter(file: Path, old: str, new: str) -> None:
    text = file.read_text("utf-8")
    assert text.count(old) == 1
    file.write_text(text.replace(old, new), "utf-8")


def test_as_packed(site: Path) -> None:
    written = record_of(site, 0)
    assert written["verdict"] == "pass"
    seen = written["installation"]
    assert seen["location"] == str(site / "limitcheck")
    packed = [p for p in site.rglob("*") if p.is_file() and p.name != "RECORD"]
    assert len(seen["files"]) == len(packed)
    sealed = (site / "limitcheck-0.1.0.dist-info" / "RECORD").read_bytes()
    assert seen["record_sha256"] == hashlib.sha256(sealed).hexdigest()
    assert list(seen["packages"]) == ["pint"]


def test_an_altered_factor_fails_even_where_record_agrees(site: Path) -> None:
    """A factor wrong in the seventh digit, packed as such."""
    alter(site / "limitcheck" / "units" / "tables.py", '"0.45359237"', '"0.4535924"')
    seal(site)
    written = record_of(site, 1)
    assert wrong_files(written) == {}
    assert {"Units of pressure", "Every unit against pint", "Conversions"} <= failed_groups(written)


def test_altered_physics_data_fail_even_where_record_agrees(site: Path) -> None:
    constants = site / "limitcheck" / "physics" / "constants.py"
    alter(constants, "3.1985", "3.2985")
    alter(constants, "900.92", "901.92")
    seal(site)
    written = record_of(site, 1)
    assert {"Methanol and water", "Tetrahydrofuran"} <= failed_groups(written)


def test_altered_data_and_broken_data_fail(site: Path) -> None:
    data = site / "limitcheck" / "qualify" / "data"
    alter(data / "known_answers.toml", '"0.889735100"', '"0.889735101"')
    (data / "profiles.toml").write_text("profiles = 3")
    written = record_of(site, 1)
    assert wrong_files(written) == {
        "limitcheck/qualify/data/known_answers.toml": "altered",
        "limitcheck/qualify/data/profiles.toml": "altered",
    }
    assert "Crashed: faulty profiles" in failed_groups(written)


def look(monkeypatch: pytest.MonkeyPatch, site: Path, package: Path | None = None) -> Installation:
    """The installation as a tool running from `package` and installed in `site` sees it."""
    info = Distribution.at(site / "limitcheck-0.1.0.dist-info")
    monkeypatch.setattr(installation, "distribution", lambda name: info)
    monkeypatch.setattr(installation, "_PACKAGE", package or site / "limitcheck")
    return check_installation()


def test_files_missing_and_added(site: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (site / "limitcheck" / "checking" / "corrections.py").unlink()
    (site / "limitcheck" / "extra.py").write_text("x = 1\n")
    cache = site / "limitcheck" / "__pycache__"
    cache.mkdir()
    (cache / "units.cpython-311.pyc").write_bytes(b"compiled")
    found = look(monkeypatch, site)
    assert found.verdict is Verdict.FAIL
    assert {file.path: file.state for file in found.files if file.state != "as packed"} == {
        "limitcheck/extra.py": "not part of the wheel",
        "limitcheck/checking/corrections.py": "missing",
    }


@pytest.mark.parametrize(
    ("file", "content", "reason"),
    [
        ("direct_url.json", '{"url": "file:///x", "dir_info": {"editable": true}}', "editable"),
        ("RECORD", "", "no RECORD"),
    ],
)
def test_what_cannot_be_verified_is_no_pass(
    site: Path, monkeypatch: pytest.MonkeyPatch, file: str, content: str, reason: str
) -> None:
    (site / "limitcheck-0.1.0.dist-info" / file).write_text(content)
    found = look(monkeypatch, site)
    assert found.verdict is Verdict.NOT_RUN
    assert reason in str(found.not_verifiable)
    assert found.record_sha256 is None


def test_another_copy_than_the_installed_one_is_told(
    site: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    found = look(monkeypatch, site, PACKAGE)
    assert found.not_verifiable == f"running from {PACKAGE}, which is not the installed copy"


def test_a_folder_that_was_never_installed_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    def distribution(name: str) -> Distribution:
        raise PackageNotFoundError(name)

    monkeypatch.setattr(installation, "distribution", distribution)
    assert check_installation().not_verifiable == "not installed: running from a folder"


def told(made: record.Record) -> str:
    return text.render(qualification_document(made))


def test_this_checkout_has_every_known_answer() -> None:
    made = qualify(render, MADE)
    failed = [
        result
        for group in made.groups
        for result in group.results
        if result.verdict is not Verdict.PASS
    ]
    assert failed == []
    data = json.loads(json.dumps(qualification_data(made)))
    assert data["made"] == "2026-03-04T05:06:07+00:00"
    Draft202012Validator(json.loads(command_schema("qualify"))).validate(data)
    assert max(map(len, told(made).splitlines())) <= 80
    assert check_installation().verdict is made.installation.verdict


def test_every_unit_has_a_published_value() -> None:
    text = (PACKAGE / "qualify" / "data" / "known_answers.toml").read_text("utf-8")
    asked = {
        (row[2], row[1])
        for table in parse(text)["answers"]
        if table["computation"] == "SI value" and table["tolerance"] == "exact"
        for row in table["rows"]
    }
    assert asked == {(kind.KIND, unit) for kind in QUANTITIES for unit in kind.UNITS}


def test_packaged_values_are_those_of_the_reference_tables() -> None:
    """Rows that stand in tests/reference too, where their sources are."""
    text = (PACKAGE / "qualify" / "data" / "known_answers.toml").read_text("utf-8")
    tables = {table["title"]: table["rows"] for table in parse(text)["answers"]}
    factors = {
        (r["n"], r["coverage"], r["confidence"]): r["k2_exact"] for r in rows("tolerance_factors")
    }
    for n, coverage, confidence, published in tables["Tolerance factors"]:
        assert factors[str(n), str(coverage), str(confidence)] == published
    measured = {
        (
            r["solvent"],
            Decimal(r["volume_fraction_before_mixing"]) * 100,
            Decimal(r["temperature_C"]),
        ): r["viscosity_mPas"]
        for r in rows("mixture_viscosity")
    }
    for title, table in tables.items():
        if title.endswith("and water"):
            for organic, percent, celsius, published in table:
                assert measured[f"{organic}+water", percent, celsius] == published


def test_tolerances() -> None:
    assert allowed("2.217", "digits") == Fraction(1, 2000)
    assert allowed("-200", "0.5 %") == 1
    assert allowed("0.25", "exact") == 0


def test_without_jsonschema_the_record_is_incomplete(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "jsonschema", None)
    made = qualify(render, MADE)
    assert made.verdict is Verdict.NOT_RUN
    assert "pip install 'limitcheck[qualify]'" in " ".join(told(made).split())


def test_output_that_breaks_its_schema_fails() -> None:
    group = next(iter(profiles.schemas(lambda run: '{"format": 1}')))
    assert group.verdict is Verdict.FAIL
    assert "'tool' is a required property" in group.results[1].computed


def test_a_crash_is_on_record(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(known_answers.COMPUTATIONS, "tube", lambda *inputs: 1 / 0)
    made = record.qualify(render, MADE)
    titles = [group.title for group in made.groups]
    assert "Crashed: known answers" in titles
    assert "Findings of faulty profiles" in titles
    assert made.verdict is Verdict.FAIL
    assert "ZeroDivisionError" in told(made)


def test_the_record_to_sign(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    page = tmp_path / "record.html"
    assert run(["qualify", "-o", str(page)]) == 0
    assert capsys.readouterr().out.startswith("Qualification of limitcheck 0.1.0: incomplete")
    text = page.read_text("utf-8")
    for told in ("8896443230521/1290320000 Pa", "NIST SP 811 (2008)", "editable", "Signature"):
        assert told in text


def test_a_record_that_cannot_be_written(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(["qualify", "-o", str(tmp_path / "missing" / "record.json")]) == 2
    assert "Do: check the folder and the permissions" in capsys.readouterr().err


def test_the_document_shows_every_file_and_every_run() -> None:
    files = (CheckedFile("a.py", "x", "x"), CheckedFile("b.py", "x", None))
    group = Group("Some", "a source", "exact", (Result.of("s", "1", "2", passed=False),))
    described = Installation("1", "here", "P", "L", {"pint": "0"}, "abc", "0" * 64, files, None)
    document = qualification_document(record.Record(MADE, described, (group,)))
    assert document.title.endswith("limitcheck 1")
    rows = [
        row
        for chapter in document.chapters
        for section in chapter.sections
        for block in section.blocks
        if block.kind == "table"
        for row in block.rows
    ]
    assert ("Some", "0 of 1", "fail") in rows
    assert ("s", "1", "2", "fail") in rows
    assert ("b.py", "x", "none", "missing") in rows
    short = told(record.Record(MADE, described, (group,)))
    assert "fail: installed files against RECORD, 1 of 2 not as packed." in short
    assert "b.py  missing" in short
    assert "a.py" not in short


def test_the_command_refuses_other_formats(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["qualify", "-o", "record.sarif"]) == 2
    assert "Do: write FILE.html, .pdf," in capsys.readouterr().err
