"""SARIF 2.1.0 (OASIS), for code scanning: places in code points, paths from the current folder."""

from __future__ import annotations

import re
from collections.abc import Iterator
from inspect import cleandoc
from pathlib import Path
from typing import Any
from urllib.parse import quote

from ..checking.fingerprint import fingerprints, relative_name
from ..checking.results import FileReport
from ..checking.run import Run
from ..checks.documentation import DOCUMENTED
from ..documents.findings import outcomes_data
from ..findings import Finding, Location, Recommendation, path_text
from ..version import __version__
from .run_json import LIST, SECOND, stream

SCHEMA = (
    "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json"
)
_ROOT = "WORKINGFOLDER"
_RULES = {name: index for index, name in enumerate(DOCUMENTED)}
_VALUE = re.compile(r"""[0-9.]+|"[^"]*"|'[^']*'""")


def render(run: Run) -> Iterator[str]:
    """The run as one SARIF log, in pieces."""
    root = Path.cwd()
    results = (
        _result(finding, fingerprint, root)
        for report in run.reports
        for finding, fingerprint in fingerprints(report, root)
    )
    artifacts = (_artifact(report, root) for report in run.reports)
    return stream(_log(run), {SECOND: artifacts, LIST: results})


def _artifact(report: FileReport, root: Path) -> dict[str, Any]:
    """A file, with how every check came out in its properties."""
    return {
        "location": _file(report.path, root),
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
                    _ROOT: {"description": {"text": "The folder in which limitcheck was run."}}
                },
                "invocations": [{"executionSuccessful": run.summary.crashed == 0}],
                "artifacts": SECOND,
                "results": LIST,
            }
        ],
    }


def _rule(name: str, text: str) -> dict[str, Any]:
    text = cleandoc(text)
    return {
        "id": name,
        "shortDescription": {"text": text.partition("\n")[0]},
        "fullDescription": {"text": text},
        "help": {"text": text},
    }


def _result(finding: Finding, fingerprint: str, root: Path) -> dict[str, Any]:
    result: dict[str, Any] = {
        "ruleId": finding.check,
        "level": finding.severity.value,
        "message": {"text": f"{finding.message}\nDo: {finding.advice}"},
        "partialFingerprints": {"checkFileKeyValue/v1": fingerprint},
        "suppressions": list(_suppressions(finding)),
        "properties": {"confidence": finding.confidence.value},
    }
    if finding.check in _RULES:
        result["ruleIndex"] = _RULES[finding.check]
    if finding.location is not None:
        result["locations"] = [_location(finding.location, root, path_text(finding.path))]
    related = [item for item in finding.related if item.location is not None]
    if related:
        result["relatedLocations"] = [
            {
                **_location(item.location, root, path_text(item.path)),
                "id": number,
                "message": {"text": item.message},
            }
            for number, item in enumerate(related, 1)
            if item.location is not None
        ]
    fix = _fix(finding, root)
    if fix is not None:
        result["fixes"] = [fix]
    return result


def _location(location: Location, root: Path, key: str) -> dict[str, Any]:
    place: dict[str, Any] = {
        "physicalLocation": {
            "artifactLocation": _file(location.file, root),
            "region": _region(location),
        }
    }
    if key:
        place["logicalLocations"] = [{"fullyQualifiedName": key}]
    return place


def _file(path: str, root: Path) -> dict[str, str]:
    name = relative_name(path, root)
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


def _fix(finding: Finding, root: Path) -> dict[str, Any] | None:
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
            {"artifactLocation": _file(place.file, root), "replacements": found}
            for found in replacements.values()
        ],
    }


def _new_text(item: Recommendation, location: Location) -> str | None:
    """What stands there then; None where a table, or a key that has no value yet, stands now."""
    if location.line != location.end_line:
        return None
    old = location.source_line[location.column - 1 : location.end_column - 1]
    return item.in_place_of(old) if _VALUE.fullmatch(old) else None
