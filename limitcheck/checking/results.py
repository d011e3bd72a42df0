"""What a run yields: one report a file, and their summary. Plain records."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from operator import add
from typing import TYPE_CHECKING, NamedTuple

from ..checks import CHECKS, check_name
from ..checks.engine import DOUBTING
from ..checks.repository import NAMED
from ..findings import (
    CRASHED,
    FINDING_GRADES,
    NOT_DECIDED,
    Confidence,
    Finding,
    Limit,
    Recommendation,
    Severity,
    Undecided,
    Withheld,
    path_text,
)
from ..policy import DEFAULT_POLICY, Policy
from ..profile.text import Used
from .marks import Marks

if TYPE_CHECKING:
    from .fleet import Facts


class FileReport(NamedTuple):
    """Everything that was found in one file; `status` is ok, findings or unreadable."""

    path: str
    sha256: str | None
    method: str | None
    instrument: str | None
    status: str
    findings: tuple[Finding, ...]
    undecided: tuple[Undecided, ...] = ()
    """Checks that could not be decided, or not for every part."""
    uses: tuple[Used, ...] = ()
    """The files of shared descriptions it takes values from."""
    recommendations: tuple[Recommendation, ...] = ()
    """What to type, at most one for each place; to be typed together."""
    withheld: tuple[Withheld, ...] = ()
    """Cutoffs that should be changed, but for which nothing can be recommended."""
    policy: Policy = DEFAULT_POLICY
    """What it was checked under; also which of its findings fail a run."""
    marks: Marks | None = None
    """What its pressure scale shows, where a cutoff has a finding."""
    facts: Facts | None = None
    """What a table of profiles says of it, where a run was asked for that."""
    band_doubt: str = ""
    """What speaks against the expected band, in a few words; empty where nothing does."""
    row: str = ""
    """Of a row of a table: Methods!7 in a workbook, the line in a CSV; `path` is the table."""

    @property
    def name(self) -> str:
        """What it is called: the file, or the file and the row."""
        return f"{self.path}:{self.row}" if self.row else self.path

    def fails(self, finding: Finding) -> bool:
        """Whether one of its findings fails a run: always that nothing was looked at."""
        unseen = self.status == "unreadable" or finding.check == CRASHED
        return unseen or self.policy.fails(finding)

    @property
    def broken(self) -> tuple[str, ...]:
        """The checks that found something, accepted or not, in report order."""
        found = {finding.check for finding in self.findings}
        return tuple(name for name in _NAMES if name in found)

    @property
    def holds(self) -> tuple[str, ...]:
        """The checks that were decided for all they are about, and found nothing."""
        if self.status == "unreadable":
            return ()
        rest = {item.check for item in self.undecided} | {found.check for found in self.findings}
        return tuple(name for name in _NAMES if name not in rest)

    @property
    def counts(self) -> tuple[tuple[str, int], ...]:
        """How many findings there are of each grade, accepted and known ones apart."""
        found = Counter(finding.grade for finding in self.findings)
        return tuple((grade, found[grade]) for grade in FINDING_GRADES)

    @property
    def account(self) -> str:
        """How the checks came out: "26 checks hold, 1 broken, 2 not decided (no entry_max: 1)"."""
        reasons = Counter(item.reason for item in self.undecided)
        broken, holds = self.broken, len(self.holds)
        open_ones = {f.check for f in self.findings if f.accepted is None and not f.known}
        answered = len(broken) - len(open_ones.intersection(broken))
        told = ["1 check holds" if holds == 1 else f"{holds} checks hold"]
        if DOUBTING.intersection(open_ones):
            told[0] += " for the numbers as typed"
        if len(broken) > answered:
            told.append(f"{len(broken) - answered} broken")
        besides = sum(
            f.check not in _NAMES and f.check != NOT_DECIDED
            for f in self.findings
            if f.accepted is None and not f.known
        )
        if besides:  # about several files, acceptances or the policy
            told.append(f"{count(besides, 'finding')} besides")
        if answered:
            known = any(finding.known for finding in self.findings)
            told.append(f"{answered} {'accepted or known' if known else 'accepted'}")
        if reasons:
            why = "; ".join(f"{reason}: {number}" for reason, number in reasons.most_common())
            told.append(f"{reasons.total()} not decided ({why})")
        return ", ".join(told)


_NAMES = tuple(map(check_name, CHECKS))
GRADES = ("unreadable", *Severity)
"""What a profile can come to, the worst first."""


class Worst(NamedTuple):
    """The worst open finding of a profile: `rank` of its grade in GRADES, its name, and how many
    more are of that grade."""

    rank: int
    told: str

    @property
    def grade(self) -> str:
        """Its grade, in a word."""
        return str(GRADES[self.rank])


def worst_of(report: FileReport) -> Worst | None:
    """The worst open finding; None where there is none."""
    if report.status == "unreadable":
        return Worst(0, f"nothing was checked ({count(len(report.findings), 'fault')})")
    found = [f for f in report.findings if f.accepted is None and not f.known]
    if not found:
        return None
    first = min(found, key=lambda finding: finding.severity.rank)
    alike = sum(f.severity is first.severity for f in found)
    more = f" (+{alike - 1})" if alike > 1 else ""
    sure = "" if first.confidence is Confidence.CERTAIN else f", {first.confidence}"
    return Worst(1 + first.severity.rank, f"{first.check}{sure}{more}")


NOT_DECIDED_STATE, NOTHING_OPEN = "not decided", "nothing open"
"""States of a profile without an open finding."""


def state_of(report: FileReport, *, rated: bool = True) -> str:
    """The state of a profile, the same in every list: the grade of its worst open finding, else
    whether anything is not decided, a rating that is not known among it.
    """
    worst = worst_of(report)
    if worst is not None:
        return worst.grade
    return NOT_DECIDED_STATE if report.undecided or not rated else NOTHING_OPEN


def count(number: int, word: str) -> str:
    """A number with its word, as in "1 reading", "2 readings"."""
    return f"{number} {word}{'' if number == 1 else 's'}"


def some_of(names: Sequence[str], number: int | None = None) -> str:
    """The first few names, and how many more there are of all."""
    more = (len(names) if number is None else number) - len(names[:NAMED])
    return ", ".join(names[:NAMED]) + (f" and {more} more" if more > 0 else "")


def weight(finding: Finding) -> int:
    """0 for an open error, 1 for a warning, 2 for a note, 3 for what is accepted or known."""
    answered = finding.accepted is not None or finding.known
    return len(Severity) if answered else finding.severity.rank


def folded_findings(findings: Iterable[Finding]) -> dict[int, list[Finding]]:
    """By the id of a finding that explains others: those that are told with it, not apart.

    None is told under one that counts for less: an error is read as an error.
    """
    everything = list(findings)
    under: dict[int, Finding] = {}

    def first(finding: Finding) -> Finding:
        while id(finding) in under:
            finding = under[id(finding)]
        return finding

    for finding in everything:
        for check, place in finding.data.get("explains", ()):
            for other in everything:
                same = other.check == check and path_text(other.path) == place
                free = id(other) not in under and first(finding) is not other
                if same and free and weight(finding) <= weight(other):
                    under[id(other)] = finding
    folded: dict[int, list[Finding]] = {}
    for finding in everything:
        if id(finding) in under:
            folded.setdefault(id(first(finding)), []).append(finding)
    return folded


class KnownFinding(NamedTuple):
    """An entry of a known-findings file: a finding by fingerprint, with its two numbers.

    The rest is for readers; `against` is the other file where two contradict each other.
    """

    fingerprint: str
    check: str
    method: str
    instrument: str
    at: str
    value: str
    limit: Limit
    file: str
    against: str = ""


class Summary(NamedTuple):
    """Counts over a run; accepted and known findings are counted apart and never fail it."""

    profiles: int = 0
    skipped: int = 0
    unreadable: int = 0
    errors: int = 0
    warnings: int = 0
    notes: int = 0
    accepted: int = 0
    crashed: int = 0
    known: int = 0
    failing: int = 0
    """Findings that fail the run, each by the policy of its file."""

    @classmethod
    def of(cls, reports: Iterable[FileReport], skipped: int = 0) -> Summary:
        """Counted from the reports of a run."""
        profiles = unreadable = accepted = crashed = known = failing = 0
        counts = dict.fromkeys(Severity, 0)
        for report in reports:
            profiles += 1
            unreadable += report.status == "unreadable"
            for finding in report.findings:
                accepted += finding.accepted is not None
                known += finding.known
                counts[finding.severity] += finding.accepted is None and not finding.known
                crashed += finding.check == CRASHED
                failing += report.fails(finding)
        return cls(
            profiles,
            skipped,
            unreadable,
            counts[Severity.ERROR],
            counts[Severity.WARNING],
            counts[Severity.NOTE],
            accepted,
            crashed,
            known,
            failing,
        )

    def plus(self, other: Summary) -> Summary:
        """The counts of both."""
        return Summary(*map(add, self, other))

    @property
    def exit_code(self) -> int:
        """0 nothing that fails, 1 findings that do, 2 a file not usable, 3 our own fault."""
        if self.crashed:
            return 3
        if self.unreadable:
            return 2
        return 1 if self.failing else 0
