"""Which instruments can run which methods: every method's columns on every instrument.

The expected pressure is the method's own, times the ratio of two predictions where both can be
made (other tubing makes another pressure), and the cutoffs are those recommended for that.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from fractions import Fraction
from typing import NamedTuple

from ..checking.proposed import NAMES, CutoffsToType, cutoffs_to_type
from ..findings import Recommendation
from ..limits.proposal import expecting
from ..physics.liquid import CannotPredict
from ..physics.predict import predict
from ..policy import Policy
from ..profile.hardware import under_pressure
from ..profile.instruments import DescribedInstrument, on_instrument
from ..profile.load import ProfileFile
from ..profile.model import Profile


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
        before = _predicted(method.profile)
        rows.append(tuple(_cell(method, other, before, policy, today) for other in instruments))
    return FitTable(tuple(instruments), tuple(rows))


def _cell(
    method: ProfileFile,
    instrument: DescribedInstrument,
    before: float | None,
    policy: Policy,
    today: date,
) -> Cell:
    profile = on_instrument(method.profile, instrument)
    after = _predicted(profile) if before else None
    ratio = after / before if after and before else None
    if ratio is not None:
        profile = expecting(profile, Fraction(ratio).limit_denominator(10_000))
    parts = under_pressure(profile)
    beyond = ", ".join(part.name for part in parts if any(d.beyond for d in part.deratings))
    return Cell(method, instrument, cutoffs_to_type(profile, policy, today), ratio, beyond)


def _predicted(profile: Profile) -> float | None:
    """The highest pressure of the run [Pa]; None where it cannot be predicted."""
    try:
        return predict(profile).central
    except CannotPredict:
        return None
