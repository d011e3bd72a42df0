"""What must hold for any input; each function raises where it does not."""

from __future__ import annotations

import json
import re
import tomllib
import xml.etree.ElementTree as ET
from collections.abc import Iterator
from datetime import date
from decimal import Decimal
from io import BytesIO
from pathlib import Path
from typing import Any
from zlib import crc32

from limitcheck.checking.corrections import NotFixed, fix
from limitcheck.checking.file import check_file
from limitcheck.checking.misread_policies import OWN_FILE
from limitcheck.checking.policy_tables import read_policy
from limitcheck.checking.results import FileReport
from limitcheck.checking.run import Run, check_content
from limitcheck.findings import CRASHED, Finding
from limitcheck.limits import propose
from limitcheck.policy import DEFAULT_POLICY, margins_for
from limitcheck.profile.hardware import under_pressure
from limitcheck.profile.load import ProfileFile, load_bytes
from limitcheck.profile.model import Profile
from limitcheck.profile.places import Source
from limitcheck.profile.text import UnreadableProfile
from limitcheck.profile.toml import BOM, TomlError, parse
from limitcheck.profile.write import assign, dump_profile
from limitcheck.render import FORMATS, renderer
from limitcheck.units import Quantity, round_down, round_up

from ..profile.documents import leaves
from .tool import Done, file_of, tool

TODAY = date(2026, 1, 1)
NAME = "fuzzed.toml"
SOUND = Path(__file__).parents[2] / "profiles" / "conventional-400-bar.toml"


def toml(content: bytes, every: bool = False) -> None:
    """TOML of any kind: read as `tomllib` reads it, with every value at its place.

    Here and below, commands are run on every input or, being slow, on some.
    """
    reports(check_content(content, NAME, DEFAULT_POLICY, TODAY))
    if every or crc32(content) % 8 == 0:
        with file_of(content, NAME) as path:
            command = ("check", str(path), "--format", "json")
            answers(tool(*command), command)
    try:
        text = content.decode()
        data = parse(text)
    except (UnicodeDecodeError, TomlError):
        return
    expected = tomllib.loads(text.removeprefix(BOM), parse_float=Decimal)
    assert repr(data) == repr(expected)
    source = Source(text)
    for path, value in leaves(data).items():
        span = source.value_span(path)
        assert span is not None, path
        written = text[span.start : span.end]
        assert repr(parse(f"x = {written}")["x"]) == repr(value), path
        assert assign(text, {path: written}) == text


def profile(content: bytes, every: bool = False) -> None:
    """A profile: what is found, proposed and corrected, and what commands do with it."""
    run = check_content(content, NAME, DEFAULT_POLICY, TODAY)
    report = reports(run)
    with file_of(content, NAME) as path:
        for command in _commands(str(path), crc32(content), every):
            answers(tool(*command), command)
    try:
        file = load_bytes(content, NAME)
    except UnreadableProfile:
        return
    _round_trip(file)
    _proposal(file.profile)
    _unrelated_edits(file, report)
    _corrections(file, report)


def settings(content: bytes, every: bool = False) -> None:
    """A repository's settings of any kind: a profile is checked under them, or they are refused."""
    policy, findings = DEFAULT_POLICY, tuple[Finding, ...]()
    with file_of(content, OWN_FILE) as path:
        try:
            policy = read_policy(path)
        except UnreadableProfile as error:
            findings = error.findings
    assert all(f.message and f.advice and f.location for f in findings)
    reports(check_content(SOUND.read_bytes(), NAME, policy, TODAY))
    proposal = propose(load_bytes(SOUND.read_bytes(), NAME).profile, policy.margins)
    assert proposal.high or proposal.no_high
    assert proposal.low or proposal.no_low


def csv(content: bytes, every: bool = False) -> None:
    """A pressure log of any kind."""
    from limitcheck.documents.baseline import baseline_data, baseline_document
    from limitcheck.history.baseline import find_baseline
    from limitcheck.history.layout import Options
    from limitcheck.history.lines import LogError
    from limitcheck.history.log import Choice
    from limitcheck.render import text

    advice = "none needed"
    try:
        found = find_baseline(BytesIO(content), "log.csv", Options(unit="bar"), Choice(), None)
    except LogError as error:
        advice = error.advice
    else:
        json_document(json.dumps(baseline_data(found, None)))
        assert text.render(baseline_document(found, None, TODAY))
    assert advice
    if every or crc32(content) % 8 == 0:
        with file_of(content, "log.csv") as path:
            for form in ("text", "json"):
                command = ("baseline", str(path), "--unit", "bar", "--format", form)
                answers(tool(*command), command)


def reports(run: Run) -> FileReport:
    """Every format is what it should be, and no check crashed; the one report."""
    (report,) = run.reports
    for finding in report.findings:
        assert finding.check != CRASHED, finding.message
        assert finding.message, finding
        assert finding.advice, finding
    assert run.exit_code in (0, 1, 2)
    texts = {name: "".join(renderer(name)(run)) for name in FORMATS}
    json_document(texts["json"])
    json_document(texts["sarif"])
    ET.fromstring(texts["junit"])
    assert not re.search(r"[\x00-\x09\x0b-\x1f\x7f-\x9f]", texts["text"])
    return report


def answers(done: Done, command: tuple[str, ...]) -> None:
    """A command ends as documented, says something, and prints JSON where that was asked."""
    assert done.code in (0, 1, 2), (command, done)
    assert "Traceback" not in done.out + done.err, (command, done)
    assert done.out or done.err or "--diff" in command, command
    if done.code == 2 and not done.out:
        assert done.err, command
    if "json" in command and done.out:
        json_document(done.out)


def json_document(text: str) -> Any:
    """The document; raises for text that is not strict JSON (nan and infinity are not)."""

    def refuse(constant: str) -> None:
        raise AssertionError(f"{constant} is not JSON")

    return json.loads(text, parse_constant=refuse)


def _commands(path: str, choose: int, every: bool) -> list[tuple[str, ...]]:
    commands: list[tuple[str, ...]] = [
        ("check", path, "--format", "json"),
        ("check", path, "--diff", "--fix-likely"),
        ("propose", path, "--format", "json"),
        ("propose", path, "--diff"),
        ("predict", path, "--format", "json"),
        ("predict", path, "--at", "flow=1.5 mL/min,temperature=40 degC"),
        ("faults", path, "--format", "json"),
        ("entry", "250", "--profile", path, "--format", "json"),
        ("entry", "0.5", "--low", "--profile", path),
        ("reading", "180 bar", "--profile", path, "--format", "json"),
        ("isolate", path, "--reading", "all=286", "--reading", "column-inlet=14"),
        ("transfer", path, path, "--format", "json"),
    ]
    return commands if every else [commands[choose % len(commands)]]


def _round_trip(file: ProfileFile) -> None:
    """Quantities and the whole profile come back exactly as they went out."""
    written = dump_profile(parse(file.text))
    assert load_bytes(written.encode(), NAME).profile == file.profile
    for quantity in _quantities(file.profile):
        again = type(quantity).parse(str(quantity))
        assert again == quantity
        for unit in quantity.UNITS:
            assert type(quantity).of(quantity.to(unit), unit) == quantity


def _quantities(value: object) -> Iterator[Quantity]:
    if isinstance(value, Quantity):
        yield value
    elif isinstance(value, tuple):
        for item in value:
            yield from _quantities(item)
    elif hasattr(type(value), "model_fields"):
        for name in type(value).model_fields:
            yield from _quantities(getattr(value, name))


def _proposal(profile: Profile) -> None:
    """No proposed high cutoff above a rating, no low one above the high one; both storable."""
    proposal = propose(profile, margins_for(profile, DEFAULT_POLICY))
    step, unit = profile.instrument.step, profile.instrument.pressure_unit
    for limit in (proposal.high, proposal.low):
        if limit is not None:
            number = limit.pressure.to(unit)
            assert 0 < number == round_down(number, step) == round_up(number, step)
    if proposal.high is not None:
        high = proposal.high.pressure
        for part in under_pressure(profile):
            assert high <= part.pressure, part
        largest = profile.instrument.entry_max
        assert largest is None or high.to(unit) <= largest
        if proposal.low is not None:
            assert proposal.low.pressure < high


def _unrelated_edits(file: ProfileFile, report: FileReport) -> None:
    """Comments, titles, labels and the order of tables change no grade."""
    before = graded(report.findings)
    for text in _edited(file):
        edited = load_bytes(text.encode(), NAME)
        after = graded(check_file(edited, DEFAULT_POLICY, TODAY).findings)
        assert after == before, text


def _edited(file: ProfileFile) -> Iterator[str]:
    text = file.text
    bom = text[: len(text) - len(text.removeprefix(BOM))]
    yield f"{bom}# a comment\n\n{text.removeprefix(BOM)}"
    yield f"{text}\n# high = 1"
    yield assign(text, {("method", "title"): '"Another title"', ("method", "site"): '"Elsewhere"'})
    data = parse(text)
    yield dump_profile(dict(reversed(data.items())))
    for part in data["flow_path"]:
        part["label"] = "a label"
    yield dump_profile(data)


def graded(findings: tuple[Finding, ...]) -> list[tuple[str, ...]]:
    """What of findings an unrelated edit must not change."""
    return sorted(
        (f.check, f.severity, f.confidence, repr(f.path), str(f.accepted is None)) for f in findings
    )


def _corrections(file: ProfileFile, report: FileReport) -> None:
    """A correction puts no high cutoff above a rating, and brings no error of another kind."""
    for likely in (False, True):
        try:
            found = fix(file, report, DEFAULT_POLICY, TODAY, likely=likely)
        except NotFixed:
            continue
        if found is None:
            continue
        corrected = load_bytes(found.after.encode(), NAME).profile
        high, before = corrected.cutoffs.high, file.profile.cutoffs.high
        if high is not None and before is not None and high != before:
            assert high < before or all(high <= p.pressure for p in under_pressure(corrected))
