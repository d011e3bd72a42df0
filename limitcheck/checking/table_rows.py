"""The rows of a table as a run checks them: each like a profile, or with what keeps it open.

Plain records. What reads a table is given to the run, for it lies above this.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from datetime import date
from typing import NamedTuple, TypeAlias

from ..checks import CHECKS, check_name
from ..checks.identity import changed, digest
from ..checks.repository import Claim, claims
from ..findings import NOT_DECIDED, Finding, Location, Severity, Undecided
from ..policy import Policy
from ..profile.load import ProfileFile
from ..profile.text import refusal
from .file import check_file
from .results import FileReport

QUESTION = "question"
"""In the data of a finding: the cell whose meaning is a question."""
_EVERY = tuple(map(check_name, CHECKS))


class Waiting(NamedTuple):
    """What a row waits for: the place of a question, what is asked, and what would answer it."""

    location: Location
    value: str
    message: str
    advice: str


class TableRow(NamedTuple):
    """A row that is a method on an instrument; without a `file` where its meaning is a question.

    `file` has the name of the row as its path, and gives cells as places.
    """

    row: str
    method: str
    instrument: str
    file: ProfileFile | None = None
    waiting: Sequence[Waiting] = ()


class ReadTable(NamedTuple):
    """A table that was read. `remarks` say what of it was not looked at."""

    path: str
    sha256: str
    rows: Sequence[TableRow]
    remarks: Sequence[str] = ()


TableReader: TypeAlias = Callable[[str], ReadTable]
"""Reads a table by its path; raises UnreadableProfile where nothing of it can be checked."""


def no_table(path: str) -> ReadTable:
    """Where a run has no tables: raises UnreadableProfile."""
    raise refusal(
        path,
        "a table, not a profile: limitcheck import --write makes profiles of it, to be named here",
        "limitcheck check reads tables; limitcheck import --write makes profiles of one",
    )


def check_rows(
    table: ReadTable, policy: Policy, today: date
) -> Iterator[tuple[FileReport, tuple[Claim, ...], ProfileFile | None]]:
    """The report of each row, what it says that others may contradict, and its profile."""
    for row in table.rows:
        if row.file is None:
            yield _open(table, row, policy), (), None
            continue
        report = check_file(row.file, policy, today)
        yield report._replace(path=table.path, row=row.row), claims(row.file.profile), row.file


def _open(table: ReadTable, row: TableRow, policy: Policy) -> FileReport:
    """The report of a row in which nothing was checked: every check of it is not decided."""
    findings = tuple(_question(row, one) for one in row.waiting)
    cells = ", ".join(dict.fromkeys(one.location.cell for one in row.waiting))
    reason = f"what {cells} means is a question"
    undecided = tuple(Undecided(name, reason) for name in _EVERY)
    return FileReport(
        table.path, table.sha256, row.method or None, row.instrument or None, "findings", findings
    )._replace(undecided=undecided, policy=policy, row=row.row)


def _question(row: TableRow, one: Waiting) -> Finding:
    cell = one.location.cell
    return Finding(
        Severity.ERROR,
        f"Not decided: {one.message}",
        one.advice,
        compared=changed(one.value, one.message),
        data={"checks": list(_EVERY), QUESTION: cell},
        check=NOT_DECIDED,
        place=cell,
        fingerprint=digest(NOT_DECIDED, row.method, row.instrument, cell, one.message),
        location=one.location,
    )
