"""The findings of a file, as blocks of a document and as the plain data of JSON."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import Any

from ..checking.results import FileReport, count, folded_findings, weight
from ..checking.root import shown_path, shown_text
from ..checking.run import Run
from ..findings import Confidence, Finding, Limit, Location, Recommendation, path_text
from .blocks import Block, FindingBlock, Section, Table, Text, ToType
from .data import frame, number_data, path_data, plain_data
from .looked import looked_data
from .settings import policies_data


def verdict(report: FileReport) -> str:
    """What came out of the checks, in a few words: counts, and how many checks are not decided."""
    if report.status == "unreadable":
        return "cannot be read, nothing was checked"
    return counts_text(report.counts, len(report.undecided))


def counts_text(counts: Iterable[tuple[str, int]], undecided: int) -> str:
    """Findings by grade, and how many checks are not decided."""
    told = [
        f"{number} {word}" if word in ("accepted", "known") else count(number, word)
        for word, number in counts
        if number
    ]
    off = f"; {count(undecided, 'check')} not decided" if undecided else ""
    return f"{', '.join(told) or 'no findings'}{off}"


def findings_section(report: FileReport) -> Section:
    """Every finding with its advice, then how the checks came out."""
    blocks: list[Block] = [*finding_blocks(report.findings)] or [Text("No findings.")]
    if report.status != "unreadable":
        blocks.append(Text(f"{report.account.partition(' (')[0]}."))
    if report.undecided:
        rows = tuple((item.check, item.reason, item.add) for item in report.undecided)
        blocks.append(Table("Checks not decided", ("Check", "Why", "What to add"), rows))
    if report.holds:
        blocks.append(Text(f"These hold: {', '.join(report.holds)}."))
    return Section("Findings", tuple(blocks))


def finding_blocks(findings: Sequence[Finding], *, typed: bool = True) -> Iterator[FindingBlock]:
    """A block for each finding, the worst first; each number is said once.

    Those that another explains, and that are no worse, are folded into that.
    Without `typed` no number is said, where the answer has said it before.
    """
    folded = folded_findings(findings)
    taken = {id(item) for items in folded.values() for item in items}
    said: set[tuple[str | int, ...]] = set()

    for finding in sorted(findings, key=weight):
        if id(finding) not in taken:
            new = [item for item in finding.recommendations if item.path not in said and typed]
            said.update(item.path for item in new)
            yield finding_block(finding, folded.get(id(finding), ()), new)


def finding_block(
    finding: Finding,
    explained: Iterable[Finding] = (),
    typed: Iterable[Recommendation] | None = None,
) -> FindingBlock:
    """A finding as a block; `typed` is what to type where that is not all that the finding has.

    Of an accepted one there is nothing to do: it says who answers for it.
    """
    accepted, place = finding.accepted, finding.location
    head = finding.grade, finding.check, _sure(finding.confidence)
    where = "profile" if place is None else place.text
    if accepted is not None:
        remarks = (accepted.text, *filter(None, [finding.regraded]))
        return FindingBlock(*head, where, finding.message, remarks=remarks)
    shown = finding.recommendations if typed is None else tuple(typed)
    block = FindingBlock(
        *head,
        where,
        finding.message,
        finding.advice,
        tuple(map(to_type, shown)),
        tuple(filter(None, (*(item.then_text for item in shown), *_remarks(finding, explained)))),
        about_cutoff=finding.path[:1] == ("cutoffs",),
    )
    if place is None or place.in_workbook:
        return block
    end = place.end_column - 1 if place.end_line == place.line else len(place.source_line)
    marked = place.column - 1, max(end, place.column)
    return block._replace(line=place.line, source_line=place.source_line, marked=marked)


def _sure(confidence: Confidence) -> str:
    return "" if confidence is Confidence.CERTAIN else confidence.value


def to_type(item: Recommendation) -> ToType:
    """What is recommended for a place: a number at the instrument, or a value of the profile."""
    sure = _sure(item.confidence)
    if item.path[0] == "cutoffs":
        return ToType(str(item.path[-1]), item.enter, item.unit, sure)
    return ToType(path_text(item.path), item.text.partition(" = ")[2], "", sure)


def _remarks(finding: Finding, explained: Iterable[Finding]) -> Iterator[str]:
    if finding.regraded:
        yield finding.regraded
    if finding.withheld and not finding.recommendations:
        yield f"Nothing to type: {finding.withheld}."
    for item in finding.related:
        if item.location is not None:
            yield f"See {item.location.text}: {item.message}"
    settled = dict.fromkeys(
        other.check + (f" ({_short(other.location)})" if other.location else "")
        for other in explained
    )
    if settled:
        yield f"Correcting this also removes: {', '.join(settled)}"


def _short(location: Location) -> str:
    return location.cell or f"line {location.line}"


def run_data(run: Run) -> dict[str, Any]:
    """A run as one document."""
    return run_frame(run) | {"profiles": list(map(report_data, run.reports))}


def run_frame(run: Run, profiles: Any = ()) -> dict[str, Any]:
    """The same with something else in place of the profiles."""
    stale = [entry._asdict() for entry in run.stale]
    return frame(
        profiles=profiles,
        summary=run.summary._asdict(),
        exit_code=run.exit_code,
        failure=None if run.failure is None else list(map(finding_data, run.failure.findings)),
        policies=policies_data(run.policies),
        looked=looked_data(run.looked),
        stale_known=stale,
    )


def report_data(report: FileReport) -> dict[str, Any]:
    """One file of a run."""
    row = {"row": shown_text(report.row)} if report.row else {}
    return {
        "path": shown_text(report.path),
        **row,
        "sha256": report.sha256,
        "method": report.method,
        "instrument": report.instrument,
        "status": report.status,
        "policy": report.policy.source and shown_text(shown_path(report.policy.source)),
        "uses": [{"path": shown_text(used.path), "sha256": used.sha256} for used in report.uses],
        "findings": [finding_data(finding) for finding in report.findings],
        "recommendations": [recommendation_data(item) for item in report.recommendations],
        "withheld": [
            {"path": path_data(item.path), "reason": item.reason} for item in report.withheld
        ],
        "checks": outcomes_data(report),
    }


def outcomes_data(report: FileReport) -> dict[str, Any]:
    """How every check came out; one may be broken for one part and not decided for another."""
    return {
        "holds": list(report.holds),
        "broken": list(report.broken),
        "not_decided": [
            {**item._asdict(), "path": path_data(item.path), "add": item.add or None}
            for item in report.undecided
        ],
    }


def finding_data(finding: Finding) -> dict[str, Any]:
    """One finding; places are null where there is no file."""
    location, accepted = finding.location, finding.accepted
    return {
        "check": finding.check,
        "severity": finding.severity.value,
        "default_severity": (finding.own_severity or finding.severity).value,
        "confidence": finding.confidence.value,
        "path": path_data(finding.path),
        "fingerprint": finding.fingerprint or None,
        "place": finding.place,
        "compared": {
            "number": number_data(finding.compared.value),
            "limits": _limits(finding.compared.limit),
        },
        "file": shown_text(location.file) if location else None,
        "line": location.line if location else None,
        "column": location.column if location else None,
        "end_line": location.end_line if location else None,
        "end_column": location.end_column if location else None,
        **_cell(location),
        "message": finding.message,
        "advice": finding.advice,
        "related": [
            {
                "path": path_data(item.path),
                "file": shown_text(item.location.file) if item.location else None,
                "line": item.location.line if item.location else None,
                **_cell(item.location),
                "message": item.message,
            }
            for item in finding.related
        ],
        "meant": [
            {"path": path_data(meant.path), "kind": meant.kind, "unit": meant.meant_unit}
            for meant in (finding.suggestion, *finding.also)
            if meant is not None
        ],
        "recommendations": [recommendation_data(item) for item in finding.recommendations],
        "withheld": finding.withheld or None,
        "accepted": accepted
        and {
            "reason": accepted.reason,
            "by": accepted.by,
            "until": accepted.until.isoformat() if accepted.until else None,
        },
        "known": finding.known,
        "data": plain_data(finding.data),
    }


def _cell(location: Location | None) -> dict[str, str]:
    """The cell of a place in a table; nothing of any other."""
    return {"cell": shown_text(location.cell)} if location and location.cell else {}


def _limits(limit: Limit) -> list[dict[str, Any]]:
    by_name = {None: limit} if isinstance(limit, str) else limit
    return [{"of": name, "limit": number_data(text)} for name, text in by_name.items() if text]


def recommendation_data(item: Recommendation) -> dict[str, Any]:
    """What to type at a place, what it rests on, and whether --fix writes it."""
    return {
        "path": path_data(item.path),
        "enter": item.enter,
        "unit": item.unit,
        "basis": item.basis,
        "confidence": item.confidence.value,
        "may_be_written": item.may_be_written,
        "why_not_written": item.why_not_written or None,
        "then": item.then or None,
    }
