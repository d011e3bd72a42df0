"""One method on two instruments: everything a reviewer needs, and whether to accept it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import Literal, NamedTuple

from ..checking.file import check_file
from ..checking.proposed import CutoffsToType
from ..checking.results import FileReport, folded_findings
from ..findings import KeyPath, Recommendation, Severity, of_place
from ..policy import Policy
from ..profile.hardware import RatedPart, rated_parts, weakest
from ..profile.load import ProfileFile
from ..profile.model import FormatTable, Profile
from ..units import Pressure
from .adjustment import ColumnChange, column_change
from .came_across import CutoffMoved, ExpectedMoved, cutoff_moved, expected_moved

FINE = frozenset({"same pressure", "rounded the safe way", "off on both"})
"""How a cutoff may come across without a remark."""
_SET_HERE = FINE | {"set differently", "added"}
"""How it may come across without asking for another number."""


class Side(NamedTuple):
    """One of the two profiles, as it was read."""

    role: Literal["sending", "receiving"]
    file: ProfileFile
    report: FileReport

    @property
    def profile(self) -> Profile:
        """The profile in it."""
        return self.file.profile


class RatingPair(NamedTuple):
    """The lowest rating of the parts of one kind on both sides, at each method's conditions."""

    part: str
    sending: RatedPart | None
    receiving: RatedPart | None

    @property
    def weaker(self) -> bool:
        """Whether the receiving part is rated lower."""
        first, second = self.sending, self.receiving
        return first is not None and second is not None and second.pressure < first.pressure


class Reason(NamedTuple):
    """Something that stands against accepting (`blocking`), or that a reviewer should see."""

    blocking: bool
    text: str


@dataclass(frozen=True, slots=True)
class Transfer:
    """The record of moving a method from one instrument to another."""

    day: date
    sending: Side
    receiving: Side
    cutoffs: tuple[CutoffMoved, ...]
    ratings: tuple[RatingPair, ...]
    expected: ExpectedMoved | None
    column: ColumnChange | None
    reasons: tuple[Reason, ...] = ()

    @property
    def decision(self) -> Literal["accept", "do not accept"]:
        """Whether nothing stands against it."""
        return "do not accept" if any(r.blocking for r in self.reasons) else "accept"

    def to_type(self, cutoff: CutoffMoved) -> tuple[Recommendation | None, str | None]:
        """What to type where a cutoff did not come across well, or why nothing can be."""
        path, report = ("cutoffs", cutoff.name), self.receiving.report
        item, withheld = of_place(report.recommendations, path), of_place(report.withheld, path)
        first = CutoffsToType(report.recommendations, report.withheld).not_alone
        if item is not None and first is not None:
            return None, first
        asked = any(of_place(finding.recommendations, path) for finding in report.findings)
        if cutoff.verdict in _SET_HERE and not asked:
            return None, None
        return item, None if item is not None or withheld is None else withheld.reason


def transfer(
    sending: ProfileFile, receiving: ProfileFile, policies: tuple[Policy, Policy], today: date
) -> Transfer:
    """The record of a move; `policies` are those of the sending and of the receiving side."""
    first, second = sending.profile, receiving.profile
    column = column_change(first, second)
    found = Transfer(
        today,
        Side("sending", sending, check_file(sending, policies[0], today)),
        Side("receiving", receiving, check_file(receiving, policies[1], today, propose=True)),
        (
            cutoff_moved("high", first.cutoffs.high, second.cutoffs.high, second.instrument),
            cutoff_moved("low", first.cutoffs.low, second.cutoffs.low, second.instrument),
        ),
        tuple(_ratings(rated_parts(first), rated_parts(second))),
        expected_moved(first, second, column),
        column,
    )
    reasons = sorted(_reasons(found), key=lambda reason: not reason.blocking)
    return replace(found, reasons=tuple(reasons))


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


def _ratings(*sides: Sequence[RatedPart]) -> Iterator[RatingPair]:
    for kind in dict.fromkeys(rated.part.part for side in sides for rated in side):
        lowest = (weakest([rated for rated in side if rated.part.part == kind]) for side in sides)
        yield RatingPair(kind, *lowest)


def _reasons(found: Transfer) -> Iterator[Reason]:
    yield from _identity(found.sending.profile, found.receiving.profile)
    for cutoff in found.cutoffs:
        if cutoff.verdict not in FINE:
            yield Reason(cutoff.blocking, f"{cutoff.name} cutoff: {cutoff.text}")
    if (expected := found.expected) is not None and expected.verdict != "agrees":
        blocking = expected.verdict == "copied unconverted"
        yield Reason(blocking, f"expected pressure: {expected.text}")
    for side in (found.sending, found.receiving):
        yield from _findings(side)
    for part, first, second in found.ratings:
        if first is not None and second is not None and second.pressure < first.pressure:
            yield Reason(False, f"weaker {part}: {second.pressure} for {first.pressure}")
    if (column := found.column) is None:
        return
    if column.sending != column.receiving:
        yield Reason(False, f"another column: {column.receiving} for {column.sending}")
    for item in column.adjustments:
        if item.kept is False:
            told = f"{item.what} {item.receiving} for {item.sending} is outside {item.allowed}"
            yield Reason(True, f"{told}: beyond an adjustment, validate it")


def _findings(side: Side) -> Iterator[Reason]:
    """The errors of a profile, without those that another explains; warnings where it goes."""
    findings = [finding for finding in side.report.findings if finding.accepted is None]
    explained = [id(item) for items in folded_findings(findings).values() for item in items]
    for finding in findings:
        if finding.worst is Severity.ERROR and id(finding) not in explained:
            told = f"{finding.check} in the {side.role} profile: {finding.message}"
            yield Reason(True, told)
    warnings = dict.fromkeys(f.check for f in findings if f.worst is Severity.WARNING)
    if warnings and side.role == "receiving":
        yield Reason(False, f"warnings in the receiving profile: {', '.join(warnings)}")


def _identity(sending: Profile, receiving: Profile) -> Iterator[Reason]:
    first, second = sending.method, receiving.method
    if first.id != second.id:
        yield Reason(True, f"another method: {second.id}, not {first.id}")
    elif first.revision != second.revision:
        told = f"another revision: {second.revision or 'none'}, not {first.revision or 'none'}"
        yield Reason(True, told)
    kinds = [
        "gradient" if profile.conditions.gradient else "isocratic"
        for profile in (sending, receiving)
        if profile.conditions is not None
    ]
    if len(set(kinds)) == 2:
        yield Reason(True, f"{kinds[1]} elution, not {kinds[0]}")
