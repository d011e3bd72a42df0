"""Accepted findings: `[[accepted]]` entries that have run out or fit nothing."""

from __future__ import annotations

from collections.abc import Iterator, Sequence, Set
from datetime import date

from ..findings import Finding, KeyPath, Severity
from ..profile.model import AcceptedFinding
from .repository import REPOSITORY_CHECKS

OF_OTHER_FILES = frozenset({*REPOSITORY_CHECKS, "source-changed"})
"""Checks that look at other files than the profile: an acceptance of one may fit nothing here."""
ABOUT_ACCEPTANCES = frozenset({"acceptance-expired", "acceptance-unused"})
"""Checks of the acceptances themselves."""


def is_expired(accepted: AcceptedFinding, today: date) -> bool:
    """Whether the last day of an acceptance is past."""
    return accepted.until is not None and accepted.until < today


def acceptance_findings(
    accepted: Sequence[AcceptedFinding], used: Set[int], today: date
) -> Iterator[tuple[str, Finding]]:
    """Findings about the acceptances themselves, each with its name."""
    for index, entry in enumerate(accepted):
        path: KeyPath = ("accepted", index)
        if is_expired(entry, today):
            yield "acceptance-expired", acceptance_expired(entry, (*path, "until"))
        elif index not in used and entry.check not in OF_OTHER_FILES:
            yield "acceptance-unused", acceptance_unused(entry, (*path, "check"))


def acceptance_expired(entry: AcceptedFinding, path: KeyPath) -> Finding:
    """An acceptance is past its last day and no longer holds.

    At the bench: what somebody answered for until then is open again.
    Do: review it, then give a new date, or correct the cause and take the acceptance out.
    Source: the profile itself.
    """
    return Finding(
        Severity.WARNING,
        f"The acceptance of {entry.check} by {entry.by} ended on {entry.until}.",
        "Review it: give a new date, or correct the cause and remove the acceptance.",
        path,
    )


def acceptance_unused(entry: AcceptedFinding, path: KeyPath) -> Finding:
    """An acceptance fits no finding.

    At the bench: the cause is gone, or the name is mistyped; left in place, it would hide the
    next such finding.
    Do: remove it, or correct the name. Acceptances of checks that look at other files are left
    alone: this run may not have seen the other file.
    Source: the profile itself.
    """
    return Finding(
        Severity.WARNING,
        f"The acceptance of {entry.check} by {entry.by} fits no finding.",
        "Remove it, or correct the name: limitcheck explain lists the checks.",
        path,
    )
