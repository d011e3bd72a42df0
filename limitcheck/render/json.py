"""JSON output: the contract is `check.schema.json` beside this module."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import asdict
from typing import Any

from ..checking.results import FileReport
from ..checking.run import Run
from ..documents.data import path_data, plain_data
from ..findings import Finding, Location, Recommendation
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
        "recommendations": [recommendation_data(item) for item in report.recommendations],
        "withheld": [
            {"path": path_data(item.path), "reason": item.reason} for item in report.withheld
        ],
        "skipped_checks": [asdict(skipped) for skipped in report.skipped_checks],
    }


def finding_dict(finding: Finding) -> dict[str, Any]:
    """One finding; places are null where there is no file."""
    return {
        "check": finding.check,
        "severity": finding.severity.value,
        "confidence": finding.confidence.value,
        "path": path_data(finding.path),
        **_place(finding.location),
        "message": finding.message,
        "advice": finding.advice,
        "related": [
            {
                "path": path_data(item.path),
                "file": _text(item.location.file) if item.location else None,
                "line": item.location.line if item.location else None,
                "message": item.message,
            }
            for item in finding.related
        ],
        "meant": [
            {"path": path_data(meant.path), "kind": meant.kind, "unit": meant.meant_unit}
            for meant in (finding.suggestion, *finding.also)
            if meant is not None
        ],
        "recommendations": [recommendation_data(item) for item in finding.recommendations],
        "withheld": finding.withheld or None,
        "accepted": _accepted(finding),
        "known": finding.known,
        "data": plain_data(finding.data),
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


def recommendation_data(item: Recommendation) -> dict[str, Any]:
    """What to type at a place, what it rests on, and whether --fix writes it."""
    return {
        "path": path_data(item.path),
        "enter": item.enter,
        "unit": item.unit,
        "basis": item.basis,
        "confidence": item.confidence.value,
        "may_be_written": item.may_be_written,
        "why_not_written": item.why_not_written or None,
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
