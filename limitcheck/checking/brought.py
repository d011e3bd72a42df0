"""What a correction would bring that was not there before."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from ..checks.acceptances import ABOUT_ACCEPTANCES
from ..findings import Finding, Severity


def brought(after: Iterable[Finding], before: Iterable[Finding]) -> tuple[Finding, ...]:
    """Findings, by check and place, that were not there before; the worst first."""
    known = {(finding.check, finding.path) for finding in _asking(before)}
    new = (f for f in _asking(after) if (f.check, f.path) not in known)
    return tuple(sorted(new, key=lambda finding: finding.worst.rank))


def brought_told(new: Iterable[Finding]) -> str:
    """Each in its own words, as the end of a sentence."""
    return " ".join(finding.message for finding in new).removesuffix(".")


def _asking(findings: Iterable[Finding]) -> Iterator[Finding]:
    """What asks for something to be done; notes do not, nor do acceptances that lapse.

    A finding whose acceptance lapses when a number is corrected is one that was there before.
    """
    for finding in findings:
        if (
            finding.accepted is None
            and not finding.lapsed
            and finding.worst is not Severity.NOTE
            and finding.check not in ABOUT_ACCEPTANCES
        ):
            yield finding
