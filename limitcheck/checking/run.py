"""A run over many files: each is read, checked under the policy nearest to it, and reported."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date
from functools import lru_cache, partial
from pathlib import Path

from ..checks.repository import Claim, Ledger, claims, conflict_with
from ..findings import Severity
from ..policy import Policy
from ..profile.load import ProfileFile, load, load_bytes
from ..profile.text import NotAProfile, UnreadableProfile
from .file import add_findings, check_file, unreadable
from .pool import map_in_order
from .results import FileReport, KnownFinding, Summary
from .store import ReportStore

PolicyFor = Callable[[Path], Policy]
FIRST_FILES = 50
"""Earlier files kept at hand, that later ones contradict."""
Progress = Callable[[int, int], None]
"""Told how many targets of how many are done."""


@dataclass(frozen=True, slots=True)
class Target:
    """A file to check; `named` when the user named it, so that it must be a profile."""

    path: str
    named: bool = True


@dataclass(frozen=True, slots=True)
class Run:
    """The reports of a run in the order of the targets, and their summary.

    `reports` may be gone through again and again, and need not all be in memory at once.
    `stale` are entries of the known-findings file that no finding matches any more.
    """

    reports: Iterable[FileReport]
    summary: Summary
    fail_on: Severity = Severity.ERROR
    stale: tuple[KnownFinding, ...] = ()

    @property
    def exit_code(self) -> int:
        """0 nothing at or above `fail_on`, 1 findings, 2 a file not usable, 3 our own fault."""
        return self.summary.exit_code(self.fail_on)


def check_targets(
    targets: Sequence[Target],
    policy_for: PolicyFor,
    today: date,
    *,
    jobs: int | None = 1,
    progress: Progress | None = None,
) -> Run:
    """Check files; those a folder search brought that are no profiles are counted as skipped.

    With `jobs` other than 1 the work is shared by that many processes (None: by all processors)
    when there is enough of it, and `policy_for` must be a function of a module. Raises
    UnreadableProfile for a policy in error.
    """
    store = ReportStore()

    def reports() -> Iterator[FileReport]:
        ledger, first = Ledger(), lru_cache(maxsize=FIRST_FILES)(load)
        results = map_in_order(partial(_check_target, policy_for, today), targets, jobs)
        for done, (report, stated) in enumerate(results, 1):
            if report is not None:
                against = ledger.against(report.path, stated)
                yield _with_conflicts(report, against, first, policy_for, today)
            if progress is not None:
                progress(done, len(targets))

    summary = Summary.of(store.keep(reports()))
    return Run(store, replace(summary, skipped=len(targets) - summary.profiles))


def _check_target(
    policy_for: PolicyFor, today: date, target: Target
) -> tuple[FileReport | None, tuple[Claim, ...]]:
    """The report of one file and what it says that others may contradict.

    No report for a file that is no profile and was not named.
    """
    try:
        file = load(target.path, only_profiles=not target.named)
    except NotAProfile:
        return None, ()
    except UnreadableProfile as error:
        return unreadable(error), ()
    return check_file(file, policy_for(Path(target.path)), today), claims(file.profile)


def _with_conflicts(
    report: FileReport,
    against: Sequence[tuple[Claim, str]],
    first: Callable[[str], ProfileFile],
    policy_for: PolicyFor,
    today: date,
) -> FileReport:
    """The report with what contradicts earlier files; places are only now looked up."""
    if not against:
        return report
    try:
        file = load(report.path)
        findings = [conflict_with(claim, first(earlier)) for claim, earlier in against]
    except UnreadableProfile:  # changed or gone since it was read
        return report
    found = [finding for finding in findings if finding is not None]
    return add_findings(report, file, found, policy_for(Path(report.path)), today)


def check_content(content: bytes, name: str, policy: Policy, today: date) -> Run:
    """Check the bytes of one profile, from standard input for example."""
    try:
        file: ProfileFile = load_bytes(content, name)
    except UnreadableProfile as error:
        return finish([unreadable(error)], 0)
    return finish([check_file(file, policy, today)], 0)


def finish(reports: Iterable[FileReport], skipped: int) -> Run:
    """A run of these reports."""
    return Run(reports, Summary.of(reports, skipped))
