"""What would make room for a safe high cutoff where there is none.

A changed flow, temperature or column length acts through the ratio of two predictions, which
is known better than a predicted pressure; its upper end is used. Ratings are taken at the
changed flow and temperature.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from fractions import Fraction
from typing import Literal, NamedTuple, TypeVar

from ..bisection import bisect
from ..physics.flow_path import first_column
from ..physics.liquid import CannotPredict
from ..physics.ratio import ratio
from ..physics.system import Change
from ..policy import Margins
from ..profile.model import Profile
from ..profile.unrated import not_rated
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
from .proposal import Bound, expecting, least_high, propose

Q = TypeVar("Q", bound=Quantity)
Kind = Literal["flow", "temperature", "column length", "rating", "entry field", "margin"]
HOTTEST = 353.15
"""K; warmer columns are not proposed (common practice, no source)."""


class Way(NamedTuple):
    """One change that, by itself, makes room for a safe high cutoff."""

    kind: Kind
    text: str
    value: Quantity | None = None


class WaysToMakeRoom(NamedTuple):
    """The changes of which any one does, and why others could not be worked out."""

    found: tuple[Way, ...] = ()
    not_computed: str | None = None


def ways_to_make_room(profile: Profile, margins: Margins) -> WaysToMakeRoom:
    """What would give a profile without a safe high cutoff one."""
    proposal, expected = propose(profile, margins), profile.expected
    if proposal.high is not None or expected is None or not proposal.high_bounds:
        return WaysToMakeRoom()
    lacking = not_rated(profile)
    if expected.no_band or (lacking is not None and not lacking.beyond):
        return WaysToMakeRoom()
    found = list(_wider_bounds(profile, margins, proposal.high_bounds))
    if len(found) > 1:  # where several bounds are too low, raising one alone is not enough
        found = [Way(found[0].kind, ", together with ".join(way.text for way in found))]
    try:
        found += _lower_pressures(profile, margins)
    except CannotPredict as error:
        return WaysToMakeRoom(tuple(found), error.message)
    return WaysToMakeRoom(tuple(found))


def _wider_bounds(profile: Profile, margins: Margins, bounds: Iterable[Bound]) -> Iterator[Way]:
    """What each bound that is too low needs: a stronger part, a wider field or margin."""
    instrument, expected = profile.instrument, profile.expected
    assert expected is not None
    unit = instrument.pressure_unit
    needed = round_up(least_high(expected, margins).to(unit), instrument.step)
    for bound in bounds:
        if bound.pressure.to(unit) >= needed:
            continue
        if bound.path[0] == "expected":
            text = "a margin above the expected maximum that reaches a storable number"
            yield Way("margin", f"{text}: {plain_or_rounded(needed)} {unit}")
        elif bound.path[0] == "instrument":
            yield Way("entry field", f"a field that takes {plain_or_rounded(needed)} {unit}")
        else:
            holds = round_up(needed / (1 - margins.headroom), instrument.step)
            rating = Pressure.of(holds, unit)
            yield Way("rating", f"every part up to the column rated {rating} or more", rating)


def _lower_pressures(profile: Profile, margins: Margins) -> Iterator[Way]:
    """Ways by physics; raises CannotPredict."""

    def fits(**changes: float) -> bool:
        return _fits(profile, margins, Change(**changes))

    ratio(profile, Change())  # raises where nothing can be predicted
    conditions, (_, column) = profile.conditions, first_column(profile)
    assert conditions is not None
    flow, temperature = conditions.flow, conditions.temperature or conditions.ambient
    assert flow is not None
    assert temperature is not None
    lower = _largest(flow, lambda value: fits(flow=value))
    if lower is not None:
        yield Way("flow", f"flow at most {lower}", lower)
    kelvin = next((k for k in _warmer(float(temperature)) if fits(temperature=k)), None)
    if kelvin is not None:
        warmer = Temperature.of(Fraction(kelvin).limit_denominator(100), "K")
        text = show(warmer, temperature.unit, digits=4)
        yield Way("temperature", f"column at {text} or warmer, if it is rated for that", warmer)
    if column.length is not None:
        shorter = _largest(column.length, lambda value: fits(column_length=value))
        if shorter is not None:
            yield Way("column length", f"column length at most {shorter}", shorter)


def _warmer(kelvin: float) -> Iterator[float]:
    while (kelvin := kelvin + 1) <= HOTTEST:
        yield kelvin


def _largest(now: Q, fits: Callable[[float], bool]) -> Q | None:
    """The largest amount under now that fits, to three digits; None if down to 5 % none does."""
    low = next((share / 20 for share in range(19, 0, -1) if fits(share / 20 * float(now))), None)
    if low is None:
        return None
    share, _ = bisect(lambda share: not fits(share * float(now)), low, low + 1 / 20, 1e-6)
    number = now.to(now.unit) * Fraction(share)
    digits = Fraction(1, 10 ** decimals_for(number, 3))
    return type(now).of(round_down(number, digits), now.unit)


def _fits(profile: Profile, margins: Margins, change: Change) -> bool:
    """Whether a high cutoff exists under a change [SI]."""
    conditions = profile.conditions
    assert conditions is not None
    given: dict[str, Quantity] = {}
    if change.flow is not None:
        given["flow"] = Flow.of(Fraction(change.flow) / Flow.UNITS["mL/min"].factor, "mL/min")
    if change.temperature is not None:
        given["temperature"] = Temperature.of(Fraction(change.temperature), "K")
    changed = expecting(profile, Fraction(ratio(profile, change).high)).model_copy(
        update={"conditions": conditions.model_copy(update=given)}
    )
    return propose(changed, margins).high is not None
