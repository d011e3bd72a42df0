"""Which instruments can run which methods: every method's columns on every instrument."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import NamedTuple

from ..checking.proposed import NAMES
from ..findings import Recommendation
from ..policy import Policy
from ..profile.instruments import DescribedInstrument, on_instrument
from ..profile.load import ProfileFile
from .proposed_there import ProposedThere, propose_there


class Cell(NamedTuple):
    """One method on one instrument: what to type there, or why nothing can be."""

    method: ProfileFile
    instrument: DescribedInstrument
    there: ProposedThere

    @property
    def pair(self) -> list[Recommendation]:
        """What to type as the high and the low cutoff; empty where the method does not fit."""
        if self.there.reason is not None:
            return []
        numbers = (self.there.cutoffs.number(name) for name in NAMES)
        return [item for item in numbers if item is not None]


class FitTable(NamedTuple):
    """Every method on every instrument: a row of cells for each method."""

    instruments: tuple[DescribedInstrument, ...]
    rows: tuple[tuple[Cell, ...], ...]
    policies: tuple[Policy, ...] = ()
    """Those in force for the instruments."""

    @property
    def fitting(self) -> int:
        """How many methods fit somewhere."""
        return sum(any(cell.pair for cell in row) for row in self.rows)


def fit(
    methods: Sequence[ProfileFile],
    instruments: Sequence[tuple[DescribedInstrument, Policy]],
    today: date,
) -> FitTable:
    """Each method on each instrument, under the policy that is in force there."""
    rows = (
        tuple(_cell(method, other, policy, today) for other, policy in instruments)
        for method in methods
    )
    policies = tuple(policy for _, policy in instruments)
    return FitTable(tuple(other for other, _ in instruments), tuple(rows), policies)


def _cell(
    method: ProfileFile, instrument: DescribedInstrument, policy: Policy, today: date
) -> Cell:
    there = on_instrument(method.profile, instrument)
    return Cell(method, instrument, propose_there(method.profile, there, policy, today))
