"""Which instruments can run which methods: every method's columns on every instrument.

The expected pressure is the method's own, times the ratio of two predictions where both can be
made (other tubing makes another pressure), and the limits are those `propose` gives there.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction

from ..limits import Proposal, propose
from ..physics.liquid import CannotPredict
from ..physics.predict import predict
from ..policy import Margins
from ..profile.hardware import under_pressure
from ..profile.instruments import DescribedInstrument, on_instrument
from ..profile.load import ProfileFile
from ..profile.model import Profile
from ..units import Pressure


@dataclass(frozen=True, slots=True)
class Method:
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

    proposal: Proposal
    unit: str
    ratio: float | None
    beyond: tuple[str, ...]

    @property
    def fits(self) -> bool:
        """Whether there are a safe high and a useful low cutoff, on stated ratings."""
        return self.reason is None

    @property
    def reason(self) -> str | None:
        """Why not; None where it fits."""
        if self.proposal.high is None:
            return self.proposal.no_high
        if self.proposal.low is None:
            return self.proposal.no_low
        if self.beyond:
            return f"the method is beyond what is stated for the {', '.join(self.beyond)}"
        return None


@dataclass(frozen=True, slots=True)
class Row:
    """One method on every instrument."""

    method: Method
    cells: tuple[Cell, ...]


def fit(methods: Sequence[Method], systems: Sequence[DescribedInstrument]) -> Iterator[Row]:
    """A row for each method, a cell for each instrument."""
    for method in methods:
        before = _predicted(method.file.profile)
        yield Row(method, tuple(_cell(method, system, before) for system in systems))


def _cell(method: Method, system: DescribedInstrument, before: float | None) -> Cell:
    profile = on_instrument(method.file.profile, system)
    after = _predicted(profile) if before else None
    ratio = after / before if after and before else None
    expected = profile.expected
    if ratio is not None and expected is not None:
        by = Fraction(ratio).limit_denominator(10_000)
        scaled = {
            name: Pressure.of(pressure.to(pressure.unit) * by, pressure.unit)
            for name, pressure in (("low", expected.low), ("high", expected.high))
        }
        expected = expected.model_copy(update=scaled)
        profile = profile.model_copy(update={"expected": expected})
    beyond = tuple(
        part.name for part in under_pressure(profile) if any(d.beyond for d in part.deratings)
    )
    unit = system.instrument.pressure_unit
    return Cell(propose(profile, method.margins), unit, ratio, beyond)


def _predicted(profile: Profile) -> float | None:
    """The highest pressure of the run [Pa]; None where it cannot be predicted."""
    try:
        return predict(profile).central
    except CannotPredict:
        return None
