"""One method on two instruments: every field ruled, and whether to accept the transfer."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from typing import Literal, NamedTuple

from ..checking.file import check_file
from ..checking.proposed import CutoffsToType
from ..checking.results import FileReport
from ..findings import KeyPath, Recommendation, of_place
from ..policy import Policy
from ..profile.load import ProfileFile
from ..profile.model import Profile
from ..profile.table import FormatTable
from ..units import Pressure
from .adjustment import CHAPTER
from .came_across import CutoffMoved, cutoff_moved
from .comparison import compare
from .decision import (
    Decision,
    Reason,
    decide,
    reasons_of_findings,
    reasons_of_policies,
    reasons_of_rulings,
)
from .normal_pressure import as_moved
from .reach import NormalRuns, normal_runs
from .ruling import Pair, Ruling, same

FITS = "the one typed there goes with its ratings and its normal pressure"
"""Why no other cutoff is recommended, where what did not come across well is what was sent."""


class Side(NamedTuple):
    """One of the two profiles, as it was read."""

    role: Literal["sending", "receiving"]
    file: ProfileFile
    report: FileReport
    policy: Policy

    @property
    def profile(self) -> Profile:
        """The profile in it."""
        return self.file.profile


@dataclass(frozen=True, slots=True)
class Transfer:
    """The record of moving a method from one instrument to another."""

    day: date
    sending: Side
    receiving: Side
    rulings: tuple[Ruling, ...]
    reasons: tuple[Reason, ...]
    cutoffs: tuple[CutoffMoved, ...]
    normal: NormalRuns

    @property
    def decision(self) -> Decision:
        """What the reasons come to."""
        return decide(self.reasons)

    @property
    def conditions(self) -> tuple[str, ...]:
        """What has to be done for an accepted transfer to hold."""
        return tuple(dict.fromkeys(item.condition for item in self.rulings if item.condition))

    @property
    def from_memory(self) -> bool:
        """Whether rulings rest on limits that nobody has read in the edition in force."""
        return any(CHAPTER in item.source for item in self.rulings)

    def to_type(self, cutoff: CutoffMoved) -> tuple[Recommendation | None, str | None]:
        """What to type where a cutoff did not come across well, or why nothing can be."""
        path, report = ("cutoffs", cutoff.name), self.receiving.report
        item, withheld = of_place(report.recommendations, path), of_place(report.withheld, path)
        first = CutoffsToType(report.recommendations, report.withheld).not_alone
        if item is not None and first is not None:
            return None, first
        asked = any(of_place(finding.recommendations, path) for finding in report.findings)
        ruled = {item.ruling for item in self.rulings if item.field == f"{cutoff.name} cutoff"}
        if ruled <= {"same", "allowed"} and not asked:
            return None, None
        typed = cutoff.receiving and cutoff.receiving.number
        if item is not None and item.enter == typed:
            if self.receiving.profile.margins.model_fields_set:
                return None, "its own [margins] are wider than the policy and the sender allow"
            return None, FITS
        return item, None if item is not None or withheld is None else withheld.reason


def transfer(
    sending: ProfileFile, receiving: ProfileFile, policies: tuple[Policy, Policy], today: date
) -> Transfer:
    """The record of a move; `policies` are those of the sending and of the receiving side."""
    first, second = sending.profile, receiving.profile
    there = receiving._replace(profile=as_moved(first, second))
    rulings = compare(Pair(first, second, policies[1], today))
    reasons = [
        *_itself(sending, receiving),
        *reasons_of_rulings(rulings),
        *reasons_of_findings(sending, policies[0], today, "sending"),
        *reasons_of_findings(there, policies[1], today, "receiving"),
        *reasons_of_policies(*policies),
    ]
    return Transfer(
        today,
        Side("sending", sending, check_file(sending, policies[0], today), policies[0]),
        Side(
            "receiving", receiving, check_file(there, policies[1], today, propose=True), policies[1]
        ),
        rulings,
        tuple(sorted(reasons, key=lambda reason: _ORDER.index(reason.ruling))),
        (
            cutoff_moved("high", first.cutoffs.high, second.cutoffs.high, second.instrument),
            cutoff_moved("low", first.cutoffs.low, second.cutoffs.low, second.instrument),
        ),
        normal_runs(first, second),
    )


_ORDER = ("not allowed", "cannot decide", "information")


def _itself(sending: ProfileFile, receiving: ProfileFile) -> Iterator[Reason]:
    """One profile given twice, under one name or two."""
    if sending.sha256 == receiving.sha256 or same(sending.profile, receiving.profile):
        told = "both are the same profile: one profile against itself is no transfer"
        yield Reason("not allowed", told)


def pressures(value: object, path: KeyPath = ()) -> Iterator[tuple[KeyPath, Pressure]]:
    """Every pressure that a profile states, with its key path, in the order of the format."""
    if isinstance(value, Pressure):
        yield path, value
    elif isinstance(value, FormatTable):
        for name in type(value).model_fields:
            yield from pressures(getattr(value, name), (*path, name))
    elif isinstance(value, tuple):
        for index, item in enumerate(value):
            yield from pressures(item, (*path, index))
