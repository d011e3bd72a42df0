"""One pressure read today: how far from normal it is, and what may cause it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Literal, get_args

from ..physics.faults import Faults, Normal, NotComputed
from ..physics.liquid import CannotPredict
from ..physics.system import Change
from ..profile.hardware import RatedPart, rated_parts
from ..profile.model import Profile
from ..units import Pressure, show
from .advice import confirmation
from .causes import OF_FIXED_SIZE, Cause, Fit, bell, causes
from .conditions import at_conditions

_ALIKE = 3.0  # ratio of likelihoods

Position = Literal["normal", "above normal", "below normal", "unknown"]


@dataclass(frozen=True, slots=True)
class Reading:
    """What one pressure says; `unit` is the display's.

    `off_by` [Pa] is the distance from the near end of the normal band, `off_share` the same as a
    share of that end; both are 0 inside it. Without a normal pressure `no_normal` says why.
    """

    unit: str
    pressure: Pressure
    position: Position
    normal: Normal | None
    off_by: float
    off_share: float
    cutoffs: tuple[str, ...]
    causes: tuple[Cause, ...]
    not_computed: tuple[NotComputed, ...]
    no_normal: str | None

    def confused_with(self, cause: Cause) -> tuple[str, ...]:
        """The other causes that predict this reading as well."""
        if cause.fit != "fits":
            return ()
        return tuple(c.name for c in self.causes if c.fit == "fits" and c.name != cause.name)


def read(profile: Profile, pressure: Pressure, at: Change | None = None) -> Reading:
    """Compare a reading with a profile, at the conditions of `at` where they differ.

    Raises CannotPredict where `at` asks for conditions that can't be worked out.
    """
    profile = at_conditions(profile, at or Change())
    unit, cutoffs = profile.instrument.pressure_unit, tuple(_cutoffs(profile, pressure))
    faults = Faults(profile)
    try:
        normal = faults.normal
    except CannotPredict as error:
        return Reading(unit, pressure, "unknown", None, 0.0, 0.0, cutoffs, (), (), error.message)
    value = float(pressure)
    position: Position = "normal"
    off = share = usual = 0.0
    if value > normal.high:
        position, off, share = "above normal", value - normal.high, value / normal.high - 1
    elif value < normal.low:
        position, off, share = "below normal", value - normal.low, value / normal.low - 1
    else:
        usual = bell(value, normal.low, normal.high)[1]
    missing = tuple(f for f in faults.not_computed if f.name not in OF_FIXED_SIZE)
    ranked = _ranked(list(causes(faults, pressure)), usual)
    return Reading(unit, pressure, position, normal, off, share, cutoffs, ranked, missing, None)


def _ranked(found: list[Cause], usual: float) -> tuple[Cause, ...]:
    """Those that fit alike first, the cheapest test first among them.

    `usual` is how likely the reading is with nothing wrong at all.
    """
    best = max([usual, *(cause.likelihood for cause in found)])

    def order(cause: Cause) -> tuple[int, float, float]:
        if cause.alike:
            return 0, confirmation(cause.name)[0], cause.distance
        return 1 + get_args(Fit).index(cause.fit), -cause.likelihood, cause.distance

    told = (replace(c, alike=c.fit == "fits" and c.likelihood * _ALIKE >= best) for c in found)
    return tuple(sorted(told, key=order))


def _cutoffs(profile: Profile, pressure: Pressure) -> Iterator[str]:
    """Where the reading lies against the cutoffs and the ratings, worst first."""
    unit = profile.instrument.pressure_unit
    over = [part for part in rated_parts(profile) if part.loaded and pressure > part.pressure]
    if over:
        shown = show(pressure, unit, apart=[part.pressure for part in over])
        parts = ", ".join(f"the {p.name} {p.pressure}" for p in sorted(over, key=_rating))
        yield (
            f"Stop the flow: {shown} is above what these hold: {parts}. Test at a lower flow only."
        )
    high, low = profile.cutoffs.high, profile.cutoffs.low
    if high is None or high.value == 0:
        yield "No high cutoff is set: nothing stops the pump."
    elif pressure >= high:
        yield f"At or above the high cutoff, {high}: the pump should have stopped."
    else:
        yield f"{_gap(pressure, high, unit)} below the high cutoff, {high}."
    if low is None or low.value == 0:
        yield "The low cutoff is off."
    elif pressure <= low:
        yield f"At or below the low cutoff, {low}: the pump should have stopped."
    else:
        yield f"{_gap(low, pressure, unit)} above the low cutoff, {low}."


def _rating(part: RatedPart) -> Pressure:
    return part.pressure


def _gap(low: Pressure, high: Pressure, unit: str) -> str:
    return show(Pressure.of(high.to(unit) - low.to(unit), unit), unit)
