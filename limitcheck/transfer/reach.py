"""Whether normal runs reach a limit of the receiving instrument, by how much, how probably.

A band that was measured there decides by itself. Else the sender's band is scaled by the predicted
ratio r. Its stated errors are bounds that are combined in quadrature: each is read as a rectangular
distribution, of standard uncertainty a / sqrt(3) (JCGM 100:2008, 4.3.7), their sum as normal in
ln r, so that the interval is sqrt(3) standard uncertainties either way and covers 92 %. The two
sides have half of the probability each. Pressures of isocratic runs are uniform over the band;
every gradient run passes from its one end to the other (both common practice, no source).
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from math import erfc, inf, log, sqrt
from typing import Literal, NamedTuple

from ..physics.liquid import CannotPredict
from ..profile.hardware import under_pressure, weakest
from ..profile.model import Profile
from ..units import Pressure, show
from .normal_pressure import ScaledBand, both_units, measured_here, scaled_band
from .ruling import Field, Ruling, Word

Outcome = Literal["holds", "broken", "not decided"]
SIGMAS = sqrt(3.0)
"""Standard uncertainties from the best estimate of a ratio to an end of its interval."""
MODEL = (
    "interval of the ratio: 92 % of a normal ln r, bounds read as rectangular (JCGM 100:2008, "
    "4.3.7); isocratic runs uniform over the band, gradients over all of it"
)
_WORDS: Mapping[Outcome, Word] = {
    "holds": "allowed",
    "broken": "not allowed",
    "not decided": "cannot decide",
}
_STEPS = 200


class Limit(NamedTuple):
    """A limit that normal runs must not reach: from below, or (`low`) from above."""

    name: str
    pressure: Pressure
    low: bool = False


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
    """Normal runs on the receiving instrument; without a scaled band, `no_ratio` says why."""

    scaled: ScaledBand | None
    no_ratio: str | None
    reaches: tuple[Reach, ...]


def normal_runs(sending: Profile, receiving: Profile) -> NormalRuns:
    """The band there, and the cutoffs that are set and the weakest rating against it."""
    try:
        scaled, no_ratio = scaled_band(sending, receiving), None
    except CannotPredict as error:
        scaled, no_ratio = None, error.message
    measured = measured_here(sending, receiving)
    return NormalRuns(scaled, no_ratio, tuple(_reaches(receiving, scaled, no_ratio, measured)))


def _reaches(
    receiving: Profile, scaled: ScaledBand | None, no_ratio: str | None, measured: bool
) -> Iterator[Reach]:
    gradient = receiving.conditions is not None and receiving.conditions.gradient is not None
    for limit in _limits(receiving):
        if measured:
            yield _by_measured(limit, receiving)
        elif scaled is None:
            told = f"normal runs cannot be predicted here ({no_ratio}): measure the pressure here"
            yield Reach(limit, "not decided", None, None, told)
        else:
            yield _by_scaled(limit, scaled, gradient)


def rule_normal_runs(field: Field, *names: str) -> Iterator[Ruling]:
    """Normal runs against the limits of these names."""
    found = normal_runs(field.pair.sending, field.pair.receiving)
    band = field.pair.sending.expected
    sent = f"{band.low} to {band.high}" if band is not None else None
    for reach in found.reaches:
        if reach.limit.name.startswith(names):
            name, at = f"{reach.limit.name}: normal runs", reach.limit.pressure
            here = field._replace(name=name, sending=sent, receiving=at)
            source = MODEL if reach.band is not None else ""
            yield here.ruled(_WORDS[reach.outcome], reach.text, source)


def _limits(receiving: Profile) -> Iterator[Limit]:
    cutoffs, part = receiving.cutoffs, weakest(under_pressure(receiving))
    if cutoffs.high is not None:
        yield Limit("high cutoff", cutoffs.high)
    if cutoffs.low is not None and cutoffs.low.value > 0:
        yield Limit("low cutoff", cutoffs.low, low=True)
    if part is not None:
        yield Limit(f"weakest rating, {part.name}", part.pressure)


def _by_measured(limit: Limit, receiving: Profile) -> Reach:
    expected = receiving.expected
    assert expected is not None
    end = expected.low if limit.low else expected.high
    reached = end <= limit.pressure if limit.low else end >= limit.pressure
    gap = both_units(limit.pressure, Pressure.of(end.to(limit.pressure.unit), limit.pressure.unit))
    side = "above" if limit.low != reached else "below"
    told = f"the band measured here, {expected.low} to {expected.high}, "
    told += f"reaches {gap} {side} it" if reached else f"stays {gap} {side} it"
    return Reach(limit, "broken" if reached else "holds", None, None, told)


def _by_scaled(limit: Limit, scaled: ScaledBand, gradient: bool) -> Reach:
    end = scaled.low if limit.low else scaled.high
    at, unit = limit.pressure, limit.pressure.unit
    nearest = end.low if limit.low else end.high
    band, run = probabilities(scaled, float(at), low=limit.low, gradient=gradient)
    low, high = (show(e.central, unit) for e in (scaled.low, scaled.high))
    told = f"the sender's band comes to {low} to {high} here"
    chance = f"probability that normal runs reach it {shown(band)}, that one run does {shown(run)}"
    if not _beyond(nearest, limit):
        gap = both_units(at, Pressure.of(nearest.to(unit), unit))
        side = "above" if limit.low else "below"
        return Reach(limit, "holds", band, run, f"{told}, with its interval {gap} {side} it")
    over = "below" if limit.low else "above"
    if _beyond(end.central, limit):
        gap = both_units(at, Pressure.of(end.central.to(unit), unit))
        return Reach(limit, "broken", band, run, f"{told}, {gap} {over} it; {chance}")
    gap = both_units(at, Pressure.of(nearest.to(unit), unit))
    told += f", with its interval up to {gap} {over} it; {chance}: measure the pressure here"
    return Reach(limit, "not decided", band, run, told)


def _beyond(pressure: Pressure, limit: Limit) -> bool:
    return pressure <= limit.pressure if limit.low else pressure >= limit.pressure


def shown(probability: float) -> str:
    """A probability as text.

    >>> shown(0.123), shown(0.0001), shown(0.9999)
    ('12 %', 'under 1 %', 'over 99 %')
    """
    if probability < 0.01:
        return "under 1 %"
    return "over 99 %" if probability > 0.99 else f"{100 * probability:.0f} %"


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
    sigma = above if over > 0.0 else below
    higher = 0.5 * erfc(over / sigma / sqrt(2.0)) if sigma else float(over <= 0.0)
    return 1.0 - higher if low else higher


def _sigma(lower: Pressure, upper: Pressure) -> float:
    if lower.value <= 0 or upper.value <= lower.value:
        return 0.0
    return log(float(upper.value / lower.value)) / SIGMAS
