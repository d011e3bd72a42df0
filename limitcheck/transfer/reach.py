"""Whether normal runs reach a limit of the receiving instrument, by how much, how probably.

A band that was measured there decides by itself. Else the sender's band is scaled by the predicted
ratio r. Its stated errors are bounds that are combined in quadrature: each is read as a rectangular
distribution, of standard uncertainty a / sqrt(3) (JCGM 100:2008, 4.3.7), their sum as normal in
ln r, so that the interval is sqrt(3) standard uncertainties either way and covers 92 %. Where the
sides differ, it is two halves of normal distributions that meet. Pressures of isocratic runs are
uniform over the band; every gradient run passes from its one end to the other (both common
practice, no source).
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from math import erfc, inf, log, sqrt
from typing import Literal, NamedTuple

from ..physics.liquid import CannotPredict
from ..profile.hardware import column_index, under_pressure, weakest
from ..profile.model import Profile, Tube
from ..profile.unrated import not_rated
from ..units import Pressure, percent, show
from .normal_pressure import ScaledBand, both_units, measured_here, scaled_band
from .ruling import Field, Ruling, Word

Outcome = Literal["holds", "broken", "not decided"]
SIGMAS = sqrt(3.0)
"""Standard uncertainties from the best estimate of a ratio to an end of its interval."""
MODEL = (
    "Interval of the ratio: 92 % of a normal ln r, bounds read as rectangular (JCGM 100:2008, "
    "4.3.7); isocratic runs uniform over the band, gradients over all of it"
)
_WORDS: Mapping[Outcome, Word] = {
    "holds": "allowed",
    "broken": "not allowed",
    "not decided": "cannot decide",
}
_STEPS = 200


class Limit(NamedTuple):
    """A limit that normal runs must not reach: from below, or (`low`) from above.

    `unit` is that of the instrument, which a rating may not be stated in.
    """

    name: str
    pressure: Pressure
    unit: str
    low: bool = False
    may_be_less: str = ""
    """Why the part may hold less at this method than its rating says."""


class Reach(NamedTuple):
    """Whether normal runs reach a limit.

    `band` is the probability that the normal band reaches it, `run` that one run does; None
    where a band measured here decides, or nothing can be predicted.
    """

    limit: Limit
    outcome: Outcome
    band: float | None
    run: float | None
    text: str


class NormalRuns(NamedTuple):
    """Normal runs on the receiving instrument; without a scaled band, `no_ratio` says why.

    `here` is the band that the limits are compared with: measured here, else the scaled one.
    """

    here: str
    scaled: ScaledBand | None
    no_ratio: str | None
    reaches: tuple[Reach, ...]


def normal_runs(sending: Profile, receiving: Profile) -> NormalRuns:
    """The band there, and the cutoffs that are set and the weakest rating against it."""
    try:
        scaled, no_ratio = scaled_band(sending, receiving), None
    except CannotPredict as error:
        scaled, no_ratio = None, error.message
    expected, here = receiving.expected, "not predicted"
    if (measured := measured_here(sending, receiving)) and expected is not None:
        here = f"{expected.low} to {expected.high}"
    elif scaled is not None:
        unit = receiving.instrument.pressure_unit
        here = " to ".join(show(end.central, unit) for end in (scaled.low, scaled.high))
    return NormalRuns(
        here, scaled, no_ratio, tuple(_reaches(receiving, scaled, no_ratio, measured))
    )


def _reaches(
    receiving: Profile, scaled: ScaledBand | None, no_ratio: str | None, measured: bool
) -> Iterator[Reach]:
    gradient = receiving.conditions is not None and receiving.conditions.gradient is not None
    for limit in _limits(receiving):
        if measured:
            found = _by_measured(limit, receiving)
        elif scaled is None:
            told = f"normal runs cannot be predicted here ({no_ratio}): measure the pressure here"
            found = Reach(limit, "not decided", None, None, told)
        else:
            found = _by_scaled(limit, scaled, gradient)
        if found.outcome == "holds" and limit.may_be_less:
            told = f"{found.text}, but {limit.may_be_less}"
            found = found._replace(outcome="not decided", text=told)
        yield found


def rule_normal_runs(field: Field, *names: str) -> Iterator[Ruling]:
    """Normal runs against the limits of these names."""
    found = normal_runs(field.pair.sending, field.pair.receiving)
    band = field.pair.sending.expected
    sent = None
    if band is not None:
        sent = "a band in doubt" if band.no_band else f"{band.low} to {band.high}"
    for reach in found.reaches:
        if reach.limit.name.startswith(names):
            name = f"{reach.limit.name}: normal runs"
            band_field = field._replace(name=name, sending=sent, receiving=found.here)
            source = "interval: JCGM 100:2008, 4.3.7" if reach.band is not None else ""
            yield band_field.ruled(_WORDS[reach.outcome], reach.text, source)


def _limits(receiving: Profile) -> Iterator[Limit]:
    cutoffs, part = receiving.cutoffs, weakest(under_pressure(receiving))
    unit = receiving.instrument.pressure_unit
    if cutoffs.high is not None:
        yield Limit("high cutoff", cutoffs.high, unit)
    if cutoffs.low is not None and cutoffs.low.value > 0:
        yield Limit("low cutoff", cutoffs.low, unit, low=True)
    if part is not None:
        loaded = receiving.flow_path[: column_index(receiving) + 1]
        unrated = any(p.rating is None for p in loaded if not isinstance(p, Tube))
        weakest_one = "weakest known rating" if unrated else "weakest rating"
        lacking = not_rated(receiving)
        by_table = lacking is not None and len(lacking.path) > len(("flow_path", part.place))
        less = lacking.reason if lacking is not None and by_table else ""
        yield Limit(f"{weakest_one}, {part.name}", part.pressure, unit, may_be_less=less)


def _by_measured(limit: Limit, receiving: Profile) -> Reach:
    expected = receiving.expected
    assert expected is not None
    end = expected.low if limit.low else expected.high
    outcome: Outcome = "broken" if _beyond(end, limit) else "holds"
    return Reach(limit, outcome, None, None, f"measured here: {_apart(end, limit)}")


def _by_scaled(limit: Limit, scaled: ScaledBand, gradient: bool) -> Reach:
    end = scaled.low if limit.low else scaled.high
    nearest = end.low if limit.low else end.high
    band, run = probabilities(scaled, float(limit.pressure), low=limit.low, gradient=gradient)
    if not _beyond(nearest, limit):
        told = f"{_apart(nearest, limit)}, at the end of its interval"
        return Reach(limit, "holds", band, run, told)
    chance = f"probability that normal runs reach it {shown(band)}, that one run does {shown(run)}"
    if _beyond(end.central, limit):
        return Reach(limit, "broken", band, run, f"{_apart(end.central, limit)}; {chance}")
    told = f"{_apart(nearest, limit)}, at the end of its interval; {chance}"
    return Reach(limit, "not decided", band, run, f"{told}: measure the pressure here")


def _apart(end: Pressure, limit: Limit) -> str:
    """How far an end of a band is from a limit, in the instrument's unit and in bar."""
    at = limit.pressure
    side = "below" if end < at else "above"
    return f"{both_units(end, at, limit.unit)} {side} {at}"


def _beyond(pressure: Pressure, limit: Limit) -> bool:
    return pressure <= limit.pressure if limit.low else pressure >= limit.pressure


def shown(probability: float) -> str:
    """A probability as text.

    >>> shown(0.123), shown(0.0001), shown(0.9999)
    ('12 %', 'under 1 %', 'over 99 %')
    """
    if probability < 0.01:
        return "under 1 %"
    return "over 99 %" if probability > 0.99 else percent(probability)


def probabilities(
    scaled: ScaledBand, limit: float, *, low: bool, gradient: bool
) -> tuple[float, float]:
    """That the band reaches a limit [Pa], and that one run does; of a low limit, from above."""
    first, last = (
        (float(end.central), _sigma(end.low, end.central), _sigma(end.central, end.high))
        for end in (scaled.low, scaled.high)
    )
    end = first if low else last
    band = _reached(end[0], end[1], end[2], limit, low=low)
    if gradient:
        return band, band
    run = 0.0
    for step in range(_STEPS):
        share = (step + 0.5) / _STEPS
        central, *sigmas = (a + share * (b - a) for a, b in zip(first, last, strict=True))
        run += _reached(central, sigmas[0], sigmas[1], limit, low=low) / _STEPS
    return band, run


def _reached(central: float, below: float, above: float, limit: float, *, low: bool) -> float:
    """That a pressure [Pa] of these standard uncertainties in ln is beyond a limit [Pa]."""
    over = log(limit / central) if central > 0.0 < limit else -inf if limit <= 0.0 else inf
    if not below + above:
        higher = float(over <= 0.0)
    elif over > 0.0:
        higher = above * _tail(over, above) / (below + above)
    else:
        higher = 1.0 - below * _tail(-over, below) / (below + above)
    return 1.0 - higher if low else higher


def _tail(apart: float, sigma: float) -> float:
    """The share of one half of a normal distribution that lies farther out."""
    return erfc(apart / sigma / sqrt(2.0)) if sigma else 0.0


def _sigma(lower: Pressure, upper: Pressure) -> float:
    if lower.value <= 0 or upper.value <= lower.value:
        return 0.0
    return log(float(upper.value / lower.value)) / SIGMAS
