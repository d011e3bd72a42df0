"""One method on two instruments: everything a reviewer needs, and whether to accept it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Literal

from ..checking.file import check_file
from ..checking.results import FileReport
from ..findings import Finding, KeyPath, Recommendation, Severity
from ..policy import Policy
from ..profile.hardware import RatedPart, rated_parts
from ..profile.load import ProfileFile
from ..profile.model import FormatTable, Profile
from ..units import Pressure
from ..version import __version__
from .adjustment import ColumnChange, column_change
from .came_across import CutoffMoved, ExpectedMoved, cutoff_moved, expected_moved

FINE = frozenset({"same pressure", "rounded the safe way", "off on both"})
"""How a cutoff may come across without a remark."""
_SET_HERE = FINE | {"set anew", "added"}
"""How it may come across without asking for another number."""


@dataclass(frozen=True, slots=True)
class Side:
    """One of the two profiles, as it was read."""

    role: Literal["sending", "receiving"]
    file: ProfileFile
    report: FileReport

    @property
    def profile(self) -> Profile:
        """The profile in it."""
        return self.file.profile

    @property
    def unit(self) -> str:
        """What its instrument shows."""
        return self.file.profile.instrument.pressure_unit

    @property
    def errors(self) -> tuple[Finding, ...]:
        """Its own open errors, without those that another one explains."""
        findings = self.report.findings
        explained = [tuple(item) for f in findings for item in f.data.get("explains", ())]
        return tuple(
            finding
            for finding in findings
            if finding.severity is Severity.ERROR
            and finding.accepted is None
            and (finding.check, *finding.path) not in explained
        )


@dataclass(frozen=True, slots=True)
class RatingPair:
    """The lowest rating of the parts of one kind on both sides, at each method's conditions."""

    part: str
    sending: RatedPart | None
    receiving: RatedPart | None

    @property
    def weaker(self) -> bool:
        """Whether the receiving part holds less."""
        return (
            self.sending is not None
            and self.receiving is not None
            and self.receiving.pressure < self.sending.pressure
        )


@dataclass(frozen=True, slots=True)
class Reason:
    """Something that stands against accepting (`blocking`), or that a reviewer should see."""

    blocking: bool
    text: str


@dataclass(frozen=True, slots=True)
class Transfer:
    """The record of moving a method from one instrument to another."""

    version: str
    day: date
    sending: Side
    receiving: Side
    cutoffs: tuple[CutoffMoved, ...]
    ratings: tuple[RatingPair, ...]
    expected: ExpectedMoved | None
    column: ColumnChange | None
    reasons: tuple[Reason, ...]

    @property
    def accepted(self) -> bool:
        """Whether nothing stands against it."""
        return not any(reason.blocking for reason in self.reasons)

    @property
    def decision(self) -> str:
        """ "accept" or "do not accept"."""
        return "accept" if self.accepted else "do not accept"

    def recommended(self, cutoff: CutoffMoved) -> Recommendation | None:
        """What to type on the receiving instrument, where a cutoff did not come across well."""
        path: KeyPath = ("cutoffs", cutoff.name)
        findings = self.receiving.report.findings
        asked = any(item.path == path for f in findings for item in f.recommendations)
        if cutoff.verdict in _SET_HERE and not asked:
            return None
        return next((i for i in self.receiving.report.recommendations if i.path == path), None)

    def withheld(self, cutoff: CutoffMoved) -> str | None:
        """Why nothing can be recommended for a cutoff that did not come across well."""
        path: KeyPath = ("cutoffs", cutoff.name)
        reasons = (item.reason for item in self.receiving.report.withheld if item.path == path)
        well = cutoff.verdict in _SET_HERE or self.recommended(cutoff) is not None
        return None if well else next(reasons, None)


def transfer(
    sending: ProfileFile, receiving: ProfileFile, policies: tuple[Policy, Policy], today: date
) -> Transfer:
    """The record of a move; `policies` are those of the sending and of the receiving side."""
    sides = (
        Side("sending", sending, check_file(sending, policies[0], today)),
        Side("receiving", receiving, check_file(receiving, policies[1], today, propose=True)),
    )
    first, second = sending.profile, receiving.profile
    cutoffs = (
        cutoff_moved("high", first.cutoffs.high, second.cutoffs.high, second.instrument),
        cutoff_moved("low", first.cutoffs.low, second.cutoffs.low, second.instrument),
    )
    ratings = _ratings(first, second)
    expected = expected_moved(first, second)
    column = column_change(first, second)
    reasons = sorted(
        _reasons(sides, cutoffs, ratings, expected, column), key=lambda reason: not reason.blocking
    )
    return Transfer(__version__, today, *sides, cutoffs, ratings, expected, column, tuple(reasons))


def pressures(profile: Profile) -> Iterator[tuple[KeyPath, Pressure]]:
    """Every pressure a profile states, with its key path, in the order of the format."""
    yield from _within(profile, ())


def _within(value: object, path: KeyPath) -> Iterator[tuple[KeyPath, Pressure]]:
    if isinstance(value, Pressure):
        yield path, value
    elif isinstance(value, FormatTable):
        for name in type(value).model_fields:
            yield from _within(getattr(value, name), (*path, name))
    elif isinstance(value, tuple):
        for index, item in enumerate(value):
            yield from _within(item, (*path, index))


def _ratings(sending: Profile, receiving: Profile) -> tuple[RatingPair, ...]:
    first, second = _lowest(rated_parts(sending)), _lowest(rated_parts(receiving))
    return tuple(
        RatingPair(part, first.get(part), second.get(part)) for part in {**first, **second}
    )


def _lowest(parts: Sequence[RatedPart]) -> dict[str, RatedPart]:
    found: dict[str, RatedPart] = {}
    for rated in parts:
        kept = found.setdefault(rated.part.part, rated)
        if rated.pressure < kept.pressure:
            found[rated.part.part] = rated
    return found


def _reasons(
    sides: tuple[Side, Side],
    cutoffs: Sequence[CutoffMoved],
    ratings: Sequence[RatingPair],
    expected: ExpectedMoved | None,
    column: ColumnChange | None,
) -> Iterator[Reason]:
    sending, receiving = sides
    yield from _identity(sending.profile, receiving.profile)
    for cutoff in cutoffs:
        if cutoff.verdict not in FINE:
            yield Reason(cutoff.blocking, f"{cutoff.name} cutoff: {cutoff.text}")
    if expected is not None and expected.verdict != "agrees":
        blocking = expected.verdict == "copied unconverted"
        yield Reason(blocking, f"expected pressure: {expected.text}")
    for side in sides:
        for finding in side.errors:
            yield Reason(True, f"{finding.check} in the {side.role} profile: {finding.message}")
    warnings = (f for f in receiving.report.findings if f.severity is Severity.WARNING)
    if named := dict.fromkeys(f.check for f in warnings if f.accepted is None):
        yield Reason(False, f"warnings in the receiving profile: {', '.join(named)}")
    for pair in ratings:
        if pair.weaker and pair.sending is not None and pair.receiving is not None:
            yield Reason(
                False, f"weaker {pair.part}: {pair.receiving.pressure} for {pair.sending.pressure}"
            )
    if column is None:
        return
    if column.sending != column.receiving:
        yield Reason(False, f"another column: {column.receiving} for {column.sending}")
    for adjustment in column.adjustments:
        if adjustment.kept is False:
            yield Reason(
                True,
                f"{adjustment.what} {adjustment.receiving} for "
                f"{adjustment.sending} is outside {adjustment.allowed}: beyond an "
                "adjustment, validate it",
            )


def _identity(sending: Profile, receiving: Profile) -> Iterator[Reason]:
    first, second = sending.method, receiving.method
    if first.id != second.id:
        yield Reason(True, f"another method: {second.id}, not {first.id}")
    elif first.revision != second.revision:
        yield Reason(
            True, f"another revision: {second.revision or 'none'}, not {first.revision or 'none'}"
        )
    kinds = [
        "gradient" if p.conditions and p.conditions.gradient else "isocratic"
        for p in (sending, receiving)
        if p.conditions is not None
    ]
    if len(set(kinds)) == 2:
        yield Reason(True, f"{kinds[1]} elution, not {kinds[0]}")
