"""Runs the checks over one profile: order, names, grades, acceptances, crashes."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from datetime import date
from typing import TYPE_CHECKING, NamedTuple

from ..findings import Acceptance, Finding, KeyPath, Severity, Undecided, path_text
from ..policy import Policy
from ..profile.model import AcceptedFinding, Profile
from . import CHECKS, Check, Skip, Subject, check_name
from .acceptances import acceptance_findings, is_expired

if TYPE_CHECKING:
    from ..profile.text import SharedPart

CRASHED = "crashed-check"
"""The check name of the finding that stands for a check of ours that failed."""
BAND_IN_DOUBT = frozenset(
    {"expected-inverted", "expected-against-prediction", "gradient-peak-outside-expected"}
)
"""Checks after which nothing may be drawn from the expected band."""
DOUBTING = BAND_IN_DOUBT | {"unit-confusion", "mistyped-number", "rating-implausible"}
TURNED_OFF = "turned off"
"""How the reason begins where the policy is why a check did not run."""


class Examined(NamedTuple):
    """A profile with what the checks gave: findings in report order, checks not decided.

    A check that is neither broken (it has findings) nor undecided holds.
    """

    subject: Subject
    checks: Sequence[Check]
    findings: tuple[Finding, ...]
    undecided: tuple[Undecided, ...]
    doubts: tuple[Finding, ...] = ()
    """What checks that the policy turned off would have doubted: nothing is drawn from that."""


def check_profile(
    profile: Profile,
    policy: Policy,
    today: date,
    checks: Sequence[Check] = CHECKS,
    shared: Mapping[int, tuple[SharedPart, ...]] | None = None,
    asked: KeyPath | None = None,
) -> Examined:
    """Every finding of a profile, graded and with acceptances; no places are looked up.

    Where only the number at `asked` is in question, the others are taken as they are.
    """
    return _examine(Subject(profile, policy, today, shared or {}, asked), checks)


def check_again(examined: Examined, profile: Profile) -> Examined:
    """The same checks, on the profile as it would be after a correction."""
    return _examine(examined.subject.corrected(profile), examined.checks)


def _examine(subject: Subject, checks: Sequence[Check]) -> Examined:
    findings: list[Finding] = []
    doubts: list[Finding] = []
    undecided: list[Undecided] = []
    severities = subject.policy.severities
    for check in checks:
        name = check_name(check)
        off = name in severities and severities[name] is None
        if off:
            undecided.append(Undecided(name, f"{TURNED_OFF} in {subject.policy.source}"))
        if off and name not in DOUBTING:
            continue
        into = doubts if off else findings
        try:
            for finding in check(subject):
                into.append(finding._replace(check=name))
        except Skip as skip:
            undecided += [] if off else [Undecided(name, str(skip), skip.add, skip.path)]
        except Exception as error:
            findings.append(_crashed(name, error))
            undecided += [] if off else [Undecided(name, "the check failed")]
    return Examined(
        subject, checks, tuple(_settled(findings, subject)), tuple(undecided), tuple(doubts)
    )


def _settled(findings: Sequence[Finding], subject: Subject) -> Iterator[Finding]:
    """The findings with grades and acceptances, then those about the acceptances themselves."""
    accepted = subject.profile.accepted
    used: set[int] = set()
    for finding in findings:
        settled, index = settle(finding, accepted, subject.policy, subject.today)
        if index is not None:
            used.add(index)
        yield settled
    if any(finding.check == "unit-confusion" for finding in findings):
        used = set(range(len(accepted)))  # an acceptance may fit once the numbers are right
    for name, finding in acceptance_findings(accepted, used, subject.today):
        yield _grade(finding._replace(check=name), subject.policy)


def settle(
    finding: Finding, accepted: Sequence[AcceptedFinding], policy: Policy, today: date
) -> tuple[Finding, int | None]:
    """The finding with its grade and acceptance, and which entry covers it."""
    graded = _grade(finding, policy)
    index = next((i for i, entry in enumerate(accepted) if _covers(entry, finding)), None)
    if index is not None and not is_expired(accepted[index], today):
        entry = accepted[index]
        graded = graded._replace(accepted=Acceptance(entry.reason, entry.by, entry.until))
    return graded, index


def _grade(finding: Finding, policy: Policy) -> Finding:
    grade = policy.severities.get(finding.check)
    return finding if grade in (None, finding.severity) else finding._replace(severity=grade)


def _covers(accepted: AcceptedFinding, finding: Finding) -> bool:
    if accepted.check != finding.check or finding.check == CRASHED:
        return False
    return accepted.where is None or path_text(finding.path).startswith(accepted.where)


def _crashed(name: str, error: Exception) -> Finding:
    return Finding(
        Severity.ERROR,
        f"The check {name} failed on this profile: {type(error).__name__}: {error}. The other "
        "checks ran.",
        "This is a fault of limitcheck, not of the profile: please report it with the file.",
        data={"check": name},
        check=CRASHED,
    )
