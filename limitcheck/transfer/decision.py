"""The decision on a transfer: accept, do not accept, or cannot decide; and the reasons for it.

Nothing is accepted by silence: one field that is not allowed stands against it, one that cannot
be decided keeps it open, and so do errors of the profiles, whoever accepted or regraded them.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import date
from typing import Literal, NamedTuple, TypeAlias

from ..checking.file import check_file
from ..checking.results import folded_findings
from ..findings import NOT_DECIDED, Finding, Severity
from ..policy import DEFAULT_POLICY, Policy
from ..profile.load import ProfileFile
from ..units import percent
from .ruling import Ruling

Decision: TypeAlias = Literal["accept", "do not accept", "cannot decide"]


class Reason(NamedTuple):
    """Something against accepting (`not allowed`), that keeps it open, or to be looked at."""

    ruling: Literal["not allowed", "cannot decide", "information"]
    text: str


def decide(reasons: Iterable[Reason]) -> Decision:
    """What the reasons come to.

    >>> decide([Reason("information", "weaker pump"), Reason("cannot decide", "no flow")])
    'cannot decide'
    """
    words = {reason.ruling for reason in reasons}
    if "not allowed" in words:
        return "do not accept"
    return "cannot decide" if "cannot decide" in words else "accept"


def reasons_of_rulings(rulings: Iterable[Ruling]) -> Iterator[Reason]:
    """Every field that stands against it or is open."""
    for item in rulings:
        match item.ruling:
            case "not allowed" | "cannot decide" as word:
                yield Reason(word, f"{item.field}: {told(item)}")


def told(item: Ruling) -> str:
    """A ruling in a few words: what is there, for what, and the rule."""
    if item.sending == item.receiving:
        return item.rule
    return f"{item.receiving} for {item.sending}: {item.rule}"


def reasons_of_findings(
    file: ProfileFile, policy: Policy, today: date, side: Literal["sending", "receiving"]
) -> Iterator[Reason]:
    """The errors of a profile by the checks' own grades or the policy's where that is stricter,
    its core checks that are not decided; of the receiving one, its warnings.

    An error that somebody accepted, or that the policy grades lower, stands against it too, with
    who answers for it: a transfer does not rest on what was waved through elsewhere.
    """
    stricter = {n: grade for n, grade in policy.severities.items() if grade is Severity.ERROR}
    own = policy._replace(severities=stricter, require=(*policy.require, "core"))
    report = check_file(file, own, today)
    explained = {id(f) for items in folded_findings(report.findings).values() for f in items}
    for finding in report.findings:
        if finding.severity is Severity.ERROR and id(finding) not in explained:
            undecided = finding.check == NOT_DECIDED
            word: Literal["cannot decide", "not allowed"]
            word = "cannot decide" if undecided else "not allowed"
            yield Reason(word, _error(finding, policy, side))
    for item in report.undecided:
        if item.check == "source-changed":
            yield Reason("information", f"{item.check} in the {side} profile: {item.reason}")
    warnings = dict.fromkeys(
        f.check for f in report.findings if f.severity is Severity.WARNING and f.accepted is None
    )
    if warnings and side == "receiving":
        text = f"warnings in the receiving profile: {', '.join(warnings)}"
        yield Reason("information", text)


def reasons_of_policies(sending: Policy, receiving: Policy) -> Iterator[Reason]:
    """What the policies let be wider than is built in, or rule otherwise than each other."""
    for name in ("high", "low"):
        share, usual = (getattr(each.margins, name) for each in (receiving, DEFAULT_POLICY))
        if share > usual:
            told = f"the policy allows margins.{name} of {percent(share)}, not {percent(usual)}"
            yield Reason("information", f"{told}: {receiving.source or 'the policy'}")
    if sending.adjustments != receiving.adjustments:
        told = "the two policies limit adjustments differently: the receiving side's is used"
        yield Reason("information", told)


def _error(finding: Finding, policy: Policy, side: str) -> str:
    text = f"{finding.check} in the {side} profile"
    if (accepted := finding.accepted) is not None:
        until = f"until {accepted.until}" if accepted.until else "without an end"
        text += f", accepted by {accepted.by} {until} ({accepted.reason})"
    grade = policy.severities.get(finding.check, Severity.ERROR)
    if grade is not Severity.ERROR:
        where = policy.source or "the policy"
        text += f", {'switched off' if grade is None else f'graded {grade}'} by {where}"
    return f"{text}: {finding.message}"
