"""Text for people: one block a finding, at most 80 columns, safe to print to a terminal."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING

from ..checking.results import FileReport, KnownFinding, Summary, count
from ..checking.run import Run
from ..checks.documentation import SWITCHED
from ..checks.required import CORE, required
from ..policy import Policy, changes
from .lines import caret_lines, finding_headline, safe, wrap
from .shared_faults import SharedFaults

if TYPE_CHECKING:
    from ..checking.looked import Looked
    from ..documents.blocks import FindingBlock


def render(run: Run) -> Iterator[str]:
    """The run as text, in pieces, without colour."""
    alone, block = run.summary.profiles == 1, "\n"
    shared = SharedFaults(run)
    for report in run.reports:
        for block in file_blocks(report, shared, alone=alone):
            yield block + "\n"
    if run.stale:
        yield (block := stale_block(run.stale)) + "\n"
    for settings in settings_block(run.policies):
        yield settings if block.endswith("\n") else f"\n{settings}"
    yield from verdict_lines(run)


def render_quiet(run: Run) -> Iterator[str]:
    """Only the findings that fail the run, and the verdict."""
    shared = SharedFaults(run)
    for report in run.reports:
        if report.status == "unreadable":
            yield from (finding_text(block) + "\n" for block in shared.blocks(report))
        elif failing := [finding for finding in report.findings if report.fails(finding)]:
            from ..documents.findings import finding_blocks

            for block in finding_blocks(failing):
                yield finding_text(block) + "\n"
    yield from verdict_lines(run)


def render_summary(run: Run) -> Iterator[str]:
    """One line a profile, then how many findings of each check, and the verdict."""
    from ..documents.findings import verdict

    found: dict[tuple[str, str], int] = {}
    for report in run.reports:
        yield from (f"{line}\n" for line in wrap(f"{report.path}: {verdict(report)}", "", "  "))
        for finding in report.findings:
            grade = (
                "accepted" if finding.accepted else "known" if finding.known else finding.severity
            )
            found[grade, finding.check] = found.get((grade, finding.check), 0) + 1
    if found:
        yield "\nFindings by check:\n"
    for grade, check in sorted(found, key=lambda key: (-found[key], key)):
        yield f"  {found[grade, check]:>6}  {check} ({grade})\n"
    yield "\n"
    yield from settings_block(run.policies)
    yield from verdict_lines(run)


def render_verbose(run: Run) -> Iterator[str]:
    """All of it, then the name of everything that was skipped, and why."""
    yield from render(run)
    if run.looked.skipped:
        yield "\nSkipped:\n"
    for item in run.looked.skipped:
        yield "".join(f"{line}\n" for line in wrap(item.text, "  ", "    "))


FORMS = {
    "full": render,
    "quiet": render_quiet,
    "summary": render_summary,
    "verbose": render_verbose,
}
"""Forms of the text on a screen."""


def settings_block(policies: Iterable[Policy]) -> Iterator[str]:
    """What policies and the command line change, with the SHA-256 of each file."""
    every = list(policies)
    if not any(map(changes, every)):
        return
    from ..documents.settings import HEADING, changed_by

    lines = [f"{HEADING}:"]
    for changed in (changed for changed in changed_by(every) if changed.settings):
        lines += wrap(changed.where, "  ")
        lines += [f"    SHA-256 {changed.sha256}"] if changed.sha256 else []
        for item in changed.settings:
            lines += wrap(item.text, "    ", "      ")
    yield "\n".join(lines) + "\n\n"


def verdict_lines(run: Run) -> Iterator[str]:
    """The end of every form: what was looked at, how much was found, what was turned off."""
    if run.failure is not None:
        from ..documents.findings import finding_blocks

        yield from (finding_text(block) + "\n" for block in finding_blocks(run.failure.findings))
        yield "This run failed: it has no result.\n"
    else:
        told = "; ".join([summary_line(run.summary), *whispers(run.policies)])
        yield "".join(f"{line}\n" for line in wrap(told))
    yield from looked_lines(run.looked)


def looked_lines(looked: Looked) -> Iterator[str]:
    """What was skipped, and why."""
    for sentence in looked.sentences:
        yield "".join(f"{line}\n" for line in wrap(f"{sentence}.", "", "  "))


def whispers(policies: Iterable[Policy]) -> Iterator[str]:
    """What makes a run say less than by default, in few words for its last line."""
    every = list(policies)
    off: set[str] = set()
    graded: set[str] = set()
    let_be: set[str] = set()
    for policy in every:
        off |= {check for check in SWITCHED if policy.turned_off(check)}
        let_be |= CORE - required(policy.required)
        graded |= {check for check, grade in policy.severities.items() if grade is not None}
    if off:
        yield f"{count(len(off), 'check')} turned off"
    if graded - off:
        yield f"{count(len(graded - off), 'check')} regraded"
    if let_be - off:
        yield f"{count(len(let_be - off), 'core check')} not required"
    if any(policy.fails_on == "never" for policy in every):
        yield "no finding fails (--fail-on never)"


def file_blocks(report: FileReport, shared: SharedFaults, *, alone: bool = True) -> Iterator[str]:
    """The findings of a file, explained ones folded, then how the checks came out.

    Known findings are only counted, in the summary. What would decide a check is said of a file
    that was checked alone.
    """
    if report.status == "unreadable":
        yield from map(finding_text, shared.blocks(report))
        return
    if new := [finding for finding in report.findings if not finding.known]:
        from ..documents.findings import finding_blocks

        yield from map(finding_text, finding_blocks(new))
    yield account_block(report, alone=alone)


def finding_text(block: FindingBlock) -> str:
    """One finding: where, what, the line with a caret, what it means, what to do, what to type."""
    lines = [finding_headline(block), *caret_lines(block), *_paragraph(block.message)]
    if block.advice:
        lines += _paragraph(block.advice, "Do: ")
    lines += (f"  {safe(item.line)}" for item in block.to_type)
    for remark in block.remarks:
        lines += wrap(remark, "  ", "    ")
    return "\n".join(lines) + "\n"


def _paragraph(text: str, label: str = "") -> list[str]:
    return wrap(text, f"  {label}", "  ")


def account_block(report: FileReport, *, alone: bool) -> str:
    """How the checks of a file came out; with `alone`, which are not decided and what to add."""
    if not alone or not report.undecided:
        return "\n".join(wrap(f"{report.path}: {report.account}", "", "  "))
    lines = wrap(f"{report.path}: {report.account.partition(' (')[0]}", "", "  ")
    by_reason: dict[tuple[str, str], list[str]] = {}
    for item in report.undecided:
        by_reason.setdefault((item.reason, item.add), []).append(item.check)
    for (reason, add), checks in by_reason.items():
        to_add = f" To decide: add {add}." if add else ""
        lines += _paragraph(f"Not decided, {reason}: {', '.join(checks)}.{to_add}")
    return "\n".join(lines) + "\n"


def stale_block(stale: Iterable[KnownFinding]) -> str:
    """The known findings that no longer occur."""
    lines = ["Known findings that no longer occur:"]
    for entry in stale:
        lines += _paragraph(f"{entry.file}: {entry.check}: {entry.at} = {entry.value}")
    lines += _paragraph("Write the known-findings file again: --write-known FILE.", "Do: ")
    return "\n".join(lines) + "\n"


def summary_line(summary: Summary) -> str:
    """The last line: what was looked at and how many findings of each grade."""
    parts = [count(summary.profiles, "profile")]
    if summary.unreadable:
        parts.append(f"{summary.unreadable} unreadable")
    counts = [
        count(summary.errors, "error"),
        count(summary.warnings, "warning"),
        count(summary.notes, "note"),
    ]
    if summary.accepted:
        counts.append(f"{summary.accepted} accepted")
    if summary.known:
        counts.append(f"{summary.known} known")
    return f"{', '.join(parts)}: {', '.join(counts)}"
