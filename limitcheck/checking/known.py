"""Known findings: a repository that starts today fails on new findings only.

The file is JSON, one entry a line in a stable order, so that a review sees what came and went.
Files stand in it relative to its own folder. Only readable profiles have known findings.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path

from ..checks.engine import CRASHED
from ..checks.repository import REPOSITORY_CHECKS
from ..errors import LimitcheckError
from ..findings import path_text
from .fingerprint import fingerprints, relative_name
from .results import FileReport, KnownFinding, Summary
from .run import Run

FORMAT = 1
Known = Mapping[str, KnownFinding]
"""By fingerprint."""


class KnownError(LimitcheckError):
    """A text that is not a known-findings file."""


def parse_known(text: str) -> Known:
    """Read the text of a known-findings file; raises KnownError."""
    again = "write it again with --write-known"
    try:
        document = json.loads(text)
    except ValueError as error:
        raise KnownError(f"not JSON: {error}", again) from None
    if not isinstance(document, dict) or document.get("format") != FORMAT:
        raise KnownError(f'not a known-findings file: it has no "format": {FORMAT}', again)
    known: dict[str, KnownFinding] = {}
    try:
        for entry in document["known"]:
            found = KnownFinding(**entry)
            if not all(isinstance(value, str) for value in found._asdict().values()):
                raise TypeError
            known[found.fingerprint] = found
    except (KeyError, TypeError):
        raise KnownError(
            f"entry {len(known) + 1} is not as --write-known writes it", again
        ) from None
    return known


def known_text(run: Run, root: Path) -> str:
    """The text of a file, in the folder `root`, that makes every finding of a run known."""
    entries = [entry for report in run.reports for entry in _entries(report, root)]
    entries.sort(key=lambda entry: (entry.file, entry.check, entry.at, entry.fingerprint))
    lines = ",\n".join(json.dumps(entry._asdict(), ensure_ascii=False) for entry in entries)
    return f'{{"format": {FORMAT}, "known": [\n{lines}\n]}}\n'


def _entries(report: FileReport, root: Path) -> Iterator[KnownFinding]:
    for finding, fingerprint in fingerprints(report, root):
        if _may_be_known(report, finding.check) and finding.accepted is None:
            at = finding.anchor or path_text(finding.path)
            yield KnownFinding(fingerprint, finding.check, relative_name(report.path, root), at)


def _may_be_known(report: FileReport, check: str) -> bool:
    return report.status != "unreadable" and check != CRASHED


@dataclass(frozen=True, slots=True)
class _Marked:
    """The reports of a run with known findings marked, gone through as often as needed."""

    run: Run
    known: Known
    root: Path

    def __iter__(self) -> Iterator[FileReport]:
        return (self._mark(report) for report in self.run.reports)

    def _mark(self, report: FileReport) -> FileReport:
        findings = tuple(
            finding._replace(known=True)
            if fingerprint in self.known
            and finding.accepted is None
            and _may_be_known(report, finding.check)
            else finding
            for finding, fingerprint in fingerprints(report, self.root)
        )
        return report._replace(findings=findings)


def with_known(run: Run, known: Known, root: Path, exists: Callable[[Path], bool]) -> Run:
    """The run with its known findings marked, and the entries that no longer occur.

    An entry is stale when its file was checked and has no such finding, or is there no more. What
    two files contradict each other in only shows when both are checked, so that entries of the
    repository-wide checks are stale only when their file is gone.
    """
    seen: set[str] = set()
    checked: set[str] = set()
    for report in run.reports:
        checked.add(relative_name(report.path, root))
        seen.update(fingerprint for _, fingerprint in fingerprints(report, root))
    stale = tuple(
        entry
        for fingerprint, entry in known.items()
        if fingerprint not in seen
        and (
            entry.check not in REPOSITORY_CHECKS
            if entry.file in checked
            else not exists(root / entry.file)
        )
    )
    reports = _Marked(run, known, root)
    return run._replace(
        reports=reports, summary=Summary.of(reports, run.summary.skipped), stale=stale
    )
