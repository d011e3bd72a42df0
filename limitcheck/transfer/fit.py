"""Which instruments can run which methods: every method's columns on every instrument.

The expected pressure is what `transfer --new` writes for that instrument, and the cutoffs are
those recommended for it: both commands give the same two numbers.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import NamedTuple

from ..checking.proposed import NAMES, CutoffsToType, cutoffs_to_type
from ..findings import Recommendation
from ..policy import Policy
from ..profile.hardware import under_pressure
from ..profile.instruments import DescribedInstrument, on_instrument
from ..profile.load import ProfileFile
from .came_across import predicted_ratio
from .new_profile import expecting_there


class Cell(NamedTuple):
    """One method on one instrument: what to type there, or why nothing can be.

    `ratio` is the predicted pressure there over that on the method's own instrument; None
    where it cannot be predicted, and the expected band is then taken as it is. `beyond` names
    parts whose derating table ends before the method's flow or temperature.
    """

    method: ProfileFile
    instrument: DescribedInstrument
    cutoffs: CutoffsToType
    ratio: float | None
    beyond: str

    @property
    def pair(self) -> list[Recommendation]:
        """What to type as the high and the low cutoff; empty where the method does not fit."""
        if self.reason is not None:
            return []
        return [item for name in NAMES if (item := self.cutoffs.number(name)) is not None]

    @property
    def reason(self) -> str | None:
        """Why it does not fit; None where it does."""
        missing = self.cutoffs.reason("high") or self.cutoffs.reason("low")
        if self.beyond and missing is None:
            missing = f"the method is beyond what is stated for the {self.beyond}"
        return self.cutoffs.not_alone or missing


class FitTable(NamedTuple):
    """Every method on every instrument: a row of cells for each method."""

    instruments: tuple[DescribedInstrument, ...]
    rows: tuple[tuple[Cell, ...], ...]
    policies: tuple[Policy, ...] = ()
    """Those of the methods."""

    @property
    def fitting(self) -> int:
        """How many methods fit somewhere."""
        return sum(any(cell.pair for cell in row) for row in self.rows)


def fit(
    methods: Sequence[tuple[ProfileFile, Policy]],
    instruments: Sequence[DescribedInstrument],
    today: date,
) -> FitTable:
    """Each method, under its policy, on each instrument."""
    rows = []
    for method, policy in methods:
        rows.append(tuple(_cell(method, other, policy, today) for other in instruments))
    return FitTable(tuple(instruments), tuple(rows), tuple(policy for _, policy in methods))


def _cell(
    method: ProfileFile, instrument: DescribedInstrument, policy: Policy, today: date
) -> Cell:
    there = on_instrument(method.profile, instrument)
    ratio, _ = predicted_ratio(method.profile, there)
    profile = expecting_there(method.profile, there)
    parts = under_pressure(profile)
    beyond = ", ".join(part.name for part in parts if any(d.beyond for d in part.deratings))
    return Cell(method, instrument, cutoffs_to_type(profile, policy, today), ratio, beyond)
