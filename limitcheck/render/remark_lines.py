"""Annotations as lines that a code host's build log turns into remarks on files.

`::error file=NAME,line=N,col=N,endLine=N,endColumn=N,title=TITLE::MESSAGE`, with `warning` and
`notice` for the other grades; `%`, line ends, and in properties `:` and `,` are written as `%25`,
`%0D`, `%0A`, `%3A`, `%2C`. The form is from memory of the host's documentation, not looked up.

Findings that somebody answers for, and known ones, are only counted, in the last line; checks that
are left open are a notice then.
"""

from __future__ import annotations

from collections.abc import Iterator

from ..checking.root import root_name
from ..checking.run import Run
from ..documents.findings import finding_block
from ..documents.settings import changed_by
from ..findings import NOT_DECIDED, Finding, Severity
from .lines import safe
from .run_text import looked_lines, verdict_lines

_COMMAND = {Severity.ERROR: "error", Severity.WARNING: "warning", Severity.NOTE: "notice"}
_ESCAPED = str.maketrans({"%": "%25", "\r": "%0D", "\n": "%0A"})
_ESCAPED_IN_PROPERTIES = str.maketrans({":": "%3A", ",": "%2C"})


def render(run: Run) -> Iterator[str]:
    """The run as such lines, one a finding, then what a policy changes and the verdict."""
    for finding in () if run.failure is None else run.failure.findings:
        yield _command(finding)
    for report in run.reports:
        for finding in report.findings:
            if finding.accepted is None and not finding.known:
                yield _command(finding)
            elif finding.check == NOT_DECIDED:
                yield _command(finding._replace(severity=Severity.NOTE))
    for who in changed_by(run.policies):
        if who.settings:
            told = "\n".join([f"{who.name}:", *(item.text for item in who.settings)])
            yield f"::notice title={_property('limitcheck: settings')}::{_data(told)}\n"
    yield from looked_lines(run.looked) if run.failure else verdict_lines(run)


def _command(finding: Finding) -> str:
    place, title = finding.location, f"limitcheck: {finding.check}"
    properties = {"title": title}
    if place is not None and place.in_workbook:
        properties = {"file": root_name(place.file), "title": f"{title} at {place.cell}"}
    elif place is not None:
        properties = {
            "file": root_name(place.file),
            "line": str(place.line),
            "col": str(place.column),
            "endLine": str(place.end_line),
            "endColumn": str(place.end_column),
            "title": title,
        }
    block = finding_block(finding)
    told = [finding.message, f"Do: {finding.advice}", *(item.line for item in block.to_type)]
    text = "\n".join([*told, *block.remarks])
    given = ",".join(f"{name}={_property(value)}" for name, value in properties.items())
    return f"::{_COMMAND[finding.severity]} {given}::{_data(text)}\n"


def _data(text: str) -> str:
    return "\n".join(map(safe, text.split("\n"))).translate(_ESCAPED)


def _property(text: str) -> str:
    return _data(text).translate(_ESCAPED_IN_PROPERTIES)
