"""Proposed cutoffs as a section of a document."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from ..limits import Bound, Limit
from ..units import Pressure, show
from .as_text.proposal import (
    ROOM,
    Proposed,
    binding_text,
    enter_text,
    not_computed_text,
    note_texts,
    units_text,
)
from .blocks import Block, Bullets, Section, Table, Text


def proposal_section(proposed: Proposed) -> Section:
    """The two cutoffs with what binds them, or what would make room."""
    return Section("Proposed cutoffs", tuple(_blocks(proposed)))


def _blocks(proposed: Proposed) -> Iterator[Block]:
    proposal, cutoffs = proposed.proposal, proposed.file.profile.cutoffs
    unit = proposed.file.profile.instrument.pressure_unit
    yield from _cutoff("High cutoff", "down", proposal.high, proposal.no_high, unit, cutoffs.high)
    if proposal.high is None:
        yield from _room(proposed, unit)
    yield from _cutoff("Low cutoff", "up", proposal.low, proposal.no_low, unit, cutoffs.low)
    for note in note_texts(proposed):
        yield Text(note)


def _cutoff(
    title: str, way: str, limit: Limit | None, reason: str | None, unit: str, now: Pressure | None
) -> Iterator[Block]:
    yield Text(enter_text(title, limit, reason, now), strong=True)
    if limit is not None:
        yield _bounds(f"{title}, {binding_text(limit, way)}", limit.bounds, unit)
        yield Text(units_text(limit, unit))


def _room(proposed: Proposed, unit: str) -> Iterator[Block]:
    if proposed.proposal.high_bounds:
        yield _bounds("What the high cutoff may not exceed", proposed.proposal.high_bounds, unit)
    if proposed.remedies.found:
        yield Text(ROOM)
        yield Bullets(tuple(remedy.text for remedy in proposed.remedies.found))
    if proposed.remedies.not_computed is not None:
        yield Text(not_computed_text(proposed.remedies.not_computed))


def _bounds(caption: str, bounds: Iterable[Bound], unit: str) -> Table:
    rows = tuple((bound.reason, show(bound.pressure, unit, digits=8)) for bound in bounds)
    return Table(caption, ("Bound", "Pressure"), rows, (1,))
