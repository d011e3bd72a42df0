"""What would make room for a safe high cutoff where there is none.

A changed flow, temperature or column length acts through the ratio of two predictions, which
is known better than a predicted pressure; its upper end is used. Ratings are taken at the
changed flow and temperature.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from fractions import Fraction
from typing import Literal, TypeVar

from ..bisection import bisect
from ..physics.flow_path import first_column
from ..physics.liquid import CannotPredict
from ..physics.ratio import ratio
from ..physics.system import Change
from ..policy import Margins
from ..profile.model import Profile
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
from .proposal import expecting, least_high, propose

Q = TypeVar("Q", bound=Quantity)
Kind = Literal["flow", "temperature", "column length", "rating", "entry field", "margin"]
HOTTEST = 353.15
"""K; warmer columns are not proposed (common practice, no source)."""
STEP_KELVIN = 1
ONE_MILLIONTH = 1e-6


@dataclass(frozen=True, slots=True)
class Way:
    """One change that, by itself, makes room for a safe high cutoff."""

    kind: Kind
    text: str
    value: Quantity | None = None


@dataclass(frozen=True, slots=True)
class WaysToMakeRoom:
    """The changes of which any one does, and why others could not be worked out."""

    found: tuple[Way, ...] = ()
    not_computed: str | None = None


def ways_to_make_room(profile: Profile, margins: Margins) -> WaysToMakeRoom:
    """What would give a profile without a safe high cutoff one."""
    proposal, expected = propose(profile, margins), profile.expected
    if proposal.high is not None or expected is None or not proposal.high_bounds:
        return WaysToMakeRoom()
    if expected.low > expected.high:
        return WaysToMakeRoom()
    found = _together(list(_wider_bounds(profile, margins)))
    try:
        found += _lower_pressures(profile, margins)
    except CannotPredict as error:
        return WaysToMakeRoom(tuple(found), error.message)
    return WaysToMakeRoom(tuple(found))


def _together(needed: list[Way]) -> list[Way]:
    """One way: where several bounds are too low, raising one alone is not enough."""
    if len(needed) < 2:
        return needed
    return [Way(needed[0].kind, ", together with ".join(way.text for way in needed))]


def _wider_bounds(profile: Profile, margins: Margins) -> Iterator[Way]:
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
            yield Way("margin", f"{text}: {plain_or_rounded(needed)} {unit}")
        elif bound.path[0] == "instrument":
            yield Way("entry field", f"a field that takes {plain_or_rounded(needed)} {unit}")
        elif margins.headroom < 1:
            holds = round_up(needed / (1 - margins.headroom), instrument.step)
            rating = Pressure.of(holds, unit)
            text = f"every part up to the column rated {rating} or more"
            yield Way("rating", text, rating)


def _lower_pressures(profile: Profile, margins: Margins) -> Iterator[Way]:
    """Ways by physics; raises CannotPredict."""
    conditions = profile.conditions
    ratio(profile, Change())  # raises where nothing can be predicted
    assert conditions is not None
    flow, temperature = conditions.flow, conditions.temperature or conditions.ambient
    assert flow is not None
    assert temperature is not None
    share = _largest(lambda part: _fits(profile, margins, flow=float(flow) * part))
    if share is not None:
        lower = _floor(flow, share)
        yield Way("flow", f"flow at most {lower}", lower)
    kelvin = float(temperature) + STEP_KELVIN
    while kelvin <= HOTTEST:
        if _fits(profile, margins, temperature=kelvin):
            warmer = Temperature.of(Fraction(kelvin).limit_denominator(100), "K")
            text = show(warmer, temperature.unit, digits=4)
            yield Way("temperature", f"column at {text} or warmer, if it is rated for that", warmer)
            break
        kelvin += STEP_KELVIN
    length = first_column(profile)[1].length
    if length is not None:
        share = _largest(lambda part: _fits(profile, margins, length=float(length) * part))
        if share is not None:
            shorter = _floor(length, share)
            yield Way("column length", f"column length at most {shorter}", shorter)


def _largest(fits: Callable[[float], bool]) -> float | None:
    """The largest share of now that fits, to one part in a million; None if down to 5 % none."""
    low = next((share / 20 for share in range(19, 0, -1) if fits(share / 20)), None)
    if low is None:
        return None
    return bisect(lambda share: not fits(share), low, low + 1 / 20, ONE_MILLIONTH)[0]


def _fits(
    profile: Profile,
    margins: Margins,
    *,
    flow: float | None = None,
    temperature: float | None = None,
    length: float | None = None,
) -> bool:
    """Whether a high cutoff exists under a change [SI]."""
    conditions = profile.conditions
    assert conditions is not None
    by = ratio(profile, Change(flow=flow, temperature=temperature, column_length=length)).high
    given: dict[str, Quantity] = {}
    if flow is not None:
        given["flow"] = Flow.of(Fraction(flow) / Flow.UNITS["mL/min"].factor, "mL/min")
    if temperature is not None:
        given["temperature"] = Temperature.of(Fraction(temperature), "K")
    changed = expecting(profile, Fraction(by)).model_copy(
        update={"conditions": conditions.model_copy(update=given)}
    )
    return propose(changed, margins).high is not None


def _floor(quantity: Q, share: float) -> Q:
    """A share of a quantity, down to three significant digits."""
    number = quantity.to(quantity.unit) * Fraction(share)
    steps = 10 ** decimals_for(number, 3)
    return type(quantity).of(round_down(number, Fraction(1, steps)), quantity.unit)
