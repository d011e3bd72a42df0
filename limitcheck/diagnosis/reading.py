"""One pressure read today: how far from normal it is, and what may cause it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from ..physics.faults import Faults
from ..physics.liquid import CannotPredict
from ..physics.system import Change
from ..profile.hardware import rated_parts
from ..profile.model import Profile
from ..units import PRESSURE_UNITS, Pressure, show
from .causes import OF_FIXED_SIZE, Candidate, Fit, bell, candidates
from .conditions import at_conditions
from .confirm import test_for

_ALIKE = 3.0  # ratio of likelihoods
_FITS: tuple[Fit, ...] = ("fits", "near", "does not fit")

Position = Literal["normal", "above normal", "below normal", "unknown"]


@dataclass(frozen=True, slots=True)
class Cause:
    """A cause, the pressure it predicts [unit], how well that fits, and how to confirm it.

    `alike`: pressure can't tell it from the best one. `confused_with` names the causes that
    predict this reading as well. `any_size`: the size was worked out from the reading.
    """

    name: str
    description: str
    low: float
    high: float
    any_size: bool
    fit: Fit
    alike: bool
    test: str
    confused_with: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Reading:
    """What one pressure says; pressures in `unit`."""

    unit: str
    pressure: float
    position: Position
    expected_low: float | None
    expected_high: float | None
    basis: str | None
    off_by: float | None  # from the near end of the expected band; 0 inside it
    off_share: float | None  # the same as a share of that end
    cutoffs: tuple[str, ...]
    causes: tuple[Cause, ...]
    not_computed: tuple[tuple[str, str], ...]
    no_normal: str | None


def read(profile: Profile, pressure: Pressure, at: Change | None = None) -> Reading:
    """Hold a reading against a profile, at the conditions of `at` where they differ.

    Raises CannotPredict where `at` asks for conditions that can't be worked out.
    """
    unit = profile.instrument.pressure_unit
    pascal = float(PRESSURE_UNITS[unit].factor)
    profile = at_conditions(profile, at or Change())
    faults = Faults(profile)
    try:
        normal = faults.normal
    except CannotPredict as error:
        return Reading(
            unit=unit,
            pressure=float(pressure) / pascal,
            position="unknown",
            expected_low=None,
            expected_high=None,
            basis=None,
            off_by=None,
            off_share=None,
            cutoffs=tuple(_cutoffs(profile, pressure)),
            causes=(),
            not_computed=(),
            no_normal=error.message,
        )
    value = float(pressure)
    position: Position = "normal"
    off = share = 0.0
    if value > normal.high:
        position, off, share = "above normal", value - normal.high, value / normal.high - 1
    elif value < normal.low:
        position, off, share = "below normal", value - normal.low, value / normal.low - 1
    found = list(candidates(profile, pressure))
    return Reading(
        unit=unit,
        pressure=value / pascal,
        position=position,
        expected_low=normal.low / pascal,
        expected_high=normal.high / pascal,
        basis=normal.basis,
        off_by=off / pascal,
        off_share=share,
        cutoffs=tuple(_cutoffs(profile, pressure)),
        causes=tuple(_causes(found, pascal, _normal_likelihood(value, normal.low, normal.high))),
        not_computed=tuple(
            (missing.name, missing.reason)
            for missing in faults.not_computed
            if missing.name not in OF_FIXED_SIZE
        ),
        no_normal=None,
    )


def _normal_likelihood(value: float, low: float, high: float) -> float:
    """How likely the reading is with nothing wrong at all."""
    return bell(value, low, high)[1] if low <= value <= high else 0.0


def _causes(found: list[Candidate], pascal: float, normal: float) -> list[Cause]:
    """Ranked: those that fit alike first, the cheapest test first among them."""
    best = max([normal, *(c.likelihood for c in found)])
    fitting = [c for c in found if c.fit == "fits"]
    ranked = []
    for candidate in found:
        fits = candidate.fit == "fits"
        effort, test = test_for(candidate.name)
        alike = fits and candidate.likelihood * _ALIKE >= best
        others = tuple(c.name for c in fitting if fits and c is not candidate)
        cause = Cause(
            candidate.name,
            candidate.description,
            candidate.low / pascal,
            candidate.high / pascal,
            candidate.any_size,
            candidate.fit,
            alike,
            test,
            others,
        )
        group = 0 if alike else 1 + _FITS.index(candidate.fit)
        order = effort if alike else -candidate.likelihood
        ranked.append(((group, order, candidate.distance), cause))
    return [cause for _, cause in sorted(ranked, key=lambda item: item[0])]


def _cutoffs(profile: Profile, pressure: Pressure) -> list[str]:
    """Where the reading lies against the cutoffs and the ratings, worst first."""
    unit = profile.instrument.pressure_unit
    shown = show(pressure, unit)
    told = []
    over = [part for part in rated_parts(profile) if pressure > part.pressure]
    column = max(i for i, part in enumerate(profile.flow_path) if part.part == "column")
    for part in sorted(over, key=lambda p: p.pressure):
        if part.index <= column:
            told.append(
                f"{shown} is above the rating of the {part.name}, {part.pressure}: stop the flow, "
                "and test at a lower flow only."
            )
    high, low = profile.cutoffs.high, profile.cutoffs.low
    if high is None or high.value == 0:
        told.append("no high cutoff is set: nothing stops the pump.")
    elif pressure >= high:
        told.append(f"at or above the high cutoff, {high}: the pump should have stopped.")
    else:
        gap = Pressure.of(high.to(unit) - pressure.to(unit), unit)
        told.append(f"{show(gap, unit)} below the high cutoff, {high}.")
    if low is None or low.value == 0:
        told.append("the low cutoff is off.")
    elif pressure <= low:
        told.append(f"at or below the low cutoff, {low}: the pump should have stopped.")
    else:
        gap = Pressure.of(pressure.to(unit) - low.to(unit), unit)
        told.append(f"{show(gap, unit)} above the low cutoff, {low}.")
    return told
