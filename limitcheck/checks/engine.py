"""Runs the checks over one profile: order, names, grades, acceptances, crashes."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import date
from typing import TYPE_CHECKING, NamedTuple

from ..findings import CRASHED, Finding, KeyPath, Severity, Undecided
from ..policy import Policy
from ..profile.model import Profile
from . import CHECKS, Check, Skip, Subject, check_name
from .acceptances import ABOUT_ACCEPTANCES, under_acceptances
from .subject import TURNED_OFF

if TYPE_CHECKING:
    from ..profile.text import SharedPart

BAND_IN_DOUBT = frozenset(
    {"expected-inverted", "expected-against-prediction", "gradient-peak-outside-expected"}
)
"""Checks after which nothing may be drawn from the expected band."""
DOUBTING = BAND_IN_DOUBT | {
    "expected-above-rating",
    "unit-confusion",
    "mistyped-number",
    "rating-implausible",
}


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
    converted: KeyPath | None = None,
) -> Examined:
    """Every finding of a profile, graded and with acceptances; no places are looked up.

    Where only the number at `asked` is in question, the others are taken as they are; that at
    `converted` was typed in another unit.
    """
    return _examine(Subject(profile, policy, today, shared or {}, asked, converted), checks)


def check_again(examined: Examined, profile: Profile) -> Examined:
    """The same checks, on the profile as it would be after a correction."""
    return _examine(examined.subject.corrected(profile), examined.checks)


def _examine(subject: Subject, checks: Sequence[Check]) -> Examined:
    findings: list[Finding] = []
    doubts: list[Finding] = []
    undecided: list[Undecided] = []
    some_off = subject.policy.turns_off
    for check in checks:
        name = check_name(check)
        off = subject.policy.turned_off(name) if some_off else ""
        if off:
            undecided.append(Undecided(name, f"{TURNED_OFF} {off}"))
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
    unseen = {item.check for item in undecided}
    settled = under_acceptances(
        findings, subject.profile, subject.policy, subject.today, unseen=unseen
    )
    done = tuple(graded(settled, subject.policy))
    return Examined(subject, checks, done, tuple(undecided), tuple(doubts))


def graded(findings: Iterable[Finding], policy: Policy) -> Iterator[Finding]:
    """The findings with the grades that the policy gives their checks.

    Without those about acceptances where that is turned off.
    """
    for finding in findings:
        grade = policy.severities.get(finding.check)
        if finding.check in ABOUT_ACCEPTANCES and policy.turned_off(finding.check):
            continue
        if grade is None or grade is finding.severity:
            yield finding
        else:
            yield finding._replace(severity=grade, own_severity=finding.severity)


def _crashed(name: str, error: Exception) -> Finding:
    return Finding(
        Severity.ERROR,
        f"The check {name} failed on this profile: {type(error).__name__}: {error}. The other "
        "checks ran.",
        "This is a fault of limitcheck, not of the profile: please report it with the file.",
        data={"check": name},
        check=CRASHED,
    )
