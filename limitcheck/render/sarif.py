"""SARIF 2.1.0 (OASIS), for code scanning: places in code points, files from the repository's root.

What a policy or the command line changes is a configuration notification of the invocation, and
each policy file an artifact with its SHA-256; what could not be done or read is an execution
notification, and the execution then no success. What was skipped is one, too, and named in the
properties of the run.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from inspect import cleandoc
from itertools import chain
from pathlib import Path
from typing import Any
from urllib.parse import quote

from ..checking.fingerprint import fingerprints, with_numbers
from ..checking.results import FileReport, count
from ..checking.root import root_folder, root_name
from ..checking.run import Run
from ..checks.documentation import DOCUMENTED, SWITCHED
from ..documents.findings import outcomes_data
from ..documents.looked import looked_data
from ..documents.settings import changed_by
from ..findings import Finding, Location, Recommendation, path_text
from ..policy import Policy
from ..version import __version__
from .run_json import LIST, SECOND, stream

SCHEMA = (
    "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json"
)
_ROOT = "REPOSITORY"
_RULES = {name: index for index, name in enumerate(DOCUMENTED)}
_VALUE = re.compile(r"""[0-9.]+|"[^"]*"|'[^']*'""")


def render(run: Run) -> Iterator[str]:
    """The run as one SARIF log, in pieces."""
    results = (
        _result(finding, fingerprint)
        for report in run.reports
        for finding, fingerprint in fingerprints(report, Path(root_folder(report.path) or "/"))
    )
    artifacts = chain(_policy_artifacts(run), map(_artifact, run.reports))
    return stream(_log(run), {SECOND: artifacts, LIST: results})


def _policy_artifacts(run: Run) -> Iterator[dict[str, Any]]:
    for policy in run.policies:
        if policy.source is not None and policy.sha256 is not None:
            yield {
                "location": _file(policy.source),
                "roles": ["userSpecifiedConfiguration"],
                "hashes": {"sha-256": policy.sha256},
            }


def _artifact(report: FileReport) -> dict[str, Any]:
    """A file, with how every check came out in its properties."""
    row = {"description": {"text": f"Row {report.row}"}} if report.row else {}
    return {
        "location": _file(report.path),
        **row,
        "properties": {"status": report.status, "checks": outcomes_data(report)},
    }


def _log(run: Run) -> dict[str, Any]:
    driver = {
        "name": "limitcheck",
        "version": __version__,
        "rules": [_rule(name, text) for name, text in DOCUMENTED.items()],
    }
    return {
        "$schema": SCHEMA,
        "version": "2.1.0",
        "runs": [
            {
                "tool": {"driver": driver},
                "columnKind": "unicodeCodePoints",
                "originalUriBaseIds": {
                    _ROOT: {"description": {"text": "The root of the repository."}}
                },
                "invocations": [_invocation(run)],
                "artifacts": SECOND,
                "results": LIST,
                "properties": {"looked": looked_data(run.looked)},
            }
        ],
    }


def _invocation(run: Run) -> dict[str, Any]:
    code = run.exit_code
    found: dict[str, Any] = {
        "executionSuccessful": code in (0, 1),
        "exitCode": code,
        "toolExecutionNotifications": list(_execution(run)),
        "toolConfigurationNotifications": list(_configuration(run)),
    }
    if len(run.policies) == 1:  # of several, each holds for its own files only
        found["ruleConfigurationOverrides"] = [
            {"descriptor": {"id": name, "index": _RULES[name]}, "configuration": configuration}
            for name, configuration in _overrides(run.policies[0])
        ]
    return found


def _overrides(policy: Policy) -> Iterator[tuple[str, dict[str, Any]]]:
    for name in SWITCHED:
        if policy.turned_off(name):
            yield name, {"enabled": False}
        elif (grade := policy.severities.get(name)) is not None:
            yield name, {"level": grade.value}


def _execution(run: Run) -> Iterator[dict[str, Any]]:
    """What could not be done or read, and what was skipped."""
    for finding in () if run.failure is None else run.failure.findings:
        told: dict[str, Any] = {"level": "error", "message": _message(finding)}
        if finding.location is not None:
            told["locations"] = [_location(finding.location, path_text(finding.path))]
        yield told
    for number, what in (
        (run.summary.unreadable, "not read, so nothing in it was checked"),
        (run.summary.crashed, "not finished, through a fault of limitcheck"),
    ):
        if number:
            word = count(number, "profile" if what.startswith("not read") else "check")
            yield {"level": "error", "message": {"text": f"{word} {what}: see the results."}}
    for sentence in run.looked.sentences:
        yield {"level": "note", "message": {"text": f"{sentence}."}}


def _configuration(run: Run) -> Iterator[dict[str, Any]]:
    """What policies and the command line change."""
    for who in changed_by(run.policies):
        for item in who.settings:
            told: dict[str, Any] = {
                "level": "note" if item.name.startswith("margins") else "warning",
                "message": {"text": f"{item.text}: {who.name}"},
            }
            if who.sha256 is not None:
                place = {"physicalLocation": {"artifactLocation": _file(item.origin)}}
                told["locations"] = [place]
            yield told


def _message(finding: Finding) -> dict[str, str]:
    regraded = f"\n{finding.regraded}" if finding.regraded else ""
    cell = f"{finding.location.cell}: " if finding.location and finding.location.cell else ""
    return {"text": f"{cell}{finding.message}{regraded}\nDo: {finding.advice}"}


def _rule(name: str, text: str) -> dict[str, Any]:
    text = cleandoc(text)
    return {
        "id": name,
        "shortDescription": {"text": text.partition("\n")[0]},
        "fullDescription": {"text": text},
        "help": {"text": text},
    }


def _result(finding: Finding, fingerprint: str) -> dict[str, Any]:
    result: dict[str, Any] = {
        "ruleId": finding.check,
        "level": finding.severity.value,
        "message": _message(finding),
        "partialFingerprints": {
            "checkMethodInstrumentPlace/v1": fingerprint,
            "withNumbers/v1": with_numbers(fingerprint, finding),
        },
        "suppressions": list(_suppressions(finding)),
        "properties": {
            "confidence": finding.confidence.value,
            "defaultLevel": (finding.own_severity or finding.severity).value,
        },
    }
    if finding.check in _RULES:
        result["ruleIndex"] = _RULES[finding.check]
    if finding.location is not None:
        result["locations"] = [_location(finding.location, path_text(finding.path))]
    related = [item for item in finding.related if item.location is not None]
    if related:
        result["relatedLocations"] = [
            {
                **_location(item.location, path_text(item.path)),
                "id": number,
                "message": {"text": item.message},
            }
            for number, item in enumerate(related, 1)
            if item.location is not None
        ]
    fix = _fix(finding)
    if fix is not None:
        result["fixes"] = [fix]
    return result


def _location(location: Location, key: str) -> dict[str, Any]:
    physical: dict[str, Any] = {"artifactLocation": _file(location.file)}
    if not location.in_workbook:  # which has no lines of text
        physical["region"] = _region(location)
    place: dict[str, Any] = {"physicalLocation": physical}
    names = [name for name in (location.cell, key) if name]
    if names:
        place["logicalLocations"] = [{"fullyQualifiedName": name} for name in names]
    return place


def _file(path: str) -> dict[str, str]:
    name = root_name(path)
    if Path(name).is_absolute():
        return {"uri": Path(name).as_uri()}
    return {"uri": quote(name), "uriBaseId": _ROOT}


def _region(location: Location) -> dict[str, int]:
    return {
        "startLine": location.line,
        "startColumn": location.column,
        "endLine": location.end_line,
        "endColumn": location.end_column,
    }


def _suppressions(finding: Finding) -> Iterator[dict[str, str]]:
    if finding.accepted is not None:
        reason = finding.accepted.text
        yield {"kind": "inSource", "status": "accepted", "justification": reason}
    if finding.known:
        reason = "stands in the known-findings file"
        yield {"kind": "external", "status": "accepted", "justification": reason}


def _fix(finding: Finding) -> dict[str, Any] | None:
    """The whole correction of a slip, as --fix writes it; None where it would write nothing."""
    items = finding.recommendations
    if not items or not all(item.may_be_written for item in items):
        return None
    replacements: dict[str, list[dict[str, Any]]] = {}
    for item in items:
        location = item.location
        new = None if location is None else _new_text(item, location)
        if location is None or new is None:
            return None
        replacement = {"deletedRegion": _region(location), "insertedContent": {"text": new}}
        replacements.setdefault(location.file, []).append(replacement)
    place = items[0].location
    assert place is not None
    return {
        "description": {"text": f"Enter {', '.join(item.text for item in items)}"},
        "artifactChanges": [
            {"artifactLocation": _file(place.file), "replacements": found}
            for found in replacements.values()
        ],
    }


def _new_text(item: Recommendation, location: Location) -> str | None:
    """What stands there then; None where a table, or a key that has no value yet, stands now."""
    if location.line != location.end_line:
        return None
    old = location.source_line[location.column - 1 : location.end_column - 1]
    return item.in_place_of(old) if _VALUE.fullmatch(old) else None
