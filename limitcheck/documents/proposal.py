"""Proposed cutoffs as a document and as plain data."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from typing import Any, Literal

from ..checks.results import FileReport
from ..findings import Finding, KeyPath
from ..limits import Bound, Limit, Proposal, percent
from ..limits.room import WaysToMakeRoom
from ..policy import Margins
from ..profile.hardware import under_pressure
from ..profile.load import ProfileFile
from ..units import Pressure, plain_or_rounded, show, show_all
from .blocks import Block, Bullets, Chapter, Document, Section, Table, Text, ToType
from .cautions import IN_A_RECORD, texts
from .data import frame, path_data, pressure_data, profile_data
from .parts import inputs, named

Name = Literal["high", "low"]
NAMES: tuple[Name, Name] = ("high", "low")


@dataclass(frozen=True, slots=True)
class Proposed:
    """One profile with its proposed limits, the margins they come of, and what makes room.

    `report` is the check of the profile as it is.
    """

    file: ProfileFile
    report: FileReport
    margins: Margins
    proposal: Proposal
    room: WaysToMakeRoom

    @property
    def doubts(self) -> tuple[Finding, ...]:
        """Open findings that the proposal's own basis may be in another unit."""
        return tuple(
            finding
            for finding in self.report.findings
            if finding.check == "unit-confusion"
            and finding.accepted is None
            and finding.path[0] != "cutoffs"
        )

    def limit(self, name: Name) -> Limit | None:
        """The limit for a cutoff; None where there is none, or what it rests on is in doubt."""
        if self.doubts:
            return None
        return self.proposal.high if name == "high" else self.proposal.low

    def reason(self, name: Name) -> str | None:
        """Why there is no limit for a cutoff; None where there is one."""
        if self.doubts:
            return "the unit of a pressure that it rests on is in doubt"
        return self.proposal.no_high if name == "high" else self.proposal.no_low

    def typed(self, name: Name) -> Pressure | None:
        """The cutoff in the file."""
        cutoffs = self.file.profile.cutoffs
        return cutoffs.high if name == "high" else cutoffs.low

    @property
    def complete(self) -> bool:
        """Whether there is a number for both cutoffs."""
        return all(self.limit(name) for name in NAMES)

    @property
    def changes(self) -> dict[KeyPath, str]:
        """The numbers to put into the file; none without a safe high cutoff."""
        if self.limit("high") is None:
            return {}
        return {
            ("cutoffs", name): limit.enter
            for name in NAMES
            if (limit := self.limit(name)) is not None and limit.pressure != self.typed(name)
        }


def proposal_document(found: Sequence[Proposed], day: date) -> Document:
    """The cutoffs to type for each profile, with what binds them."""
    cautions, made = tuple(texts(IN_A_RECORD)), day.isoformat()
    if len(found) == 1:
        (only,) = found
        chapter = Chapter(named(only.file.profile), tuple(_why(only)))
        title = f"Proposed cutoffs: {chapter.heading}"
        return Document(title, tuple(_answer(only)), (chapter,), cautions, made)
    done = sum(proposed.complete for proposed in found)
    verdict = f"Both cutoffs are proposed for {done} of {len(found)} profiles."
    chapters = tuple(
        Chapter(proposed.file.path, (Section("", tuple(_answer(proposed))), *_why(proposed)))
        for proposed in found
    )
    return Document("Proposed cutoffs", (Text(verdict, strong=True),), chapters, cautions, made)


def proposal_section(proposed: Proposed) -> Section:
    """The answer with what binds it, as one section of a page."""
    why = (block for section in _why(proposed) if not section.in_record for block in section.blocks)
    return Section("Proposed cutoffs", (*_answer(proposed), *why))


def _answer(proposed: Proposed) -> Iterator[Block]:
    profile = proposed.file.profile
    reasons = {name: reason for name in NAMES if (reason := proposed.reason(name)) is not None}
    if len(set(reasons.values())) == 1 and len(reasons) == 2:
        told = f"no cutoff can be proposed: {reasons['high']}."
    elif reasons:
        told = "; ".join(f"no {name} cutoff can be proposed: {why}" for name, why in reasons.items())
        told += "."
    else:
        told = "proposed cutoffs, as in the file:" if not proposed.changes else "proposed cutoffs:"
    yield Text(f"{named(profile)}: {told}", strong=True)
    for name in NAMES:
        if (limit := proposed.limit(name)) is not None:
            label = f"{name.capitalize()} cutoff"
            yield ToType(label, limit.enter, profile.instrument.pressure_unit)
    for finding in proposed.doubts:
        yield Text(f"Correct this first: {finding.message} {finding.advice}")
    if proposed.changes or reasons:
        now = " and ".join(f"{name} {_typed(proposed.typed(name))}" for name in NAMES)
        yield Text(f"{proposed.file.path} has {now}.")


def _typed(pressure: Pressure | None) -> str:
    return "missing" if pressure is None else str(pressure) if pressure.value else "off"


def _why(proposed: Proposed) -> Iterator[Section]:
    if not proposed.doubts:
        yield from _bounds(proposed)
    if proposed.limit("high") is None and proposed.room.found:
        ways = Bullets(tuple(way.text for way in proposed.room.found))
        yield Section("Any one of these makes room for a high cutoff", (ways,))
    notes = tuple(Text(note) for note in _notes(proposed))
    if notes:
        yield Section("Not checked", notes)
    shares = tuple(
        (label, percent(share), origin) for label, share, origin in _margins(proposed.margins)
    )
    margins = Table("", ("Margin", "Share", "From"), shares, (1,))
    yield Section("What this rests on", (margins, inputs([proposed.file])), in_record=True)


def _bounds(proposed: Proposed) -> Iterator[Section]:
    """What binds each cutoff, and every bound in the instrument's unit."""
    instrument = proposed.file.profile.instrument
    unit, step = instrument.pressure_unit, plain_or_rounded(instrument.step)
    for name, way in zip(NAMES, ("down", "up"), strict=True):
        limit = proposed.limit(name)
        bounds = limit.bounds if limit else proposed.proposal.high_bounds if name == "high" else ()
        blocks: list[Block] = []
        apart = [] if limit is None else [limit.pressure]
        shown = [(bound.reason, show(bound.pressure, unit, digits=6, apart=apart)) for bound in bounds]
        if limit is not None:
            reason, exact = next(row for row in shown if row[0] == limit.binding.reason)
            rounded = f", rounded {way} to a step of {step} {unit}"
            told = f"Bound by the {reason}: {exact}" + (
                "" if limit.binding.pressure == limit.pressure else rounded
            )
            others = show_all(limit.pressure, skip=unit, apart=[limit.binding.pressure])
            blocks.append(Text(f"{told}. {limit.pressure} is {others}."))
        if len(bounds) > 1 or limit is None and bounds:
            blocks.append(Table("", ("Bound", "Pressure"), tuple(shown), (1,)))
        if blocks:
            yield Section(f"{name.capitalize()} cutoff", tuple(blocks))


def _notes(proposed: Proposed) -> Iterator[str]:
    if proposed.proposal.unrated:
        yield f"No rating is given: {', '.join(proposed.proposal.unrated)}."
    for part in under_pressure(proposed.file.profile):
        for derating in part.deratings:
            if derating.beyond:
                yield (
                    f"What the {part.name} is rated at {derating.at} is not stated; at most "
                    f"{derating.pressure}. Ask the maker before you use these cutoffs."
                )
    if proposed.room.not_computed is not None:
        yield f"Whether another flow, temperature or length helps: {proposed.room.not_computed}."


def _margins(margins: Margins) -> Iterator[tuple[str, Fraction, str]]:
    yield "High cutoff above the expected maximum", margins.high, margins.origin["high"]
    yield "Low cutoff below the expected minimum", margins.low, margins.origin["low"]
    yield "Kept free under the weakest rating", margins.headroom, margins.origin["headroom"]


def proposal_data(found: Sequence[Proposed]) -> dict[str, Any]:
    """Every proposal as plain data."""
    return frame(proposals=[_data(proposed) for proposed in found])


def _data(proposed: Proposed) -> dict[str, Any]:
    margins, bounds = proposed.margins, proposed.proposal.high_bounds
    return {
        "profile": profile_data(proposed.file),
        "high": _cutoff_data(proposed, "high", bounds),
        "low": _cutoff_data(proposed, "low", ()),
        "doubts": [finding.message for finding in proposed.doubts],
        "unrated": list(proposed.proposal.unrated),
        "margins": {
            name: {"share": plain_or_rounded(getattr(margins, name)), "from": origin}
            for name, origin in margins.origin.items()
        },
        "ways_to_make_room": [{"kind": w.kind, "text": w.text} for w in proposed.room.found],
        "not_computed": proposed.room.not_computed,
    }


def _cutoff_data(proposed: Proposed, name: Name, bounds: Sequence[Bound]) -> dict[str, Any]:
    limit, typed = proposed.limit(name), proposed.typed(name)
    unit = proposed.file.profile.instrument.pressure_unit
    return {
        "typed": None if typed is None else pressure_data(typed),
        "enter": None if limit is None else pressure_data(limit.pressure),
        "reason": proposed.reason(name),
        "binding": None if limit is None else path_data(limit.binding.path),
        "bounds": [
            {
                "path": path_data(bound.path),
                "reason": bound.reason,
                "pressure": pressure_data(Pressure.of(bound.pressure.to(unit), unit)),
            }
            for bound in (limit.bounds if limit else bounds)
        ],
    }
