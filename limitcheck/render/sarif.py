"""SARIF 2.1.0 (OASIS), for code scanning: places in code points, paths from the current folder."""

from __future__ import annotations

import re
from collections.abc import Iterator
from inspect import cleandoc
from pathlib import Path
from typing import Any
from urllib.parse import quote

from ..checking.fingerprint import fingerprints, relative_name
from ..checking.run import Run
from ..checks.documentation import DOCUMENTED
from ..findings import Confidence, Finding, Location, path_text
from ..version import __version__
from .stream import LIST, stream

SCHEMA = (
    "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json"
)
_ROOT = "WORKINGFOLDER"
_RULES = {name: index for index, name in enumerate(DOCUMENTED)}
_NUMBER = re.compile(r"[0-9.]+")


def render(run: Run) -> Iterator[str]:
    """The run as one SARIF log, in pieces."""
    root = Path.cwd()
    results = (
        _result(finding, fingerprint, root)
        for report in run.reports
        for finding, fingerprint in fingerprints(report, root)
    )
    return stream(_log(run), results)


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
        "physicalLocation": {"artifactLocation": _file(location, root), "region": _region(location)}
    }
    if key:
        place["logicalLocations"] = [{"fullyQualifiedName": key}]
    return place


def _file(location: Location, root: Path) -> dict[str, str]:
    name = relative_name(location.file, root)
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
        until = f", until {finding.accepted.until}" if finding.accepted.until else ""
        reason = f"{finding.accepted.reason} (accepted by {finding.accepted.by}{until})"
        yield {"kind": "inSource", "status": "accepted", "justification": reason}
    if finding.known:
        reason = "stands in the file of known findings"
        yield {"kind": "external", "status": "accepted", "justification": reason}


def _fix(finding: Finding, root: Path) -> dict[str, Any] | None:
    """A replacement that settles the finding alone: one certain value, in place of one value."""
    suggestion, location = finding.suggestion, finding.location
    if suggestion is None or location is None or finding.also:
        return None
    if suggestion.path != finding.path or finding.confidence is not Confidence.CERTAIN:
        return None
    old = location.source_line[location.column - 1 : location.end_column - 1]
    if location.line != location.end_line:
        return None
    if _NUMBER.fullmatch(old):
        new = suggestion.enter
    elif old[:1] in ('"', "'") and old[-1:] == old[:1]:
        new = f'"{suggestion.enter} {suggestion.unit}"'
    else:  # a table or a key that has no value yet
        return None
    replacement = {"deletedRegion": _region(location), "insertedContent": {"text": new}}
    return {
        "description": {"text": f"Enter {suggestion.enter} ({suggestion.unit})"},
        "artifactChanges": [
            {"artifactLocation": _file(location, root), "replacements": [replacement]}
        ],
    }
