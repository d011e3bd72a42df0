"""Which instruments can run which methods: every method's columns on every instrument.

The expected pressure is the method's own, times the ratio of two predictions where both can be
made (other tubing makes another pressure), and the limits are those `propose` gives there.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from ..limits import Proposal, propose
from ..limits.proposal import expecting
from ..physics.liquid import CannotPredict
from ..physics.predict import predict
from ..policy import Margins
from ..profile.combine import System, on_instrument
from ..profile.hardware import under_pressure
from ..profile.load import ProfileFile
from ..profile.model import Profile
from ..units import Pressure


@dataclass(frozen=True, slots=True)
class MethodToFit:
    """A method to be placed, with the margins in force for it."""

    file: ProfileFile
    margins: Margins


@dataclass(frozen=True, slots=True)
class Cell:
    """One method on one instrument: the proposed pair, or why there is none.

    `ratio` is the predicted pressure there over that on the method's own instrument; None
    where it cannot be predicted, and the expected band is then taken as it is. `beyond` names
    parts whose derating table ends before the method's flow or temperature.
    """

    method: ProfileFile
    system: System
    proposal: Proposal
    ratio: float | None
    beyond: tuple[str, ...]

    @property
    def pair(self) -> tuple[Pressure, Pressure] | None:
        """A safe high and a useful low cutoff; None where they are missing or not certain."""
        high, low = self.proposal.high, self.proposal.low
        if high is None or low is None or self.beyond:
            return None
        return high.pressure, low.pressure

    @property
    def reason(self) -> str | None:
        """Why it does not fit; None where it does."""
        if self.beyond and self.proposal.high is not None and self.proposal.low is not None:
            return f"the method is beyond what is stated for the {', '.join(self.beyond)}"
        return self.proposal.no_high or self.proposal.no_low


@dataclass(frozen=True, slots=True)
class FitTable:
    """Every method on every instrument: a row of cells for each method."""

    systems: tuple[System, ...]
    rows: tuple[tuple[Cell, ...], ...]

    @property
    def complete(self) -> bool:
        """Whether every method fits somewhere."""
        return all(any(cell.pair for cell in row) for row in self.rows)


def fit(methods: Sequence[MethodToFit], systems: Sequence[System]) -> FitTable:
    """Each method on each instrument."""
    rows = []
    for method in methods:
        before = _predicted(method.file.profile)
        rows.append(tuple(_cell(method, system, before) for system in systems))
    return FitTable(tuple(systems), tuple(rows))


def _cell(method: MethodToFit, system: System, before: float | None) -> Cell:
    profile = on_instrument(method.file.profile, system)
    after = _predicted(profile) if before else None
    ratio = after / before if after and before else None
    if ratio is not None:
        profile = expecting(profile, Fraction(ratio).limit_denominator(10_000))
    beyond = tuple(
        part.name for part in under_pressure(profile) if any(d.beyond for d in part.deratings)
    )
    return Cell(method.file, system, propose(profile, method.margins), ratio, beyond)


def _predicted(profile: Profile) -> float | None:
    """The highest pressure of the run [Pa]; None where it cannot be predicted."""
    try:
        return predict(profile).central
    except CannotPredict:
        return None
