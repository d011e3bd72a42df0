"""Which instruments can run which methods: every method's columns on every instrument.

The expected pressure is the method's own, times the ratio of two predictions where both can be
made (other tubing makes another pressure), and the cutoffs are those recommended for that.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from fractions import Fraction

from ..checking.recommendations import Advised, recommend
from ..checks.engine import check_profile
from ..findings import KeyPath, Recommendation
from ..limits.proposal import expecting
from ..physics.liquid import CannotPredict
from ..physics.predict import predict
from ..policy import Policy
from ..profile.hardware import under_pressure
from ..profile.instruments import DescribedInstrument, on_instrument
from ..profile.load import ProfileFile
from ..profile.model import Profile

HIGH: KeyPath = ("cutoffs", "high")
LOW: KeyPath = ("cutoffs", "low")


@dataclass(frozen=True, slots=True)
class MethodToFit:
    """A method to be placed, with the policy in force for it."""

    file: ProfileFile
    policy: Policy


@dataclass(frozen=True, slots=True)
class Cell:
    """One method on one instrument: what to type there, or why nothing can be.

    `ratio` is the predicted pressure there over that on the method's own instrument; None
    where it cannot be predicted, and the expected band is then taken as it is. `beyond` names
    parts whose derating table ends before the method's flow or temperature.
    """

    method: ProfileFile
    system: DescribedInstrument
    advised: Advised
    ratio: float | None
    beyond: tuple[str, ...]

    @property
    def pair(self) -> tuple[Recommendation, Recommendation] | None:
        """What to type as the high and the low cutoff; None where the method does not fit."""
        if self.reason is not None:
            return None
        typed = {item.path: item for item in self.advised.recommendations}
        return typed[HIGH], typed[LOW]

    @property
    def reason(self) -> str | None:
        """Why it does not fit; None where it does."""
        paths = {item.path for item in self.advised.recommendations}
        if others := [i for i in self.advised.recommendations if i.path not in (HIGH, LOW)]:
            return f"a number was mistaken, probably {', '.join(item.text for item in others)}"
        for item in self.advised.withheld:
            if item.path not in paths:
                return item.reason
        if self.beyond:
            return f"the method is beyond what is stated for the {', '.join(self.beyond)}"
        return None if paths >= {HIGH, LOW} else "no cutoff can be recommended"


@dataclass(frozen=True, slots=True)
class FitTable:
    """Every method on every instrument: a row of cells for each method."""

    systems: tuple[DescribedInstrument, ...]
    rows: tuple[tuple[Cell, ...], ...]

    @property
    def complete(self) -> bool:
        """Whether every method fits somewhere."""
        return all(any(cell.pair for cell in row) for row in self.rows)


def fit(
    methods: Sequence[MethodToFit], systems: Sequence[DescribedInstrument], today: date
) -> FitTable:
    """Each method on each instrument."""
    rows = []
    for method in methods:
        before = _predicted(method.file.profile)
        rows.append(tuple(_cell(method, system, before, today) for system in systems))
    return FitTable(tuple(systems), tuple(rows))


def _cell(
    method: MethodToFit, system: DescribedInstrument, before: float | None, today: date
) -> Cell:
    profile = on_instrument(method.file.profile, system)
    after = _predicted(profile) if before else None
    ratio = after / before if after and before else None
    if ratio is not None:
        profile = expecting(profile, Fraction(ratio).limit_denominator(10_000))
    beyond = tuple(
        part.name for part in under_pressure(profile) if any(d.beyond for d in part.deratings)
    )
    advised = recommend(check_profile(profile, method.policy, today), propose=True)
    return Cell(method.file, system, advised, ratio, beyond)


def _predicted(profile: Profile) -> float | None:
    """The highest pressure of the run [Pa]; None where it cannot be predicted."""
    try:
        return predict(profile).central
    except CannotPredict:
        return None
