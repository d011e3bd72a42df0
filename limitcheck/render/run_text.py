"""Text for people: one block a finding, at most 80 columns, safe to print to a terminal."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING

from ..checking.results import FileReport, KnownFinding, Summary, count
from ..checking.run import Run
from ..checks.engine import TURNED_OFF
from .lines import caret_lines, finding_headline, safe, wrap

if TYPE_CHECKING:
    from ..documents.blocks import FindingBlock


def render(run: Run) -> Iterator[str]:
    """The run as text, in pieces, without colour."""
    alone = run.summary.profiles == 1
    for report in run.reports:
        for block in file_blocks(report, alone=alone):
            yield block + "\n"
    if run.stale:
        yield stale_block(run.stale) + "\n"
    yield summary_line(run.summary) + "\n"


def file_blocks(report: FileReport, *, alone: bool = True) -> Iterator[str]:
    """The findings of a file, explained ones folded, then the checks that were skipped.

    Known findings are only counted, in the summary. Among other files, one without findings is
    left out, unless the policy turned a check off.
    """
    new = [finding for finding in report.findings if not finding.known]
    if new:
        from ..documents.findings import finding_blocks

        yield from map(finding_text, finding_blocks(new))
    off = any(skipped.reason.startswith(TURNED_OFF) for skipped in report.skipped_checks)
    if report.skipped_checks and (new or alone or off):
        yield skipped_block(report)


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


def skipped_block(report: FileReport) -> str:
    """The checks that could not run on a file, grouped by reason."""
    by_reason: dict[str, list[str]] = {}
    for skipped in report.skipped_checks:
        by_reason.setdefault(skipped.reason, []).append(skipped.check)
    lines = [f"{safe(report.path)}: not checked"]
    for reason, checks in by_reason.items():
        lines += _paragraph(f"{reason}: {', '.join(checks)}")
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
    if summary.skipped:
        parts.append(f"{count(summary.skipped, 'other file')} skipped")
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
