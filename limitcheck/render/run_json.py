"""JSON output: the contract is `check.schema.json` beside this module."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import asdict
from typing import Any

from ..checking.run import Run
from ..checks.results import FileReport
from ..findings import Finding, Location, Suggestion
from ..version import __version__
from .stream import LIST, stream

FORMAT = 1


def render(run: Run) -> Iterator[str]:
    """The run as one JSON document, in pieces."""
    frame = {
        "format": FORMAT,
        "tool": {"name": "limitcheck", "version": __version__},
        "profiles": LIST,
        "summary": asdict(run.summary),
        "stale_known": [asdict(entry) for entry in run.stale],
    }
    return stream(frame, map(report_dict, run.reports))


def report_dict(report: FileReport) -> dict[str, Any]:
    """One file of a run."""
    return {
        "path": _text(report.path),
        "sha256": report.sha256,
        "method": report.method,
        "instrument": report.instrument,
        "status": report.status,
        "uses": [{"path": _text(used.path), "sha256": used.sha256} for used in report.uses],
        "findings": [finding_dict(finding) for finding in report.findings],
        "skipped_checks": [asdict(skipped) for skipped in report.skipped_checks],
    }


def finding_dict(finding: Finding) -> dict[str, Any]:
    """One finding; places are null where there is no file."""
    return {
        "check": finding.check,
        "severity": finding.severity.value,
        "confidence": finding.confidence.value,
        "path": list(finding.path),
        **_place(finding.location),
        "message": finding.message,
        "advice": finding.advice,
        "related": [
            {
                "path": list(item.path),
                "file": _text(item.location.file) if item.location else None,
                "line": item.location.line if item.location else None,
                "message": item.message,
            }
            for item in finding.related
        ],
        "suggestion": _suggestion(finding.suggestion) if finding.suggestion else None,
        "also": [_suggestion(suggestion) for suggestion in finding.also],
        "accepted": _accepted(finding),
        "known": finding.known,
        "data": dict(finding.data),
    }


def _place(location: Location | None) -> dict[str, Any]:
    if location is None:
        return dict.fromkeys(("file", "line", "column", "end_line", "end_column"))
    return {
        "file": _text(location.file),
        "line": location.line,
        "column": location.column,
        "end_line": location.end_line,
        "end_column": location.end_column,
    }


def _suggestion(suggestion: Suggestion) -> dict[str, Any]:
    return {
        "path": list(suggestion.path),
        "meant_unit": suggestion.meant_unit,
        "enter": suggestion.enter,
        "unit": suggestion.unit,
    }


def _accepted(finding: Finding) -> dict[str, Any] | None:
    if finding.accepted is None:
        return None
    until = finding.accepted.until
    return {
        "reason": finding.accepted.reason,
        "by": finding.accepted.by,
        "until": until.isoformat() if until else None,
    }


def _text(name: str) -> str:
    """A file name that may hold bytes that are no text, as text that JSON can carry."""
    return name.encode("utf-8", "backslashreplace").decode("utf-8")
