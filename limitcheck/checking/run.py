"""A run over many files: each is read, checked under the policy nearest to it, and reported."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from datetime import date
from functools import partial
from itertools import islice
from pathlib import Path
from typing import NamedTuple

from ..checks.repository import Claim, Ledger, claims
from ..findings import Finding
from ..policy import Policy
from ..profile.load import ProfileFile, load, load_bytes
from ..profile.text import NotAProfile, UnreadableProfile, refusal
from .contradictions import Alike, PolicyFor, contradicted_reports, reader
from .file import check_file, unreadable
from .looked import NOTHING_SKIPPED, Looked, Skipped
from .pool import map_in_order
from .results import FileReport, KnownFinding, Summary
from .store import ReportStore, packed
from .table_rows import TableReader, check_rows, no_table

CHUNK = 50
"""Files checked at a time, here or in a worker."""
Progress = Callable[[int, int], None]
"""Told how many targets of how many are done."""


_UNLISTED = "check the permissions and the length of the path, or name folders below"


class Target(NamedTuple):
    """A file to check; `named` when the user named it, so that it must be a profile."""

    path: str
    named: bool = True
    unlisted: str = ""
    """Why a folder, which `path` is then, could not be listed."""
    table: bool = False
    """Whether it is a table of methods, whose rows are checked."""


class Failure(NamedTuple):
    """Why a run could not be done, in the words that the user gets."""

    exit_code: int
    findings: tuple[Finding, ...]


class Run(NamedTuple):
    """The reports of a run in the order of the targets, and their summary.

    `reports` may be gone through again and again, and need not all be in memory at once.
    `stale` are entries of the known-findings file that no finding matches any more. `policies`
    are those in force over the reports, and those that leave files out; `looked` is what was met
    besides the profiles. A run with a `failure` was not done: it has no reports.
    """

    reports: Iterable[FileReport]
    summary: Summary
    stale: tuple[KnownFinding, ...] = ()
    policies: tuple[Policy, ...] = ()
    failure: Failure | None = None
    looked: Looked = NOTHING_SKIPPED

    @property
    def exit_code(self) -> int:
        """0 nothing that fails, 1 findings that do, 2 a file not usable, 3 our own fault."""
        return self.summary.exit_code if self.failure is None else self.failure.exit_code


def check_targets(
    targets: Sequence[Target],
    policy_for: PolicyFor,
    today: date,
    *,
    looked: Looked = NOTHING_SKIPPED,
    jobs: int | None = 1,
    progress: Progress | None = None,
    lost: Callable[[], None] | None = None,
    facts: bool = False,
    read_table: TableReader = no_table,
) -> Run:
    """Check files; those a folder search brought that are no profiles are skipped, which is kept.

    `looked` is what that search skipped itself.

    With `jobs` other than 1 the work is shared by that many processes (None: by all processors)
    when there is enough of it, and `policy_for` must be a function of a module; `lost` is told of
    one that the system ended, whose work is done again. With `facts` each report has those of its
    profile. `read_table` reads the targets that are tables, and is a function of a module, too.
    Raises UnreadableProfile for a policy in error.
    """
    store, ledger, summary = ReportStore(), Ledger(), Summary()
    contradicted: dict[str, list[tuple[Claim, str]]] = {}
    alike = Alike()
    policies: dict[str | None, Policy] = {}
    skipped: list[Skipped] = []
    remarks: list[str] = []
    chunks = [targets[start : start + CHUNK] for start in range(0, len(targets), CHUNK)]
    work = partial(_check_chunk, policy_for, today, facts, read_table, packs=len(chunks) > 1)
    for number, checked in enumerate(map_in_order(work, chunks, jobs, lost), 1):
        store.keep(checked.reports)
        summary = summary.plus(checked.summary)
        policies |= checked.policies
        skipped += checked.skipped
        remarks += checked.remarks
        for path, stated in checked.stated:
            for claim, earlier in ledger.against(path, stated):
                alike.add(claim, earlier, path)
                contradicted.setdefault(path, []).append((claim, earlier))
                contradicted.setdefault(earlier, []).append((claim, path))
        if progress is not None:
            progress(min(number * CHUNK, len(targets)), len(targets))

    if contradicted:
        tables = [target.path for target in targets if target.table]
        read = reader(tables, read_table)
        added = contradicted_reports(store, contradicted, alike, policy_for, today, read)
        store, summary = _kept(added, packs=len(chunks) > 1)
    looked = looked._replace(
        skipped=(*looked.skipped, *skipped), remarks=(*looked.remarks, *remarks)
    )
    for policy in looked.leaving_out:
        if policy.source is not None and policy.source not in policies:
            policies[policy.source] = policy_for(Path(policy.source))
    summary = summary._replace(skipped=looked.files)
    return Run(store, summary, policies=tuple(policies.values()), looked=looked)


class _Checked(NamedTuple):
    """What came of some targets: their reports, and what the run has to know of them at once."""

    reports: bytes | Sequence[FileReport]
    summary: Summary
    policies: dict[str | None, Policy]
    stated: Sequence[tuple[str, Sequence[Claim]]]
    skipped: Sequence[Skipped]
    remarks: Sequence[str] = ()


def _check_chunk(
    policy_for: PolicyFor,
    today: date,
    facts: bool,
    read_table: TableReader,
    targets: Sequence[Target],
    *,
    packs: bool,
) -> _Checked:
    """Check some targets, in a worker or here; `packs` where there are more than these."""
    checked: list[tuple[FileReport | Skipped, tuple[Claim, ...]]] = []
    remarks: list[str] = []
    for target in targets:
        if target.table:
            checked += _check_table(policy_for, today, facts, read_table, target, remarks)
        else:
            checked.append(_check_target(policy_for, today, facts, target))
    found = [(one, stated) for one, stated in checked if not isinstance(one, Skipped)]
    reports = [report for report, _ in found]
    return _Checked(
        packed(reports) if packs else reports,
        Summary.of(reports),
        {report.policy.source: report.policy for report in reports},
        [(report.name, [claim.brief for claim in stated]) for report, stated in found],
        [one for one, _ in checked if isinstance(one, Skipped)],
        remarks,
    )


def _check_table(
    policy_for: PolicyFor,
    today: date,
    facts: bool,
    read_table: TableReader,
    target: Target,
    remarks: list[str],
) -> Iterator[tuple[FileReport, tuple[Claim, ...]]]:
    """As `_check_target` of each row of a table; adds what of it was not looked at."""
    policy = policy_for(Path(target.path))
    try:
        table = read_table(target.path)
    except UnreadableProfile as error:
        yield unreadable(error, policy), ()
        return
    remarks += table.remarks
    for report, stated, file in check_rows(table, policy, today):
        known = _with_facts(report, file, policy) if facts and file is not None else report
        yield known, stated


def _with_facts(report: FileReport, file: ProfileFile, policy: Policy) -> FileReport:
    from .fleet import facts_of

    return report._replace(
        facts=facts_of(file.profile, policy, file.tables, doubt=report.band_doubt)
    )


def _check_target(
    policy_for: PolicyFor, today: date, facts: bool, target: Target
) -> tuple[FileReport | Skipped, tuple[Claim, ...]]:
    """The report of one file and what it says that others may contradict.

    Of a file that is no profile and was not named, why it is skipped.
    """
    try:
        if target.unlisted:
            raise refusal(target.path, f"cannot be listed: {target.unlisted}", _UNLISTED)
        file = load(target.path, only_profiles=not target.named)
    except NotAProfile as error:
        return Skipped(target.path, error.reason), ()
    except UnreadableProfile as error:
        return unreadable(error, policy_for(Path(target.path))), ()
    policy = policy_for(Path(target.path))
    report = check_file(file, policy, today)
    if facts:
        report = _with_facts(report, file, policy)
    return report, claims(file.profile)


def _kept(reports: Iterator[FileReport], *, packs: bool) -> tuple[ReportStore, Summary]:
    """Reports that take work to make, kept to be gone through again, and their summary."""
    store, summary = ReportStore(), Summary()
    while some := list(islice(reports, CHUNK)):
        store.keep(packed(some) if packs else some)
        summary = summary.plus(Summary.of(some))
    return store, summary


def check_content(
    content: bytes, name: str, policy: Policy, today: date, *, facts: bool = False
) -> Run:
    """Check the bytes of one profile, from standard input for example."""
    try:
        file: ProfileFile = load_bytes(content, name)
    except UnreadableProfile as error:
        return finish([unreadable(error, policy)])
    report = check_file(file, policy, today)
    return finish([_with_facts(report, file, policy) if facts else report])


def finish(reports: Sequence[FileReport], looked: Looked = NOTHING_SKIPPED) -> Run:
    """A run of these reports."""
    policies = {report.policy.source: report.policy for report in reports}
    summary = Summary.of(reports, looked.files)
    return Run(reports, summary, policies=tuple(policies.values()), looked=looked)
