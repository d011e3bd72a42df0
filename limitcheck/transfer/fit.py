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
from ..physics.liquid import CannotPredict
from ..physics.ratio import RatioInterval
from ..policy import Policy
from ..profile.hardware import under_pressure
from ..profile.instruments import DescribedInstrument, on_instrument
from ..profile.load import ProfileFile
from .normal_pressure import expecting_there, scaled_band


class Cell(NamedTuple):
    """One method on one instrument: what to type there, or why nothing can be.

    `ratio` is the predicted pressure there over that on the method's own instrument, where the
    run is highest; where it cannot be predicted `no_ratio` says why, and nothing is proposed.
    `beyond` names parts whose derating table ends before the method's flow or temperature.
    """

    method: ProfileFile
    instrument: DescribedInstrument
    cutoffs: CutoffsToType
    ratio: RatioInterval | None
    no_ratio: str | None
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
        if self.no_ratio is not None:
            return f"its pressure there cannot be predicted ({self.no_ratio})"
        missing = self.cutoffs.reason("high") or self.cutoffs.reason("low")
        if self.beyond and missing is None:
            missing = f"the method is beyond what is stated for the {self.beyond}"
        return self.cutoffs.not_alone or missing


class FitTable(NamedTuple):
    """Every method on every instrument: a row of cells for each method."""

    instruments: tuple[DescribedInstrument, ...]
    rows: tuple[tuple[Cell, ...], ...]

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
    rows = []
    for method in methods:
        rows.append(tuple(_cell(method, other, policy, today) for other, policy in instruments))
    return FitTable(tuple(other for other, _ in instruments), tuple(rows))


def _cell(
    method: ProfileFile, instrument: DescribedInstrument, policy: Policy, today: date
) -> Cell:
    there = on_instrument(method.profile, instrument)
    parts = under_pressure(there)
    beyond = ", ".join(part.name for part in parts if any(d.beyond for d in part.deratings))
    try:
        profile = expecting_there(method.profile, there)
        ratio = scaled_band(method.profile, there).ratio.highest if there.expected else None
    except CannotPredict as error:
        return Cell(method, instrument, CutoffsToType((), ()), None, error.message, beyond)
    return Cell(method, instrument, cutoffs_to_type(profile, policy, today), ratio, None, beyond)
