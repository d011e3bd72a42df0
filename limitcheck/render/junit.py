"""JUnit XML, for CI servers: one suite a file, one case a finding.

What is at or above the failing grade is a failure, an unreadable file an error; accepted and
known findings are skipped cases; a file without findings is one case that passes.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from xml.sax.saxutils import escape, quoteattr

from ..checking.results import FileReport
from ..checking.run import Run
from ..documents.findings import finding_block
from ..findings import CRASHED, Finding, Severity
from .run_text import finding_text

_NOT_XML = re.compile("[^\t\n\r\u0020-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")


def render(run: Run) -> Iterator[str]:
    """The run as JUnit XML, in pieces."""
    yield '<?xml version="1.0" encoding="UTF-8"?>\n<testsuites name="limitcheck">\n'
    for report in run.reports:
        yield from _suite(report, run.fail_on)
    yield "</testsuites>\n"


def _suite(report: FileReport, fail_on: Severity) -> Iterator[str]:
    outcomes = [(finding, _outcome(report, finding, fail_on)) for finding in report.findings]
    kinds = [kind for _, kind in outcomes]
    yield (
        f"<testsuite name={_attribute(report.path)} tests={_attribute(max(1, len(kinds)))} "
        f"failures={_attribute(kinds.count('failure'))} errors={_attribute(kinds.count('error'))} "
        f"skipped={_attribute(kinds.count('skipped'))}>\n"
    )
    if not outcomes:
        yield _case(report, "no findings") + "/>\n"
    for finding, kind in outcomes:
        about = finding.place or (finding.location.text if finding.location else "profile")
        yield _case(report, f"{finding.check}: {about}") + ">"
        yield _content(finding, kind) + "</testcase>\n"
    yield "</testsuite>\n"


def _outcome(report: FileReport, finding: Finding, fail_on: Severity) -> str:
    if report.status == "unreadable" or finding.check == CRASHED:
        return "error"
    if finding.accepted is not None or finding.known:
        return "skipped"
    return "failure" if finding.severity.rank <= fail_on.rank else "system-out"


def _case(report: FileReport, name: str) -> str:
    return f"<testcase classname={_attribute(report.path)} name={_attribute(name)}"


def _content(finding: Finding, kind: str) -> str:
    text = _escaped(finding_text(finding_block(finding)))
    if kind == "system-out":
        return f"<system-out>{text}</system-out>"
    if kind == "skipped":
        why = finding.accepted.text if finding.accepted else "known finding"
        return f"<skipped message={_attribute(why)}/><system-out>{text}</system-out>"
    attributes = f"type={_attribute(finding.severity.value)} message={_attribute(finding.message)}"
    return f"<{kind} {attributes}>{text}</{kind}>"


def _attribute(value: str | int) -> str:
    return quoteattr(_printable(str(value)))


def _escaped(text: str) -> str:
    return escape(_printable(text))


def _printable(text: str) -> str:
    """Characters that XML 1.0 does not allow, replaced."""
    return _NOT_XML.sub("\ufffd", text)
