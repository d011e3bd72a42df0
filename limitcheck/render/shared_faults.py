"""What is one fault of several profiles is said once, not once for each of them.

A fault of a shared description is said with its users; that files are the same method, of all; a
question about a table once for all rows that wait for it.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, NamedTuple

from ..checking.results import FileReport, count, some_of
from ..checking.run import Run
from ..checking.table_rows import QUESTION
from ..checks.repository import DUPLICATE, NAMED
from ..findings import Finding, path_text
from ..profile.text import USED_FILE

if TYPE_CHECKING:
    from ..documents.blocks import FindingBlock

MOST_FAULTS = 1000
"""Faults whose users are counted; further ones are said of each profile."""


class _Fault(NamedTuple):
    """What makes a fault the same for several profiles."""

    file: str
    line: int
    column: int
    message: str


class SharedFaults:
    """The faults of shared descriptions in a run, with how many profiles they keep unread."""

    def __init__(self, run: Run) -> None:
        self._users: dict[_Fault, list[str]] = {}
        self._numbers: dict[_Fault, int] = {}
        self._said: set[_Fault] = set()
        self._alike: set[str] = set()
        for report in run.reports if run.summary.unreadable > 1 else ():
            for fault in {_fault(report, finding) for finding in report.findings}:
                if fault is not None:
                    self._add(fault, report.name)

    def _add(self, fault: _Fault, user: str) -> None:
        if fault not in self._users and len(self._users) >= MOST_FAULTS:
            return
        self._numbers[fault] = self._numbers.get(fault, 0) + 1
        users = self._users.setdefault(fault, [])
        if len(users) < NAMED:
            users.append(user)

    def blocks(self, report: FileReport) -> Iterator[FindingBlock]:
        """The findings of an unreadable file that were not said of another."""
        from ..documents.findings import finding_block

        for finding in report.findings:
            fault = _fault(report, finding)
            number = 0 if fault is None else self._numbers.get(fault, 0)
            if fault is None or number < 2:
                yield finding_block(finding)
            elif fault not in self._said:
                self._said.add(fault)
                told = some_of(self._users[fault], number)
                every = " (all in JSON)" if number > NAMED else ""
                users = f"{count(number, 'profile')} use it and cannot be checked: {told}{every}"
                yield finding_block(finding)._replace(remarks=(users,))

    def not_said(self, findings: Sequence[Finding]) -> Sequence[Finding]:
        """The findings of a file, without those that the files named in them have in common."""
        left = [f for f in findings if _one_of_many(f) not in self._alike]
        self._alike.update(told for f in left if f.accepted is None and (told := _one_of_many(f)))
        return left


def _one_of_many(finding: Finding) -> str:
    """What is the same in the findings of several files; empty for what is said of each."""
    if finding.check == DUPLICATE:
        return finding.message
    return f"{finding.place}: {finding.message}" if QUESTION in finding.data else ""


def _fault(report: FileReport, finding: Finding) -> _Fault | None:
    """The fault of a shared description that a finding is about; None for any other."""
    at = finding.location
    if report.status != "unreadable":
        return None
    if file := finding.data.get(USED_FILE):
        return _Fault(str(file), 0, 0, finding.message)
    if at is None or at.file == report.path:
        return None
    message = finding.message.removeprefix(path_text(finding.path))  # its place in the profile
    return _Fault(at.file, at.line, at.column, message)
