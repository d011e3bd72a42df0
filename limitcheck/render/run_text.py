"""Text for people: one block a finding, no line too long, safe to print to a terminal.

Of several profiles a table comes first, and details only of those with an error or a finding that
fails the run; `--verbose` and files have the details of all.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Sequence
from typing import TYPE_CHECKING

from ..checking.results import FileReport, KnownFinding, Summary, count
from ..checking.run import Run
from ..checks.documentation import SWITCHED
from ..checks.required import CORE, required
from ..findings import Finding, Severity
from ..policy import Policy, changes
from .finding_text import finding_text, paragraph
from .lines import wrap
from .run_table import profile_table
from .scale_text import scale_lines
from .screen import PAPER, Role, Screen
from .shared_faults import SharedFaults

if TYPE_CHECKING:
    from ..checking.looked import Looked


_COUNTED = re.compile(r"\b(?!0 )\d+ (error|warning|note)s?\b|\b\d+ (unreadable)\b")


def render(run: Run, screen: Screen = PAPER) -> Iterator[str]:
    """The run as text, in pieces: of several profiles only what cannot wait in detail."""
    return _all(run, screen, _details if run.summary.profiles == 1 else _errors)


def _details(report: FileReport) -> Sequence[Finding]:
    """What is told in detail: all but known findings, which are only counted."""
    return [finding for finding in report.findings if not finding.known]


def _errors(report: FileReport) -> Sequence[Finding]:
    """Errors, and what fails the run."""
    return [f for f in _open(report) if report.fails(f) or f.severity is Severity.ERROR]


def _open(report: FileReport) -> Sequence[Finding]:
    return [f for f in report.findings if f.accepted is None and not f.known]


def _all(
    run: Run, screen: Screen, details: Callable[[FileReport], Sequence[Finding]]
) -> Iterator[str]:
    alone, block, left = run.summary.profiles == 1, "\n", 0
    if run.summary.profiles > 1:
        yield from (f"{line}\n" for line in profile_table(run, screen))
        yield "\n"
    shared = SharedFaults(run)
    for report in run.reports:
        shown = details(report)
        left += len(_open(report)) - sum(finding.accepted is None for finding in shown)
        if not shown and details is _errors:
            continue
        for block in file_blocks(report, shared, shown, alone=alone, screen=screen):
            yield block + "\n"
        if details is _errors and not block.endswith("\n"):
            yield (block := "\n")
    if left:
        told = f"{count(left, 'lesser finding')} not shown: --verbose shows all."
        yield "".join(f"{line}\n" for line in wrap(told, width=screen.width))
        block = ""
    if run.stale:
        yield (block := stale_block(run.stale, screen)) + "\n"
    for settings in settings_block(run.policies, screen):
        yield settings if block.endswith("\n") else f"\n{settings}"
    yield from verdict_lines(run, screen)


def render_quiet(run: Run, screen: Screen = PAPER) -> Iterator[str]:
    """Only the findings that fail the run, and the verdict."""
    shared = SharedFaults(run)
    for report in run.reports:
        if report.status == "unreadable":
            yield from (finding_text(block, screen) + "\n" for block in shared.blocks(report))
        elif failing := shared.not_said([f for f in report.findings if report.fails(f)]):
            from ..documents.findings import finding_blocks

            for block in finding_blocks(failing):
                yield finding_text(block, screen) + "\n"
    yield from verdict_lines(run, screen)


def render_summary(run: Run, screen: Screen = PAPER) -> Iterator[str]:
    """One line a profile, then how many findings of each check, and the verdict."""
    from ..documents.findings import verdict

    found: dict[tuple[str, str], int] = {}
    for report in run.reports:
        told = wrap(f"{report.name}: {verdict(report)}", "", "  ", width=screen.width)
        yield from (f"{_counts_painted(line, screen)}\n" for line in told)
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
    yield from settings_block(run.policies, screen)
    yield from verdict_lines(run, screen)


def render_verbose(run: Run, screen: Screen = PAPER) -> Iterator[str]:
    """The details of all, then the name of everything that was skipped, and why."""
    yield from _all(run, screen, _details)
    if run.looked.skipped:
        yield "\nSkipped:\n"
    for item in run.looked.skipped:
        told = wrap(item.text, "  ", "    ", width=screen.width)
        yield "".join(f"{line}\n" for line in told)


FORMS = {
    "full": render,
    "quiet": render_quiet,
    "summary": render_summary,
    "verbose": render_verbose,
}
"""Forms of the text on a screen."""


def _counts_painted(line: str, screen: Screen) -> str:
    """The counts that are not zero, in the colour of their grade."""
    if not screen.colours:
        return line

    def painted(found: re.Match[str]) -> str:
        grade = found[1] or found[2]
        role: Role = "error" if grade == "unreadable" else Severity(grade).value
        return screen.paint(role, found[0])

    return _COUNTED.sub(painted, line)


def settings_block(policies: Iterable[Policy], screen: Screen = PAPER) -> Iterator[str]:
    """What policies and the command line change, with the SHA-256 of each file."""
    every = list(policies)
    if not any(map(changes, every)):
        return
    from ..documents.settings import HEADING, changed_by

    lines = [f"{HEADING}:"]
    for changed in (changed for changed in changed_by(every) if changed.settings):
        lines += wrap(changed.where, "  ", width=screen.width)
        lines += [f"    SHA-256 {changed.sha256}"] if changed.sha256 else []
        for item in changed.settings:
            lines += wrap(item.text, "    ", "      ", width=screen.width)
    yield "\n".join(lines) + "\n\n"


def verdict_lines(run: Run, screen: Screen = PAPER) -> Iterator[str]:
    """The end of every form: what was looked at, how much was found, what was turned off."""
    if run.failure is not None:
        from ..documents.findings import finding_blocks

        failed = finding_blocks(run.failure.findings)
        yield from (finding_text(block, screen) + "\n" for block in failed)
        yield "This run failed: it has no result.\n"
    else:
        told = "; ".join([summary_line(run.summary), *whispers(run.policies)])
        lines = wrap(told, width=screen.width)
        yield "".join(f"{_counts_painted(line, screen)}\n" for line in lines)
    yield from looked_lines(run.looked, screen)


def looked_lines(looked: Looked, screen: Screen = PAPER) -> Iterator[str]:
    """What was skipped, and why."""
    for sentence in looked.sentences:
        lines = wrap(f"{sentence}.", "", "  ", width=screen.width)
        yield "".join(f"{line}\n" for line in lines)


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


def file_blocks(
    report: FileReport,
    shared: SharedFaults,
    findings: Sequence[Finding],
    *,
    alone: bool = True,
    screen: Screen = PAPER,
) -> Iterator[str]:
    """These findings of a file, explained ones folded, then how all its checks came out.

    What would decide a check is said of a file that was checked alone. The pressure scale stands
    under the first finding about a cutoff.
    """
    if report.status == "unreadable":
        yield from (finding_text(block, screen) for block in shared.blocks(report))
        return
    if findings := shared.not_said(findings):
        from ..documents.findings import finding_blocks

        marks = report.marks
        for block in finding_blocks(findings):
            scale = ""
            if marks is not None and block.about_cutoff:
                scale, marks = "".join(f"{line}\n" for line in scale_lines(marks, screen, 2)), None
            yield finding_text(block, screen) + scale
    yield account_block(report, alone=alone, screen=screen)


def account_block(report: FileReport, *, alone: bool, screen: Screen = PAPER) -> str:
    """How the checks of a file came out; with `alone`, which are not decided and what to add."""
    if not alone or not report.undecided:
        return "\n".join(wrap(f"{report.name}: {report.account}", "", "  ", width=screen.width))
    told = f"{report.name}: {report.account.partition(' (')[0]}"
    lines = wrap(told, "", "  ", width=screen.width)
    by_reason: dict[tuple[str, str], list[str]] = {}
    for item in report.undecided:
        by_reason.setdefault((item.reason, item.add), []).append(item.check)
    for (reason, add), checks in by_reason.items():
        to_add = f" To decide: add {add}." if add else ""
        lines += paragraph(f"Not decided, {reason}: {', '.join(checks)}.{to_add}", screen)
    return "\n".join(lines) + "\n"


def stale_block(stale: Iterable[KnownFinding], screen: Screen = PAPER) -> str:
    """The known findings that no longer occur."""
    lines = ["Known findings that no longer occur:"]
    for entry in stale:
        lines += paragraph(f"{entry.file}: {entry.check}: {entry.at} = {entry.value}", screen)
    lines += paragraph("Write the known-findings file again: --write-known FILE.", screen, "Do:")
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
