"""Known findings: a repository that starts today fails on new findings only.

The file is JSON, one entry a line in a stable order, so that a review sees what came and went. An
entry is known for its check, method, instrument, place and numbers: it moves with a file that is
moved or renamed, and what got worse is new. One entry makes one finding known, so that a second
file of the same method and instrument hides behind nothing. Only readable profiles have known
findings.
"""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Collection, Iterator, Mapping, Set
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any, NamedTuple

from ..checks.identity import canonical, holds, same_numbers
from ..checks.repository import REPOSITORY_CHECKS
from ..errors import LimitcheckError
from ..findings import CRASHED, Compared, Finding
from ..profile.load import load
from ..profile.text import NotAProfile, UnreadableProfile
from .fingerprint import relative_name
from .kinds import is_table
from .open_checks import rests_on, unseen
from .results import FileReport, KnownFinding, Summary
from .run import Run
from .table_rows import QUESTION

FORMAT = 1
Known = Collection[KnownFinding]
_TEXTS = ("fingerprint", "check", "method", "instrument", "at", "value", "file", "against")


class KnownError(LimitcheckError):
    """A text that is not a known-findings file."""


class Matched(NamedTuple):
    """Which findings of a run are known, and what became of the entries."""

    findings: Mapping[str, Collection[int]]
    """By path of the file: the numbers of its findings that are known."""
    used: Collection[KnownFinding]
    gone: tuple[KnownFinding, ...]
    """Entries that were looked for and not found."""
    missing: tuple[KnownFinding, ...]
    """Entries of files that are there no more, and whose findings are nowhere else."""


def parse_known(text: str) -> tuple[KnownFinding, ...]:
    """Read the text of a known-findings file; raises KnownError."""
    again = "remove it and write it again with --write-known"
    if re.search(r"^(<{7}|={7}|>{7})( |$)", text, re.MULTILINE):
        raise KnownError("a merge left both versions in it", "keep the entries of both, by hand")
    try:
        document = json.loads(text)
    except (ValueError, RecursionError) as error:
        raise KnownError(f"not JSON: {error}", again) from None
    if not isinstance(document, dict) or document.get("format") != FORMAT:
        raise KnownError(f'not a known-findings file: it has no "format": {FORMAT}', again)
    known: list[KnownFinding] = []
    try:
        known.extend(map(_entry, document["known"]))
    except (AttributeError, KeyError, TypeError):
        raise KnownError(
            f"entry {len(known) + 1} is not as --write-known writes it", again
        ) from None
    return tuple(known)


def _entry(table: Any) -> KnownFinding:
    found = KnownFinding(**table)
    limit = found.limit
    texts = [*limit.keys(), *limit.values()] if isinstance(limit, dict) else [limit]
    texts += [getattr(found, name) for name in _TEXTS]
    if not all(isinstance(text, str) for text in texts):
        raise TypeError
    return found


def known_text(entries: Known) -> str:
    """The text of a known-findings file with these entries."""
    ordered = sorted(entries, key=_order)
    lines = ",\n".join(json.dumps(entry._asdict(), ensure_ascii=False) for entry in ordered)
    return f'{{"format": {FORMAT}, "known": [\n{lines}\n]}}\n'


def _order(entry: KnownFinding) -> tuple[str, ...]:
    return (entry.file, entry.check, entry.at, entry.value, str(entry.limit), entry.fingerprint)


def entries_of(run: Run, root: Path) -> Iterator[KnownFinding]:
    """An entry for every finding of a run that may be known and that nobody answers for."""
    for report in run.reports:
        for _, finding in _may_be_known(report):
            yield _entry_of(report, finding, root)


def _may_be_known(report: FileReport) -> Iterator[tuple[int, Finding]]:
    if report.status == "unreadable":
        return
    for number, finding in enumerate(report.findings):
        if finding.check != CRASHED and QUESTION not in finding.data and finding.accepted is None:
            yield number, finding


def _entry_of(report: FileReport, finding: Finding, root: Path) -> KnownFinding:
    numbers = canonical(finding.compared)
    against = next((r.location.file for r in finding.related if r.location), "")
    between_files = finding.check in REPOSITORY_CHECKS and against
    return KnownFinding(
        finding.fingerprint,
        finding.check,
        report.method or "",
        report.instrument or "",
        finding.place,
        numbers.value,
        numbers.limit,
        relative_name(report.path, root),
        relative_name(against, root) if between_files else "",
    )


def match(run: Run, known: Known, root: Path) -> Matched:
    """Which findings of a run the entries make known; each entry one finding at most.

    An entry belongs to the file it was written for as long as that is a profile of the same
    method and instrument; else to any file that is. What two files contradict each other in only
    shows when both are checked.
    """
    by_print: dict[str, list[KnownFinding]] = {}
    for entry in sorted(known, key=_order):
        by_print.setdefault(entry.fingerprint, []).append(entry)
    asked = {name for entry in known for name in rests_on(entry)}
    checked: dict[str, _Checked] = {}
    candidates: dict[str, list[_Candidate]] = {}
    for report in run.reports:
        if report.status == "unreadable":
            continue
        name = relative_name(report.path, root)
        its = (report.method or "", report.instrument or "")
        checked.setdefault(name, _Checked({})).add(its, unseen(report, asked))
        for number, finding in _may_be_known(report):
            mark = finding.fingerprint
            if mark in by_print:
                candidate = _Candidate(name, report.name, number, finding.compared)
                candidates.setdefault(mark, []).append(candidate)

    may_be = cache(_may_be)

    def is_free(entry: KnownFinding) -> bool:
        its = entry.method, entry.instrument
        if entry.file in checked:
            return its not in checked[entry.file].unseen
        return not may_be(root / entry.file, *its)

    findings: dict[str, set[int]] = {}
    used: set[int] = set()
    for mark, found in candidates.items():
        for candidate, entry in _pairs(sorted(found, key=lambda c: c[:3]), by_print[mark], is_free):
            findings.setdefault(candidate.path, set()).add(candidate.number)
            used.add(id(entry))
    left = [entry for entry in known if id(entry) not in used]
    gone = tuple(entry for entry in left if _was_looked_for(entry, checked))
    elsewhere: dict[tuple[str, str], Set[str]] = {}
    for its, open_ones in (item for one in checked.values() for item in one.unseen.items()):
        elsewhere[its] = elsewhere.get(its, frozenset()) | open_ones
    missing = tuple(
        entry
        for entry in left
        if entry.file not in checked
        and not (root / entry.file).exists()
        and elsewhere.get((entry.method, entry.instrument), frozenset()).isdisjoint(rests_on(entry))
    )
    return Matched(findings, [e for e in known if id(e) in used], gone, missing)


def _may_be(path: Path, method: str, instrument: str) -> bool:
    """Whether a file is there and is, for all that can be read, that of a method."""
    if is_table(str(path)):
        return path.exists()
    try:
        profile = load(path, only_profiles=True).profile
    except NotAProfile:
        return False
    except UnreadableProfile:
        return path.exists()
    return (profile.method.id, profile.instrument.id) == (method, instrument)


class _Candidate(NamedTuple):
    """A finding that entries may make known."""

    name: str
    path: str
    number: int
    compared: Compared


def _pairs(
    candidates: list[_Candidate],
    entries: list[KnownFinding],
    is_free: Callable[[KnownFinding], bool],
) -> Iterator[tuple[_Candidate, KnownFinding]]:
    """Findings with their entries: first of the same file and numbers, last of another file."""
    open_entries, open_candidates = list(entries), list(candidates)
    for own_file in (True, False):
        for same in (same_numbers, holds):
            for candidate in tuple(open_candidates):
                for entry in open_entries:
                    mine = entry.file == candidate.name
                    given = Compared(entry.value, entry.limit)
                    if mine == own_file and same(given, candidate.compared):
                        if not own_file and not is_free(entry):
                            continue
                        open_entries.remove(entry)
                        open_candidates.remove(candidate)
                        yield candidate, entry
                        break


class _Checked(NamedTuple):
    """A file that was checked: by method and instrument, of a table those of each row, the checks
    that were left open."""

    unseen: dict[tuple[str, str], Set[str]]

    def add(self, its: tuple[str, str], unseen: Set[str]) -> None:
        """A profile of this file, or a row."""
        self.unseen[its] = self.unseen.get(its, frozenset()) | unseen

    def left_open(self, entry: KnownFinding) -> Set[str]:
        """The checks that were not decided of what an entry is about.

        What is there no more was looked for, but where a row does not say what it is.
        """
        its = entry.method, entry.instrument
        if its in self.unseen:
            return self.unseen[its]
        if len(self.unseen) == 1:
            return next(iter(self.unseen.values()))
        unnamed = (unseen for names, unseen in self.unseen.items() if "" in names)
        return frozenset().union(*unnamed)


def _was_looked_for(entry: KnownFinding, checked: Mapping[str, _Checked]) -> bool:
    """Whether the run would have found it; of two files that differ, if it saw both."""
    return (
        entry.file in checked
        and (entry.check not in REPOSITORY_CHECKS or entry.against in checked)
        and checked[entry.file].left_open(entry).isdisjoint(rests_on(entry))
    )


@dataclass(frozen=True, slots=True)
class _Marked:
    """The reports of a run with known findings marked, gone through as often as needed."""

    run: Run
    known: Mapping[str, Collection[int]]

    def __iter__(self) -> Iterator[FileReport]:
        return map(self._mark, self.run.reports)

    def _mark(self, report: FileReport) -> FileReport:
        known = self.known.get(report.name, ())
        if not known:
            return report
        findings = tuple(
            finding._replace(known=True) if number in known else finding
            for number, finding in enumerate(report.findings)
        )
        return report._replace(findings=findings)


def with_known(run: Run, known: Known, root: Path) -> Run:
    """The run with its known findings marked, and the entries that no longer occur."""
    matched = match(run, known, root)
    reports = _Marked(run, matched.findings)
    return run._replace(
        reports=reports,
        summary=Summary.of(reports, run.summary.skipped),
        stale=(*matched.gone, *matched.missing),
    )


class Merged(NamedTuple):
    """A known-findings file after a run: its entries, and what changed."""

    entries: tuple[KnownFinding, ...]
    added: int
    gone: tuple[KnownFinding, ...]
    kept: int
    """Entries of what the run did not look at."""


def merge_known(run: Run, known: Known, root: Path, looked_at: Callable[[Path], bool]) -> Merged:
    """The entries of a file after a run: what it found, and what it did not look at.

    What a check that was turned off or not decided found stays. What was looked at and is gone
    goes; `looked_at` tells whether the run would have read a file that is there no more.
    """
    matched = match(run, known, root)
    found = tuple(entries_of(run, root))
    missing = {id(entry) for entry in matched.missing if looked_at(root / entry.file)}
    gone = {id(entry) for entry in matched.gone} | missing
    replaced = gone | {id(entry) for entry in matched.used}
    kept = tuple(entry for entry in known if id(entry) not in replaced)
    left = tuple(entry for entry in known if id(entry) in gone)
    return Merged((*found, *kept), len(found) - len(matched.used), left, len(kept))
