"""Which checks a run did not decide of a file: their known findings may be there unseen."""

from __future__ import annotations

from collections.abc import Set

from ..checks.acceptances import ABOUT_ACCEPTANCES
from ..findings import NOT_DECIDED
from .results import FileReport, KnownFinding

_LEFT_OPEN = f"{NOT_DECIDED}: "


def unseen(report: FileReport, asked: Set[str]) -> Set[str]:
    """Of some checks those that were turned off or not decided: what they find may be there.

    One that is required and left open is said by the finding of that.
    """
    said = {
        name
        for finding in report.findings
        if finding.check == NOT_DECIDED
        for name in finding.data["checks"]
    }
    open_ones = {item.check for item in report.undecided}
    unsaid = {_left_open(name) for name in open_ones - said}
    off = {name for name in asked if _LEFT_OPEN not in name and report.policy.turned_off(name)}
    return frozenset((open_ones | unsaid | off) & asked)


def _left_open(name: str) -> str:
    """What stands for a check that is left open, and of which nothing is said."""
    return f"{_LEFT_OPEN}{name}"


def rests_on(entry: KnownFinding) -> Set[str]:
    """The checks that must be decided for a finding to occur or be gone."""
    if entry.check == NOT_DECIDED and not isinstance(entry.limit, str):
        return {_left_open(name) for name in entry.limit}
    if entry.check in ABOUT_ACCEPTANCES:  # at "accepted[CHECK at PLACE].until", or without place
        about = entry.at.partition("[")[2].partition("]")[0].partition(" at ")[0]
        return {entry.check, about}
    return {entry.check}
