"""Every profile of a run as one row, what is nearest to harm first: the whole fleet on one page.

Nothing is decided here that a check, a margin or a rating in force does not say already.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date
from enum import IntEnum
from fractions import Fraction
from typing import Any, NamedTuple

from ..findings import NOT_DECIDED, Severity
from ..policy import Policy, margins_for
from ..profile.hardware import under_pressure, weakest
from ..profile.model import Profile
from ..profile.one_line import one_line
from ..profile.unrated import unrated
from ..units import Pressure
from .band import Band, band_of
from .carried import ratings_of
from .margins import Margins, margins_of
from .results import (
    NOT_DECIDED_STATE,
    NOTHING_OPEN,
    FileReport,
    folded_findings,
    state_of,
    worst_of,
)


class Facts(NamedTuple):
    """What a profile says of itself, and what follows exactly; a run makes them with its checks."""

    revision: str
    site: str
    unit: str
    """What the instrument shows."""
    high: Pressure | None
    low: Pressure | None
    band: Band | None
    """The expected band as typed, even where its ends are exchanged, and what it may be called."""
    weakest: Pressure | None
    """The lowest rating stated up to the column, at the method's own flow and temperature."""
    part: str
    derated: bool
    """Whether flow or temperature lower that rating."""
    unrated: tuple[str, ...]
    """What has no rating in force up to the column, and may be weaker."""
    margins: Margins
    kept: Fraction
    """The headroom that the policy or the profile keeps free."""
    pairs: int
    """Measured pairs."""
    last_measured: date | None
    """The day of the newest of them that gives one."""
    ratings: Mapping[str, Pressure] = {}
    """By kind of part the rating stated, where there is one part of the kind."""
    whole: str = ""
    """The profile in one line."""

    @property
    def ends(self) -> tuple[Pressure, ...]:
        """Those of the band."""
        return () if self.band is None else (self.band.low, self.band.high)

    @property
    def doubt(self) -> str:
        """Why the band is not to go by; empty where nothing speaks against it."""
        return "" if self.band is None else self.band.doubt

    @property
    def stops(self) -> bool:
        """Whether there is a high cutoff that is on."""
        return self.high is not None and self.high.value > 0

    @property
    def warns(self) -> bool:
        """Whether there is a low cutoff that is on."""
        return self.low is not None and self.low.value > 0

    @property
    def over(self) -> bool:
        """Whether the high cutoff is over a rating that is stated."""
        return self.high is not None and self.weakest is not None and self.high > self.weakest

    @property
    def rated(self) -> bool:
        """Whether every part up to the column has a rating in force: else headroom is at most so
        much, or not known at all."""
        return self.weakest is not None and not self.unrated

    @property
    def headroom(self) -> Fraction | None:
        """The share left under the weakest rating stated; None without a cutoff or a rating."""
        margin = self.margins.headroom
        return None if margin is None else margin.share

    @property
    def headroom_is(self) -> str:
        """How far the headroom is known: decided, at most, not known."""
        if self.headroom is None:
            return "not known"
        return "decided" if self.rated else "at most"


def facts_of(profile: Profile, policy: Policy, tables: Mapping[str, Any], *, doubt: str) -> Facts:
    """The facts of a profile under a policy.

    `tables` are those that it was made of, `doubt` is what speaks against its expected band.
    """
    part = weakest(under_pressure(profile))
    return Facts(
        profile.method.revision or "",
        profile.method.site or "",
        profile.instrument.pressure_unit,
        profile.cutoffs.high,
        profile.cutoffs.low,
        band_of(profile, doubt=doubt),
        None if part is None else part.pressure,
        "" if part is None else part.name,
        part is not None and part.part.rating != part.pressure,
        unrated(profile),
        margins_of(profile, doubt=doubt),
        margins_for(profile, policy).headroom,
        len(profile.measured),
        max((pair.day for pair in profile.measured if pair.day is not None), default=None),
        ratings_of(profile),
        one_line(tables),
    )


class Nearness(IntEnum):
    """How near to harm a profile is, the nearest first."""

    UNREADABLE = 0
    BEYOND = 1
    NEAR = 2
    NOT_DECIDED = 3
    WELL = 4


class FleetRow(NamedTuple):
    """One profile: one method on one instrument. `facts` are missing where it cannot be read."""

    path: str
    sha256: str | None
    method: str
    instrument: str
    facts: Facts | None
    state: str
    """The grade of its worst open finding, else whether anything is not decided."""
    worst: str
    """The worst open finding, in words; empty without one."""
    wrong: Severity | None
    """The worst error or warning that is open and says more than what is not decided."""
    counts: tuple[tuple[str, int], ...]
    """Findings by grade: error, warning, note, accepted, known."""
    undecided: int
    """Checks that are not decided, required or not."""
    left_open: tuple[str, ...]
    """Checks not decided that are required, answered for or not."""

    @property
    def nearness(self) -> Nearness:
        """Its place in the order, by `by_harm`."""
        return Nearness(by_harm(self)[0])


def by_harm(row: FleetRow) -> tuple[int, bool, Fraction, int, str]:
    """The key that sorts what is nearest to harm first.

    1. Files that cannot be read: nothing is known of them.
    2. No high cutoff, then a high cutoff over a rating that is stated, the furthest over first.
       An acceptance changes nothing about that.
    3. Less headroom than the policy keeps under the weakest rating, or an open error, or an open
       warning where a rating is known: first what has no rating at all, then the least headroom.
       Where a part has no rating, headroom is at most what is stated.
    4. What is not decided: no rating in force for every part up to the column, or a check left
       open. First what is required, there first what has no rating at all, then the least
       headroom. It may be harm, so it stands before what is known to be well.
    5. What is well: the least headroom first.

    Rows that are alike stand by file.
    """
    facts = row.facts
    worst = GRADES_IN_ORDER.index(row.state)
    if facts is None:
        return Nearness.UNREADABLE, False, Fraction(0), worst, row.path
    headroom = facts.headroom
    if not facts.stops:
        return Nearness.BEYOND, False, _FURTHEST, worst, row.path
    if facts.over:  # a rating of zero gives no share
        over = _FURTHEST if headroom is None else headroom
        return Nearness.BEYOND, False, over, worst, row.path
    known = Fraction(-1) if headroom is None else headroom
    little = headroom is not None and (headroom < facts.kept or row.wrong is not None)
    if little or row.wrong is Severity.ERROR:
        return Nearness.NEAR, False, known, worst, row.path
    required = bool(not facts.rated or row.left_open)
    if required or row.undecided:
        return Nearness.NOT_DECIDED, not required, known, worst, row.path
    return Nearness.WELL, False, known, worst, row.path


_FURTHEST = Fraction(-(10**9))
"""Before every share: nothing stops the pump."""
GRADES_IN_ORDER = ("unreadable", *Severity, NOT_DECIDED_STATE, NOTHING_OPEN)
"""The states of a profile, the worst first."""


def fleet_of(reports: Iterable[FileReport]) -> list[FleetRow]:
    """The rows of a run that was asked for facts, the nearest to harm first."""
    return sorted(map(_row, reports), key=by_harm)


def _row(report: FileReport) -> FleetRow:
    worst, facts = worst_of(report), report.facts
    left_open = tuple(
        dict.fromkeys(
            name
            for finding in report.findings
            if finding.check == NOT_DECIDED
            for name in finding.data["checks"]
        )
    )
    return FleetRow(
        report.name,
        report.sha256,
        report.method or "",
        report.instrument or "",
        facts,
        state_of(report, rated=facts is not None and facts.rated),
        "" if worst is None else worst.told,
        _wrong(report),
        report.counts,
        len(report.undecided),
        left_open,
    )


def _wrong(report: FileReport) -> Severity | None:
    folded = folded_findings(report.findings)
    undecided = [finding for finding in report.findings if finding.check == NOT_DECIDED]
    same = {id(one) for first in undecided for one in (first, *folded.get(id(first), ()))}
    open_ones = {
        finding.severity
        for finding in report.findings
        if finding.accepted is None and not finding.known and id(finding) not in same
    }
    return next((s for s in (Severity.ERROR, Severity.WARNING) if s in open_ones), None)
