"""JUnit XML, for CI servers: one suite a file, one case a finding.

What fails the run is a failure, an unreadable file an error; accepted and known findings are
skipped cases, and so are checks that are not decided; a file without findings is one case that
passes. Files are named from the root of their repository; what a policy or the command line changes
is among the properties of each suite, what was skipped among those of a suite of its own.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from xml.sax.saxutils import escape, quoteattr

from ..checking.looked import Looked
from ..checking.results import FileReport
from ..checking.root import root_name
from ..checking.run import Run
from ..documents.findings import finding_block
from ..documents.settings import changed_by
from ..findings import CRASHED, NOT_DECIDED, Finding
from ..policy import changes
from .finding_text import finding_text

_NOT_XML = re.compile("[^\t\n\r\u0020-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")


def render(run: Run) -> Iterator[str]:
    """The run as JUnit XML, in pieces."""
    yield '<?xml version="1.0" encoding="UTF-8"?>\n<testsuites name="limitcheck">\n'
    for report in run.reports:
        yield from _suite(report)
    if run.failure is not None:
        yield from _suite(
            FileReport("limitcheck", None, None, None, "unreadable", run.failure.findings)
        )
    yield from _looked(run.looked)
    yield "</testsuites>\n"


def _looked(looked: Looked) -> Iterator[str]:
    """A suite without cases, whose properties say what was skipped."""
    if not (sentences := list(looked.sentences)):
        return
    counts = 'tests="0" failures="0" errors="0" skipped="0"'
    yield f'<testsuite name="limitcheck: what was looked at" {counts}>\n<properties>\n'
    for sentence in sentences:
        yield f'<property name="looked at" value={_attribute(sentence)}/>\n'
    for item in looked.skipped:
        value = _attribute(item.why)
        yield f"<property name={_attribute(f'skipped: {root_name(item.path)}')} value={value}/>\n"
    yield "</properties>\n</testsuite>\n"


def _suite(report: FileReport) -> Iterator[str]:
    outcomes = [(finding, _outcome(report, finding)) for finding in report.findings]
    kinds = [kind for _, kind in outcomes]
    name, left_open = _name(report), _left_open(report)
    counts = {
        "tests": max(1, len(kinds)) + len(left_open),
        "failures": kinds.count("failure"),
        "errors": kinds.count("error"),
        "skipped": kinds.count("skipped") + len(left_open),
    }
    told = " ".join(f"{kind}={_attribute(number)}" for kind, number in counts.items())
    yield f"<testsuite name={_attribute(name)} {told}>\n"
    yield from _properties(report)
    if not outcomes:
        yield _case(name, "no findings") + "/>\n"
    for finding, kind in outcomes:
        yield _case(name, f"{finding.check}: {_about(finding)}") + ">"
        yield _content(finding, kind) + "</testcase>\n"
    for reason, checks in left_open.items():
        yield _case(name, f"not decided: {', '.join(checks)}")
        yield f"><skipped message={_attribute(reason)}/></testcase>\n"
    yield "</testsuite>\n"


def _left_open(report: FileReport) -> dict[str, list[str]]:
    """By reason the checks that are not decided, but for those that a finding tells of."""
    told = {
        check
        for finding in report.findings
        if finding.check == NOT_DECIDED
        for check in finding.data["checks"]
    }
    found: dict[str, list[str]] = {}
    for item in report.undecided:
        if item.check not in told:
            found.setdefault(item.reason, []).append(item.check)
    return found


def _name(report: FileReport) -> str:
    name = root_name(report.path)
    return f"{name}:{report.row}" if report.row else name


def _about(finding: Finding) -> str:
    """What stays when lines move, else the place."""
    if finding.place or finding.location is None:
        return finding.place or "profile"
    place = finding.location
    return place._replace(file=root_name(place.file)).text


def _properties(report: FileReport) -> Iterator[str]:
    if not changes(report.policy):
        return
    yield "<properties>\n"
    for who in changed_by([report.policy]):
        for item in who.settings:
            name, value = _attribute(f"setting: {who.name}"), _attribute(item.text)
            yield f"<property name={name} value={value}/>\n"
    yield "</properties>\n"


def _outcome(report: FileReport, finding: Finding) -> str:
    if report.status == "unreadable" or finding.check == CRASHED:
        return "error"
    if finding.accepted is not None or finding.known:
        return "skipped"
    return "failure" if report.fails(finding) else "system-out"


def _case(suite: str, name: str) -> str:
    return f"<testcase classname={_attribute(suite)} name={_attribute(name)}"


def _content(finding: Finding, kind: str) -> str:
    text = _escaped(finding_text(finding_block(finding)))
    if kind == "system-out":
        return f"<system-out>{text}</system-out>"
    if kind == "skipped":
        why = finding.accepted.text if finding.accepted else "known finding"
        return f"<skipped message={_attribute(why)}/><system-out>{text}</system-out>"
    cell = f"{finding.location.cell}: " if finding.location and finding.location.cell else ""
    message = _attribute(f"{cell}{finding.message}")
    attributes = f"type={_attribute(finding.severity.value)} message={message}"
    return f"<{kind} {attributes}>{text}</{kind}>"


def _attribute(value: str | int) -> str:
    return quoteattr(_printable(str(value)))


def _escaped(text: str) -> str:
    return escape(_printable(text))


def _printable(text: str) -> str:
    """Characters that XML 1.0 does not allow, replaced."""
    return _NOT_XML.sub("\ufffd", text)
