"""What would make room for a safe high cutoff where there is none.

A changed flow, temperature or column length acts through the ratio of two predictions, which
is far surer than a predicted pressure; its upper end is used. Ratings are taken at the changed
flow and temperature.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from fractions import Fraction
from typing import Literal, TypeVar

from ..physics.liquid import CannotPredict
from ..physics.ratio import ratio
from ..physics.system import Change
from ..policy import Margins
from ..profile.model import Column, Profile
from ..units import (
    Flow,
    Pressure,
    Quantity,
    Temperature,
    plain_or_rounded,
    round_down,
    round_up,
    show,
)
from ..units.numbers import decimals_for
from .proposal import least_high, propose

Q = TypeVar("Q", bound=Quantity)
Kind = Literal["flow", "temperature", "column length", "rating", "entry field", "margin"]
HOTTEST = 353.15
"""K; warmer columns are not proposed (common practice, no source)."""
STEP_KELVIN = 1
DIGITS = 20
"""Halvings of the interval in a search."""


@dataclass(frozen=True, slots=True)
class Remedy:
    """One change that, by itself, makes room for a safe high cutoff."""

    kind: Kind
    text: str
    value: Quantity | None = None


@dataclass(frozen=True, slots=True)
class Remedies:
    """The changes that would each do, and why others could not be worked out."""

    found: tuple[Remedy, ...]
    not_computed: str | None = None


def remedies(profile: Profile, margins: Margins) -> Remedies:
    """What would give a profile without a safe high cutoff one."""
    proposal, expected = propose(profile, margins), profile.expected
    if proposal.high is not None or expected is None or not proposal.high_bounds:
        return Remedies(())
    if expected.low > expected.high:
        return Remedies(())
    found = _together(list(_stronger(profile, margins)))
    try:
        found += _gentler(profile, margins)
    except CannotPredict as error:
        return Remedies(tuple(found), error.message)
    return Remedies(tuple(found))


def _together(needed: list[Remedy]) -> list[Remedy]:
    """One remedy: where several bounds are too low, raising one alone does not do."""
    if len(needed) < 2:
        return needed
    return [Remedy(needed[0].kind, ", together with ".join(remedy.text for remedy in needed))]


def _stronger(profile: Profile, margins: Margins) -> Iterator[Remedy]:
    """What each bound that is too low needs: a stronger part, a wider field or margin."""
    instrument, expected = profile.instrument, profile.expected
    assert expected is not None
    unit = instrument.pressure_unit
    needed = round_up(least_high(expected, margins).to(unit), instrument.step)
    for bound in propose(profile, margins).high_bounds:
        if bound.pressure.to(unit) >= needed:
            continue
        if bound.path[0] == "expected":
            text = "a margin above the expected maximum that reaches a storable number"
            yield Remedy("margin", f"{text}: {plain_or_rounded(needed)} {unit}")
        elif bound.path[0] == "instrument":
            yield Remedy("entry field", f"a field that takes {plain_or_rounded(needed)} {unit}")
        elif margins.headroom < 1:
            holds = round_up(needed / (1 - margins.headroom), instrument.step)
            rating = Pressure.of(holds, unit)
            yield Remedy("rating", f"no part up to the column rated under {rating}", rating)


def _gentler(profile: Profile, margins: Margins) -> Iterator[Remedy]:
    """Remedies by physics; raises CannotPredict."""
    conditions = profile.conditions
    ratio(profile, Change())  # raises where nothing can be predicted
    assert conditions is not None
    flow, temperature = conditions.flow, conditions.temperature or conditions.ambient
    assert flow is not None
    assert temperature is not None
    share = _largest(lambda part: _fits(profile, margins, flow=float(flow) * part))
    if share is not None:
        lower = _floor(flow, share)
        yield Remedy("flow", f"flow at most {lower}", lower)
    kelvin = float(temperature) + STEP_KELVIN
    while kelvin <= HOTTEST:
        if _fits(profile, margins, temperature=kelvin):
            warmer = Temperature.of(Fraction(kelvin).limit_denominator(100), "K")
            text = show(warmer, temperature.unit, digits=4)
            yield Remedy("temperature", f"column at {text} or warmer, if it bears that", warmer)
            break
        kelvin += STEP_KELVIN
    column = next(p for p in profile.flow_path if isinstance(p, Column) and p.part == "column")
    if column.length is not None:
        length = column.length
        share = _largest(lambda part: _fits(profile, margins, length=float(length) * part))
        if share is not None:
            shorter = _floor(length, share)
            yield Remedy("column length", f"column length at most {shorter}", shorter)


def _largest(fits: Callable[[float], bool]) -> float | None:
    """The largest share of now that fits, to one part in a million; None if down to 5 % none."""
    low = next((share / 20 for share in range(19, 0, -1) if fits(share / 20)), None)
    if low is None:
        return None
    high = low + 1 / 20
    for _ in range(DIGITS):
        middle = (low + high) / 2
        low, high = (middle, high) if fits(middle) else (low, middle)
    return low


def _fits(
    profile: Profile,
    margins: Margins,
    *,
    flow: float | None = None,
    temperature: float | None = None,
    length: float | None = None,
) -> bool:
    """Whether a high cutoff exists under a change [SI]."""
    expected, conditions = profile.expected, profile.conditions
    assert expected is not None
    assert conditions is not None
    change = Change(flow=flow, temperature=temperature, column_length=length)
    by = Fraction(ratio(profile, change).high)
    scaled = {
        name: Pressure.of(pressure.to(pressure.unit) * by, pressure.unit)
        for name, pressure in (("low", expected.low), ("high", expected.high))
    }
    given: dict[str, Quantity] = {}
    if flow is not None:
        given["flow"] = Flow.of(Fraction(flow) / Flow.UNITS["mL/min"].factor, "mL/min")
    if temperature is not None:
        given["temperature"] = Temperature.of(Fraction(temperature), "K")
    changed = profile.model_copy(
        update={
            "expected": expected.model_copy(update=scaled),
            "conditions": conditions.model_copy(update=given),
        }
    )
    return propose(changed, margins).high is not None


def _floor(quantity: Q, share: float) -> Q:
    """A share of a quantity, down to three significant digits."""
    number = quantity.to(quantity.unit) * Fraction(share)
    steps = 10 ** decimals_for(number, 3)
    return type(quantity).of(round_down(number, Fraction(1, steps)), quantity.unit)
