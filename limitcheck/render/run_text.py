"""Text for people: one block a finding, at most 80 columns, safe to print to a terminal."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable, Iterator

from ..checking.results import FileReport, KnownFinding, Summary, folded_findings
from ..checking.run import Run
from ..checks.engine import TURNED_OFF
from ..findings import Confidence, Finding, KeyPath, Location, Recommendation
from .lines import WIDTH, safe, wrap


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
    passed over, unless the policy turned a check off.
    """
    new = [finding for finding in report.findings if not finding.known]
    folded = folded_findings(new)
    taken = {id(item) for items in folded.values() for item in items}
    said: set[KeyPath] = set()
    for finding in new:
        if id(finding) in taken:
            continue
        typed = [item for item in finding.recommendations if item.path not in said]
        said.update(item.path for item in typed)
        yield finding_text(finding, folded.get(id(finding), ()), typed)
    off = any(skipped.reason.startswith(TURNED_OFF) for skipped in report.skipped_checks)
    if report.skipped_checks and (new or alone or off):
        yield skipped_block(report)


def finding_text(
    finding: Finding,
    explained: Iterable[Finding] = (),
    typed: Iterable[Recommendation] | None = None,
) -> str:
    """One finding: where, what, the line with a caret, what it means, what to do, what to type.

    `typed` is what to type, where not all that the finding has: a list says each number once.
    """
    headline, message = _headline(finding), _paragraph(finding.message)
    if finding.accepted is not None:
        until = f" until {finding.accepted.until}" if finding.accepted.until else ""
        reason = f"Accepted by {finding.accepted.by}{until}: {finding.accepted.reason}"
        return "\n".join([headline, *message, *_paragraph(reason)]) + "\n"
    lines = [headline, *caret_lines(finding.location), *message]
    lines += _paragraph(finding.advice, "Do: ")
    for item in finding.recommendations if typed is None else typed:
        word = "Type" if item.path[0] == "cutoffs" else "Write"
        sure = "" if item.confidence is Confidence.CERTAIN else f"   ({item.confidence.value})"
        lines.append(f"  {word}: {item.text}{sure}")
    if finding.withheld and not finding.recommendations:
        lines += _paragraph(f"{finding.withheld}.", "Nothing to type: ")
    for related in finding.related:
        if related.location is not None:
            lines += wrap(f"See {place_text(related.location)}: {related.message}", "  ", "    ")
    settled = dict.fromkeys(map(_settled, explained))
    lines += _paragraph(", ".join(settled), "Correcting this also removes: ") if settled else []
    return "\n".join(lines) + "\n"


def _settled(finding: Finding) -> str:
    return finding.check + (f" (line {finding.location.line})" if finding.location else "")


def _headline(finding: Finding) -> str:
    grade = "accepted" if finding.accepted is not None else finding.severity.value
    sure = "" if finding.confidence is Confidence.CERTAIN else f", {finding.confidence.value}"
    return f"{place_text(finding.location)}: {grade}: {finding.check}{sure}"


def place_text(location: Location | None) -> str:
    """path:line:column, safe to print."""
    return "profile" if location is None else safe(location.text)


def caret_lines(location: Location | None) -> list[str]:
    """The source line and a row of carets under the stretch that is meant."""
    if location is None or not location.source_line.strip():
        return []
    line = location.source_line
    prefix = f"  {location.line} | "
    room = WIDTH - len(prefix)
    before = safe(line[: location.column - 1])
    end = location.end_column - 1 if location.end_line == location.line else len(line)
    marked = safe(line[location.column - 1 : max(end, location.column)])
    after = safe(line[location.column - 1 + max(end - location.column + 1, 1) :])
    if len(before) > room // 2:
        before = "..." + before[-(room // 2) + 3 :]
    carets = " " * _columns(before) + "^" * max(1, min(_columns(marked), room - _columns(before)))
    shown = (before + marked + after)[:room]
    return [f"{prefix}{shown}".rstrip(), f"{' ' * (len(prefix) - 2)}| {carets}"]


def _columns(text: str) -> int:
    """Terminal columns: wide characters take two, combining marks none."""
    return sum(
        0 if unicodedata.combining(c) else 2 if unicodedata.east_asian_width(c) in "WF" else 1
        for c in text
    )


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
    """The entries of the file of known findings that no longer occur."""
    lines = ["Known findings that no longer occur:"]
    for entry in stale:
        lines += _paragraph(f"{entry.file}: {entry.check}: {entry.at}")
    lines += _paragraph("Write the file of known findings again: --write-known FILE.", "Do: ")
    return "\n".join(lines) + "\n"


def summary_line(summary: Summary) -> str:
    """The last line: what was looked at and how many findings of each grade."""
    parts = [_count(summary.profiles, "profile")]
    if summary.unreadable:
        parts.append(f"{summary.unreadable} unreadable")
    if summary.skipped:
        parts.append(f"{_count(summary.skipped, 'other file')} skipped")
    counts = [
        _count(summary.errors, "error"),
        _count(summary.warnings, "warning"),
        _count(summary.notes, "note"),
    ]
    if summary.accepted:
        counts.append(f"{summary.accepted} accepted")
    if summary.known:
        counts.append(f"{summary.known} known")
    return f"{', '.join(parts)}: {', '.join(counts)}"


def _count(number: int, word: str) -> str:
    return f"{number} {word}{'' if number == 1 else 's'}"
