"""Measured pairs of flow and pressure, and what they say of a flow path: plain records."""

from __future__ import annotations

from math import hypot, log
from typing import Literal, NamedTuple

from .blend import Blend, apart
from .flow_path import DAY_ERROR, REPEAT_ERROR, Segment, State
from .liquid import NEAR_FRACTION, NEAR_KELVIN

NOISE = hypot(DAY_ERROR, REPEAT_ERROR)
FAR_OFF = 2.0 * NOISE
TELLING = 0.7  # of the width after one pair: below it the split counts as measured


class Reading(NamedTuple):
    """A usable pair: its number from 1, pressure [Pa], the state it was read in, and with what."""

    number: int
    pressure: float
    state: State
    column: bool


class Pair(NamedTuple):
    """A pair beside the model: pressures [Pa] by geometry, what that allows, and by the fit."""

    reading: Reading
    least: float
    predicted: float
    most: float
    fitted: float

    @property
    def off(self) -> float:
        """How far it was read from the fit, in ln [-]."""
        return log(self.reading.pressure / self.fitted)


class Factor(NamedTuple):
    """Fitted over predicted by geometry [-], with its interval, and what the geometry allows."""

    low: float
    central: float
    high: float
    least: float
    most: float

    @property
    def outside(self) -> bool:
        """Whether the geometry does not allow it."""
        return not self.least <= self.central <= self.most

    @property
    def distance(self) -> float:
        """How far from one, in half-widths of what the geometry allows [-]."""
        side = self.most if self.central > 1.0 else self.least
        return log(self.central) / log(side)


class Estimate(NamedTuple):
    """What the pairs say: ``columns`` and ``others`` are None where there are no such parts.

    ``reference`` is the state of the highest reading.

    ``separation`` [-] is the width of what columns take against the others, over that after one
    pair alone: near 1 where the pairs tell only the whole. ``disagreement`` is chi squared of the
    pairs among each other, on one degree of freedom less than pairs; ``reconciled`` the same with
    an ``offset`` [Pa] at zero flow, which has the half-width ``offset_error`` [Pa].
    """

    pairs: tuple[Pair, ...]
    segments: tuple[Segment, ...]
    reference: State
    whole: Factor
    columns: Factor | None
    others: Factor | None
    separation: float
    disagreement: float
    reconciled: float
    offset: float
    offset_error: float


Oddity = Literal["", "falls", "apart", "no column", "offset", "no scale"]
"""How pairs contradict each other: less pressure at more flow, two read alike far apart, no less
without the column, a pressure at zero flow, anything else."""


class Fit(NamedTuple):
    """What the measured pairs of a profile come to.

    ``estimate`` is None where too few can be used; ``skipped`` are those that cannot, by number,
    and why. ``unused`` says why the prediction does not use them, empty where it does; ``oddity``
    and ``odd`` how they contradict each other, of the pairs ``between``; ``advice`` what is lacking
    besides pairs.
    """

    estimate: Estimate | None
    skipped: tuple[tuple[int, str], ...]
    unused: str = ""
    oddity: Oddity = ""
    odd: str = ""
    between: tuple[int, ...] = ()
    advice: str = ""

    @property
    def separated(self) -> bool:
        """Whether the pairs tell columns and other parts apart."""
        return self.estimate is not None and self.estimate.separation < TELLING

    def correction(self, solvents: Blend, kelvin: float) -> float:
        """By how much pairs move ln(eta) of a liquid at a column temperature [K] [-].

        All of what its own pairs say at their liquid and temperature, none at the reference's;
        between, each by one over the square of its distance. A difference as small as readings
        differ anyway counts little: r^2 / (r^2 + noise^2) of it.
        """
        if self.estimate is None or self.unused:
            return 0.0
        own = self.estimate.reference
        groups: dict[tuple[Blend, float], list[float]] = {(own.liquid.solvents, own.hot): [0.0]}
        for pair in self.estimate.pairs:
            state = pair.reading.state
            key = state.liquid.solvents, state.hot
            if pair.reading.column and key != (own.liquid.solvents, own.hot):
                groups.setdefault(key, []).append(pair.off)
        weights = moved = 0.0
        for (blend, hot), offs in groups.items():
            far = apart(blend, solvents) / NEAR_FRACTION + abs(hot - kelvin) / NEAR_KELVIN
            off = sum(offs) / len(offs)
            weight = 1.0 / (far * far + 1e-9)
            weights += weight
            moved += weight * off * off * off / (off * off + NOISE * NOISE)
        return moved / weights

    @property
    def elsewhere(self) -> tuple[Pair, ...]:
        """Pairs far off the fit, as what is not known of their own liquid or temperature allows."""
        found = () if self.estimate is None or self.unused else self.estimate.pairs
        return tuple(pair for pair in found if pair.reading.column and abs(pair.off) > FAR_OFF)

    @property
    def groups(self) -> tuple[tuple[str, Factor], ...]:
        """What the pairs tell something of, by name: columns and other parts, or the whole."""
        found = self.estimate
        if found is None:
            return ()
        both = [("columns", found.columns), ("other parts", found.others)]
        if not any(pair.reading.column for pair in found.pairs):
            del both[0]
        elif not self.separated:
            return (("all parts together", found.whole),)
        return tuple((name, factor) for name, factor in both if factor is not None)
