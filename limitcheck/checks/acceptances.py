"""Acceptances: which finding somebody answers for, while it is the one they answered for.

An `[[accepted]]` entry names its check, its place exactly, and the two numbers it was given for.
`limitcheck accept` writes it. It holds until its last day, and until a number moves the wrong way.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Set
from datetime import date
from typing import NamedTuple

from ..findings import CRASHED, NOT_DECIDED, Acceptance, Compared, Finding, KeyPath, Severity
from ..policy import AcceptanceRules, Policy
from ..profile.answered import AcceptedFinding
from ..profile.model import Profile
from .identity import changed, holds, with_identity
from .repository import REPOSITORY_CHECKS

ABOUT_ACCEPTANCES = frozenset(
    {"acceptance-expired", "acceptance-unused", "acceptance-lapsed", "acceptance-invalid"}
)
"""Checks of the acceptances themselves."""
FOUND_LATER = frozenset({*REPOSITORY_CHECKS, NOT_DECIDED, "source-changed"})
"""Checks whose findings come when the others are settled, or of which this run may see nothing."""
NEVER = ABOUT_ACCEPTANCES | {CRASHED}
"""Checks whose findings nobody can answer for, whatever the policy says."""
_WRITE = "limitcheck accept FILE {check} --reason TEXT --by NAME --until DATE"


class Fault(NamedTuple):
    """Why an acceptance does not hold, whatever was found, and what to do."""

    message: str
    advice: str


def under_acceptances(
    findings: Iterable[Finding],
    profile: Profile,
    policy: Policy,
    today: date,
    *,
    later: Set[str] = frozenset(),
    unseen: Set[str] = frozenset(),
) -> Iterator[Finding]:
    """The findings with who answers for them, then those about the acceptances themselves.

    `later` names the checks of findings that come after the others, of FOUND_LATER; `unseen`
    those that were turned off or not decided, whose acceptances may fit what was not seen.
    """
    found = [with_identity(finding, profile) for finding in findings]
    if not profile.accepted:
        yield from found
        return
    entries = {i: e for i, e in enumerate(profile.accepted) if not later or e.check in later}
    faults = {i: fault(entry, profile, policy.acceptances) for i, entry in entries.items()}
    may_hold = [i for i, entry in entries.items() if not faults[i] and not is_expired(entry, today)]
    used: set[int] = set()
    missed: dict[int, Finding] = {}  # entries given for other numbers, with the finding of today
    for finding in found:
        fits = [i for i in may_hold if i not in used and is_given_for(entries[i], finding)]
        refused = never(finding, policy)
        holding = (i for i in fits if holds(given_numbers(entries[i]), finding.compared))
        if refused is None and (index := next(holding, None)) is not None:
            used.add(index)
            entry = entries[index]
            yield finding._replace(accepted=Acceptance(entry.reason, entry.by, entry.until))
            continue
        faults |= dict.fromkeys(fits, refused)
        missed = dict.fromkeys(fits, finding) | missed
        yield finding._replace(lapsed=True) if fits else finding
    # An acceptance may fit once the numbers are right, or when more is seen.
    doubtful = any(finding.check == "unit-confusion" for finding in found)
    for index in sorted((missed if later else entries).keys() - used):
        entry = entries[index]
        if is_expired(entry, today):
            about = "acceptance-expired", acceptance_expired(entry, index)
        elif (why := faults[index]) is not None:
            about = "acceptance-invalid", acceptance_invalid(entry, index, why)
        elif index in missed:
            about = "acceptance-lapsed", acceptance_lapsed(entry, index, missed[index])
        elif doubtful or entry.check in FOUND_LATER or entry.check in unseen:
            continue
        else:
            about = "acceptance-unused", acceptance_unused(entry, index)
        yield with_identity(about[1]._replace(check=about[0]), profile)


def is_expired(entry: AcceptedFinding, today: date) -> bool:
    """Whether the last day of an acceptance is past."""
    return entry.until is not None and entry.until < today


def is_given_for(entry: AcceptedFinding, finding: Finding) -> bool:
    """Whether an acceptance names the check and the place of a finding."""
    return entry.check == finding.check and entry.at == finding.place


def given_numbers(entry: AcceptedFinding) -> Compared:
    """The numbers an acceptance was given for."""
    return Compared(entry.value or "", entry.limit or "")


def fault(entry: AcceptedFinding, profile: Profile, rules: AcceptanceRules) -> Fault | None:
    """Why an acceptance cannot hold, whatever was found; None where it can."""
    again = f"Write it with {_WRITE.format(check=entry.check)}."
    if not rules.allowed:
        return Fault("the policy allows no acceptances", "Correct the cause, and remove it.")
    if entry.check in NEVER or entry.check in rules.never:
        return _never_accepted(entry.check)
    if entry.at is None or entry.value is None:
        return Fault("it does not say for which place and numbers it was given", again)
    if entry.until is None and rules.until_required:
        return Fault("it has no last day", "Add until = a date, as in 2027-06-30.")
    return shared_name(entry.at, profile)


def shared_name(place: str, profile: Profile) -> Fault | None:
    """Why a place is not one place: several parts of the flow path have its name."""
    names = Counter(part.name for part in profile.flow_path)
    for name, number in names.items():
        if number > 1 and f"{place}.".startswith(f"flow_path[{name}]."):
            return Fault(
                f"{number} parts of the flow path are called {name}",
                "Give each a label of its own, then accept the finding again.",
            )
    return None


def never(finding: Finding, policy: Policy) -> Fault | None:
    """Why nobody can answer for a finding; None where somebody can.

    An error is what the check calls one, or the policy.
    """
    rules, check = policy.acceptances, finding.check
    if not rules.allowed:
        return Fault("the policy allows no acceptances", "Correct the cause.")
    error = Severity.ERROR in (finding.severity, policy.severities.get(check))
    if check in NEVER or check in rules.never or (error and f"{check}:error" in rules.never):
        return _never_accepted(check)
    open_ones = finding.data["checks"] if check == NOT_DECIDED else ()
    for name in open_ones:  # whether it would be an error is not known: it may
        if name in rules.never or f"{name}:error" in rules.never:
            what = f"it leaves {name} open, which is never accepted here"
            return Fault(what, finding.advice)
    return None


def _never_accepted(check: str) -> Fault:
    return Fault(f"{check} is never accepted here", "Correct the cause, and remove the acceptance.")


def numbers_text(compared: Compared) -> str:
    """Both numbers, as in "410 bar against 400 bar (column, fitting)"."""
    limit = compared.limit
    if not isinstance(limit, str):
        names: dict[str, list[str]] = {}
        for name, text in limit.items():
            names.setdefault(text, []).append(name)
        limit = ", ".join(f"{text} ({', '.join(of)})" for text, of in names.items())
    value = compared.value or "no number"
    return f"{value} against {limit}" if limit else value


def acceptance_expired(entry: AcceptedFinding, index: int) -> Finding:
    """An acceptance is past its last day and no longer holds.

    At the bench: what somebody answered for until then is open again.
    Do: review it, then accept it again with a new date, or correct the cause and take the
    acceptance out.
    Source: the profile itself.
    """
    return _about(
        entry,
        (index, "until"),
        f"ended on {entry.until}.",
        "Review it: give a new date, or correct the cause and remove the acceptance.",
    )


def acceptance_unused(entry: AcceptedFinding, index: int) -> Finding:
    """An acceptance fits no finding.

    At the bench: the cause is gone, or check or place are mistyped; left in place, it would
    hide the next such finding.
    Do: remove it, or write it again with `limitcheck accept`. Acceptances of checks that were
    turned off or not decided, and of those that compare files, are left alone: this run may not
    have seen what they are for.
    Source: the profile itself.
    """
    return _about(
        entry,
        (index, "check"),
        "fits no finding.",
        "Remove it, or correct the name: limitcheck explain lists the checks.",
    )


def acceptance_lapsed(entry: AcceptedFinding, index: int, finding: Finding) -> Finding:
    """An acceptance was given for other numbers: one of the two has moved the wrong way.

    At the bench: somebody answered for 410 bar on a column of 400 bar; nobody did for 580 bar,
    nor for a column of 350 bar. A number that moved the safe way leaves the acceptance alone;
    where the safe way is not known, any change ends it.
    Do: correct the cause, or review the new numbers and accept them with `limitcheck accept`.
    Source: the profile itself; the comparison is exact.
    """
    return _about(
        entry,
        (index, "value"),
        f"was given for {numbers_text(given_numbers(entry))}; now it is "
        f"{numbers_text(finding.compared)}.",
        f"Correct the cause, or review it and run {_WRITE.format(check=entry.check)}.",
    )


def acceptance_invalid(entry: AcceptedFinding, index: int, why: Fault) -> Finding:
    """An acceptance cannot hold: it lacks what it must say, or nobody may answer for this.

    At the bench: what it is about is open. An acceptance says for which place and numbers, by
    whom and until when. A cutoff above a rating is never accepted, unless the repository's
    policy says otherwise (`[acceptances]` in limitcheck.toml).
    Do: write it with `limitcheck accept`, or correct the cause and take it out.
    Source: the profile and the policy.
    """
    return _about(entry, (index, "check"), f"does not hold: {why.message}.", why.advice)


def _about(entry: AcceptedFinding, at: tuple[int, str], what: str, advice: str) -> Finding:
    path: KeyPath = ("accepted", *at)
    message = f"The acceptance of {entry.check} by {entry.by} {what}"
    numbers = changed(entry.value or "", entry.until or "")
    return Finding(Severity.WARNING, message, advice, path, compared=numbers)
