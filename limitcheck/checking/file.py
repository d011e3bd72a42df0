"""One file: its checks, what to type, and the places in its text that findings speak of."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from datetime import date

from ..checks import CHECKS, Check
from ..checks.acceptances import under_acceptances
from ..checks.engine import Examined, check_profile, graded
from ..checks.repository import CONFLICTS_IN_NUMBERS, REPOSITORY_CHECKS
from ..checks.required import not_decided, required
from ..checks.subject import TURNED_OFF
from ..findings import (
    NOT_DECIDED,
    Finding,
    KeyPath,
    Location,
    Recommendation,
    Undecided,
    Withheld,
    path_text,
)
from ..policy import Policy
from ..profile.load import ProfileFile
from ..profile.text import UnreadableProfile
from .doubts import CUTOFFS, band_doubt
from .marks import Marks, marks_of
from .recommendations import recommend
from .results import FileReport

Locate = Callable[[KeyPath], Location | None]


def check_file(
    file: ProfileFile,
    policy: Policy,
    today: date,
    checks: Sequence[Check] = CHECKS,
    *,
    propose: bool = False,
) -> FileReport:
    """Everything found in a readable profile, with places and what to type.

    With `propose`, what to type is said of both cutoffs, whether a finding asks for it or not.
    """
    shared = file.merged.parts if file.merged is not None else None
    examined = check_profile(file.profile, policy, today, checks, shared)
    method, instrument = file.profile.method.id, file.profile.instrument.id
    report = FileReport(
        file.path, file.sha256, method, instrument, "ok", (), examined.undecided, file.uses
    )._replace(policy=policy, band_doubt=band_doubt(examined))
    if file.profile.source:
        examined = _with_sources(examined, file)
        report = report._replace(undecided=examined.undecided)
    if not examined.findings and not examined.undecided and not propose:
        return report
    advised = recommend(examined, propose=propose)
    typed = tuple(_here(item, file) for item in advised.recommendations)
    found = (*advised.findings, *left_open(examined))
    findings = tuple(_with_typed(_placed(f, file), typed) for f in found)
    return report._replace(
        status="findings" if findings else "ok",
        findings=findings,
        recommendations=typed,
        withheld=advised.withheld,
        marks=_marks(file, findings, report.band_doubt),
    )


def _marks(file: ProfileFile, findings: Iterable[Finding], doubt: str) -> Marks | None:
    about = any(f.path[:1] == ("cutoffs",) and f.accepted is None for f in findings)
    return marks_of(file.profile, doubt=doubt) if about else None


def _with_sources(examined: Examined, file: ProfileFile) -> Examined:
    """With what came of the files that the profile was made from."""
    from .sources import changes_of_sources

    subject, told = examined.subject, list(changes_of_sources(file))
    policy, name = subject.policy, "source-changed"
    off = policy.turned_off(name)
    if off:
        skipped = Undecided(name, f"{TURNED_OFF} {off}")
        return examined._replace(undecided=(*examined.undecided, skipped))
    found = [item for item in told if isinstance(item, Finding)]
    settled = under_acceptances(found, subject.profile, policy, subject.today, later={name})
    return examined._replace(
        findings=(*examined.findings, *graded(settled, policy)),
        undecided=(*examined.undecided, *(item for item in told if isinstance(item, Undecided))),
    )


def left_open(examined: Examined) -> Iterator[Finding]:
    """What is required and not decided, graded and with acceptances like any other finding."""
    subject, policy = examined.subject, examined.subject.policy
    told = {f.check for f in examined.findings if f.accepted is not None or policy.fails(f)}
    wanted = {name for name in required(policy.required) if not policy.off_by_command(name)}
    found = not_decided(examined.undecided, wanted, told, subject.profile.cutoffs)
    settled = under_acceptances(found, subject.profile, policy, subject.today, later={NOT_DECIDED})
    return graded(settled, policy)


def _with_typed(finding: Finding, typed: Iterable[Recommendation]) -> Finding:
    """The finding with what to type at its place, and what belongs to the same correction."""
    if finding.accepted is not None:
        return finding
    meant = (finding.suggestion, *finding.also)
    paths = {finding.path, *(suggestion.path for suggestion in meant if suggestion is not None)}
    return finding._replace(recommendations=tuple(item for item in typed if item.path in paths))


def unreadable(error: UnreadableProfile, policy: Policy) -> FileReport:
    """The report of a file that cannot be used."""
    return FileReport(error.path, None, None, None, "unreadable", error.findings, policy=policy)


def add_findings(
    report: FileReport, file: ProfileFile, findings: Iterable[Finding], policy: Policy, today: date
) -> FileReport:
    """The report with findings that came of other files, under the file's own acceptances."""
    on = [finding for finding in findings if not policy.turned_off(finding.check)]
    settled = under_acceptances(on, file.profile, policy, today, later=REPOSITORY_CHECKS.keys())
    added = tuple(_placed(finding, file) for finding in graded(settled, policy))
    if not added:
        return report
    return _in_doubt(report, added)._replace(status="findings", findings=(*report.findings, *added))


def _in_doubt(report: FileReport, added: Iterable[Finding]) -> FileReport:
    """Without anything to type, where files give the instrument two units or a part two ratings."""
    doubts = [f for f in added if f.accepted is None and f.check in CONFLICTS_IN_NUMBERS]
    if not doubts:
        return report
    reason = f"{path_text(doubts[0].path)} is in doubt ({doubts[0].check})"
    cutoffs = {item.path for item in report.recommendations if item.path in CUTOFFS}
    withheld = (*report.withheld, *(Withheld(path, reason) for path in sorted(cutoffs)))
    findings = tuple(
        f._replace(recommendations=(), withheld=reason) if f.recommendations else f
        for f in report.findings
    )
    return report._replace(findings=findings, recommendations=(), withheld=withheld)


def _here(item: Recommendation, file: ProfileFile) -> Recommendation:
    """With its place; a value of a shared file is corrected there, by hand."""
    location = file.locate(item.path)
    if location is not None and location.file != file.path and not item.why_not_written:
        item = item._replace(why_not_written=f"the value stands in {location.file}")
    return item._replace(location=location)


def _placed(finding: Finding, file: ProfileFile) -> Finding:
    return locate(finding, file.locate)


def locate(finding: Finding, where: Locate) -> Finding:
    """The finding with the place of its key path and of each related path."""
    related = tuple(
        item._replace(location=where(item.path)) if item.location is None else item
        for item in finding.related
    )
    return finding._replace(location=finding.location or where(finding.path), related=related)
