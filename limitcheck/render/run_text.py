"""Text for people: one block a finding, at most 80 columns, safe to print to a terminal."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING

from ..checking.results import FileReport, KnownFinding, Summary, count
from ..checking.run import Run
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
    """The findings of a file, explained ones folded, then how the checks came out.

    Known findings are only counted, in the summary. What would decide a check is said of a file
    that was checked alone.
    """
    new = [finding for finding in report.findings if not finding.known]
    if new:
        from ..documents.findings import finding_blocks

        yield from map(finding_text, finding_blocks(new))
    if report.status != "unreadable":
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
        lines += _paragraph(f"{entry.file}: {entry.check}: {entry.at}")
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
