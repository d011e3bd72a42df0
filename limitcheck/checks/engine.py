"""Runs the checks over one profile: order, grades, acceptances, places, crashes."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import date
from typing import TYPE_CHECKING

from ..findings import Acceptance, Finding, KeyPath, Location, Severity, path_text
from ..policy import Policy
from ..profile.load import ProfileFile, UnreadableProfile
from ..profile.model import AcceptedFinding, Profile
from . import CHECKS, Check, Skip, Subject, check_name
from .acceptances import acceptance_findings, is_expired
from .anchor import anchor
from .results import CRASHED, TURNED_OFF, FileReport, SkippedCheck
from .which_unit import corrected

if TYPE_CHECKING:
    from ..profile.merged import SharedPart

Locate = Callable[[KeyPath], Location | None]


def check_file(
    file: ProfileFile, policy: Policy, today: date, checks: Sequence[Check] = CHECKS
) -> FileReport:
    """Every finding of one readable profile, with places."""
    shared = file.merged.parts if file.merged is not None else None
    findings, skipped = check_profile(file.profile, policy, today, checks, shared)
    placed = tuple(_placed(finding, file) for finding in findings)
    return FileReport(
        file.path,
        file.sha256,
        file.profile.method.id,
        file.profile.instrument.id,
        "findings" if placed else "ok",
        placed,
        skipped,
        file.uses,
    )


def unreadable(error: UnreadableProfile) -> FileReport:
    """The report of a file that cannot be used."""
    return FileReport(error.path, None, None, None, "unreadable", error.findings)


def check_profile(
    profile: Profile,
    policy: Policy,
    today: date,
    checks: Sequence[Check] = CHECKS,
    shared: Mapping[int, tuple[SharedPart, ...]] | None = None,
) -> tuple[tuple[Finding, ...], tuple[SkippedCheck, ...]]:
    """Findings in report order, and the checks that could not run; no places are looked up."""
    subject = Subject(profile, policy, today, shared or {})
    findings, skipped = _run(subject, checks)
    confused = [f for f in findings if f.check == "unit-confusion"]
    if confused:
        findings = _with_explained(findings, confused, subject, checks)
    return tuple(_finish(findings, profile.accepted, policy, today)), tuple(skipped)


def _run(subject: Subject, checks: Sequence[Check]) -> tuple[list[Finding], list[SkippedCheck]]:
    policy = subject.policy
    findings: list[Finding] = []
    skipped: list[SkippedCheck] = []
    for check in checks:
        name = check_name(check)
        if policy.severities.get(name, Severity.ERROR) is None:
            skipped.append(SkippedCheck(name, f"{TURNED_OFF} in {policy.source}"))
            continue
        try:
            findings.extend(check(subject))
        except Skip as skip:
            skipped.append(SkippedCheck(name, str(skip)))
        except Exception as error:
            findings.append(_crashed(name, error))
    return findings, skipped


def _with_explained(
    findings: list[Finding], confused: list[Finding], subject: Subject, checks: Sequence[Check]
) -> list[Finding]:
    """The findings, where the first about units lists those that correcting the units settles."""
    suggestions = [s for finding in confused for s in (finding.suggestion, *finding.also) if s]
    after, _ = _run(replace(subject, profile=corrected(subject.profile, suggestions)), checks)
    left = {(finding.check, finding.path) for finding in after}
    settled = [
        [finding.check, *finding.path]
        for finding in findings
        if finding not in confused and (finding.check, finding.path) not in left
    ]
    first = confused[0]
    explaining = replace(first, data={**first.data, "explains": settled})
    return [explaining if finding is first else finding for finding in findings]


def _finish(
    findings: Sequence[Finding], accepted: Sequence[AcceptedFinding], policy: Policy, today: date
) -> Iterator[Finding]:
    used: set[int] = set()
    for finding in findings:
        settled, index = _settle(finding, accepted, policy, today)
        if index is not None:
            used.add(index)
        yield settled
    if any(finding.check == "unit-confusion" for finding in findings):
        used = set(range(len(accepted)))  # an acceptance may fit once the numbers are right
    for finding in acceptance_findings(accepted, used, today):
        yield _grade(finding, policy)


def add_findings(
    report: FileReport, file: ProfileFile, findings: Iterable[Finding], policy: Policy, today: date
) -> FileReport:
    """The report with findings that came of other files, under the file's own acceptances."""
    added = tuple(
        _placed(_settle(finding, file.profile.accepted, policy, today)[0], file)
        for finding in findings
        if policy.severities.get(finding.check, Severity.ERROR) is not None
    )
    if not added:
        return report
    return replace(report, status="findings", findings=(*report.findings, *added))


def _placed(finding: Finding, file: ProfileFile) -> Finding:
    return replace(locate(finding, file.locate), anchor=anchor(file.profile, finding.path))


def _settle(
    finding: Finding, accepted: Sequence[AcceptedFinding], policy: Policy, today: date
) -> tuple[Finding, int | None]:
    """The finding with its grade and acceptance, and which entry covers it."""
    graded = _grade(finding, policy)
    index = next((i for i, a in enumerate(accepted) if _covers(a, finding)), None)
    if index is not None and not is_expired(accepted[index], today):
        entry = accepted[index]
        graded = replace(graded, accepted=Acceptance(entry.reason, entry.by, entry.until))
    return graded, index


def _grade(finding: Finding, policy: Policy) -> Finding:
    grade = policy.severities.get(finding.check)
    return finding if grade in (None, finding.severity) else replace(finding, severity=grade)


def _covers(accepted: AcceptedFinding, finding: Finding) -> bool:
    if accepted.check != finding.check or finding.check == CRASHED:
        return False
    return accepted.where is None or path_text(finding.path).startswith(accepted.where)


def locate(finding: Finding, where: Locate) -> Finding:
    """The finding with the place of its key path and of each related path."""
    related = tuple(
        replace(item, location=where(item.path)) if item.location is None else item
        for item in finding.related
    )
    return replace(finding, location=finding.location or where(finding.path), related=related)


def _crashed(name: str, error: Exception) -> Finding:
    return Finding(
        CRASHED,
        Severity.ERROR,
        f"The check {name} failed on this profile: {type(error).__name__}: {error}. The other "
        "checks ran.",
        "This is a fault of limitcheck, not of the profile: please report it with the file.",
        data={"check": name},
    )
