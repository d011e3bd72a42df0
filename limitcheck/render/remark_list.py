"""Annotations as one JSON list: a code host shows them in the review of a change.

An entry has `description`, `check_name`, `fingerprint`, `severity` (blocker, critical, major,
minor, info) and `location` (`path` from the root of the repository, `lines.begin`). The form is
from memory of the host's documentation, not looked up.

Findings that somebody answers for, and known ones, are left out, but for checks that are left open;
what a policy or the command line changes, and what was skipped, are entries of their own.
"""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from ..checking.fingerprint import fingerprints, with_numbers
from ..checking.results import FileReport
from ..checking.root import root_folder, root_name
from ..checking.run import Run
from ..checks.identity import digest
from ..documents.settings import changed_by
from ..findings import NOT_DECIDED, Finding, Severity

_GRADES = {Severity.ERROR: "critical", Severity.WARNING: "major", Severity.NOTE: "info"}


def render(run: Run) -> Iterator[str]:
    """The run as one list of entries, in pieces: one line an entry."""
    comma = "["
    for entry in _entries(run):
        yield f"{comma}\n{json.dumps(entry, ensure_ascii=False)}"
        comma = ","
    yield "[]\n" if comma == "[" else "\n]\n"


def _entries(run: Run) -> Iterator[dict[str, Any]]:
    for finding in () if run.failure is None else run.failure.findings:
        yield {
            **_entry(finding, digest(finding.check, finding.message), "limitcheck.toml"),
            "severity": "blocker",
        }
    for report in run.reports:
        yield from _entries_of(report)
    for who in changed_by(run.policies):
        for item in who.settings:
            path = root_name(item.origin) if who.sha256 else "limitcheck.toml"
            told = f"{item.text} ({who.name})"
            yield _remark("settings", told, f"{path}\0{item.name}\0{item.value}", path)
    for sentence in run.looked.sentences:
        yield _remark("looked-at", sentence, sentence, "limitcheck.toml")


def _entries_of(report: FileReport) -> Iterator[dict[str, Any]]:
    """Of one file; what is left open is said, whoever answers for it.

    Fingerprints are of the file and the numbers as well, so that no two of a run are the same.
    """
    root = Path(root_folder(report.path) or "/")
    often: Counter[str] = Counter()
    for finding, fingerprint in fingerprints(report, root):
        mark = with_numbers(fingerprint, finding)
        often[mark] += 1
        mark = digest(root_name(report.path), mark, str(often[mark]))
        if finding.accepted is None and not finding.known:
            yield _entry(finding, mark, report.path)
        elif finding.check == NOT_DECIDED:
            left = _entry(finding, mark, report.path)
            who = finding.accepted.text if finding.accepted else "A known finding."
            yield {**left, "severity": "info", "description": f"{finding.message} {who}"}


def _remark(name: str, told: str, identity: str, path: str) -> dict[str, Any]:
    """An entry about the run itself."""
    return {
        "description": told,
        "check_name": name,
        "fingerprint": digest(name, identity),
        "severity": "info",
        "location": {"path": path, "lines": {"begin": 1}},
    }


def _entry(finding: Finding, fingerprint: str, path: str) -> dict[str, Any]:
    place = finding.location
    regraded = f" {finding.regraded}" if finding.regraded else ""
    cell = f"{place.cell}: " if place is not None and place.cell else ""
    return {
        "description": f"{cell}{finding.message}{regraded} Do: {finding.advice}",
        "check_name": finding.check,
        "fingerprint": fingerprint,
        "severity": _GRADES[finding.severity],
        "location": {
            "path": root_name(path if place is None else place.file),
            "lines": {"begin": 1 if place is None else place.line},
        },
    }
