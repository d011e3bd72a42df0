"""How far a change moves the pressure: the ratio of two predictions. SI floats.

A ratio is more certain than either pressure: what is not known of the bed, the bores and the
viscosity is mostly the same on both sides and cancels.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import exp, hypot, log
from typing import NamedTuple

from ..profile.model import Profile
from .constants import ROOM
from .drops import Drop, drops, either_regime, regime_ends
from .flow_path import AMBIENT_ERROR, Segment, State
from .interval import joined, tied_spread
from .liquid import CannotPredict, viscosity_ratio_error
from .predict import predict_system
from .system import Change, oven_not_told, system

_ANY_OVEN = (278.15, ROOM, 323.15, 353.15)
"""Temperatures of columns [K] (common practice, no source)."""
_ALIKE = 0.05
"""In ln: a ratio that differs by more between these depends on the temperature."""
_NOTHING = "no part with a known resistance is left to compare"


class RatioInterval(NamedTuple):
    """Pressure after a change over the pressure before it [-]."""

    low: float
    central: float
    high: float

    def widened(self, below: float, above: float) -> RatioInterval:
        """The ratio with another half-width in ln of it on either side [-], in quadrature."""
        down, up = log(self.central / self.low), log(self.high / self.central)
        low, high = exp(-hypot(down, below)), exp(hypot(up, above))
        return RatioInterval(self.central * low, self.central, self.central * high)

    def times(self, factor: float, unsure: float) -> RatioInterval:
        """The ratio times a factor [-] with a half-width in ln of its own [-]."""
        found = RatioInterval(self.low * factor, self.central * factor, self.high * factor)
        return found.widened(unsure, unsure)


def ratio(profile: Profile, change: Change) -> RatioInterval:
    """Highest pressure of the run under a change, over the highest without it [-].

    An expected pressure under changed conditions is the declared band times this ratio.
    ``between`` says how the interval is made. Raises as ``predict``.
    """
    before, after = system(profile), system(profile, change)
    first = before.at(predict_system(before).highest.percent_b)
    second = after.at(predict_system(after).highest.percent_b)
    return between(before.path.segments, first, after.path.segments, second)


def between(
    segments: Sequence[Segment],
    state: State,
    changed: Sequence[Segment],
    then: State,
    known: Sequence[Drop] | None = None,
) -> RatioInterval:
    """Pressure over ``changed`` in state ``then``, over that of ``segments`` in ``state`` [-].

    Both list the same parts in the same order. ``known`` are the drops before, if already found.

    d ln r = sum_i (w'_i - w_i) d ln R_i + sum_i w'_i d ln(eta'_i / eta_i), w the share of
    each segment in the pressure before, w' after

    The error of a part's own resistance counts only as far as its share changes, that of what
    the flow itself does as far as it differs between both, but in transition (``_either_regime``)
    whole; the error of viscosity as
    ``viscosity_ratio_error``; these, the rise with pressure and an assumed ambient temperature are
    combined in quadrature. A flow error cancels. Raises CannotPredict where there is no resistance
    to compare, and where the ratio depends on a temperature of the columns that is not given.
    """
    before = drops(segments, state) if known is None else known
    after = drops(changed, then)
    total = sum(drop.pressure for drop in before)
    total_after = sum(drop.pressure for drop in after)
    if total == 0.0 or total_after == 0.0:
        raise CannotPredict(_NOTHING)
    below = above = viscous = rise = cold = bed = 0.0
    # How far the error of each resistance moves the ratio, at its upper and at its lower end.
    own: dict[str | int, tuple[float, float]] = {}
    shifts = [
        b.pressure / total_after - a.pressure / total for a, b in zip(before, after, strict=True)
    ]
    other_beds = [s.other_bed * d.pressure for s, d in zip(changed, after, strict=True)]
    for segment, first, second in zip(segments, before, after, strict=True):
        share, share_after = first.pressure / total, second.pressure / total_after
        moved = share_after - share
        # What the flow may do on one side only; a drop that was lower before is higher after.
        bed += share_after * second.bed - share * first.bed
        less = share_after * second.below - share * first.below
        # A tube is coiled in both states or straight in both.
        coiled = share_after * second.above - share * first.above
        straight = share_after * _straight(second) - share * _straight(first)
        if segment.tied is None:  # else by tied_spread
            alike = segment.alike or segment.place
            sides = (segment.above, -segment.below)
            up, down = own.get(alike, (0.0, 0.0))
            own[alike] = up + moved * sides[0], down + moved * sides[1]
        # What makes one tube turbulent, or coils it, may do so to all.
        below += max(less, 0.0) + max(-coiled, -straight, 0.0)
        above += max(coiled, straight, 0.0) + max(-less, 0.0)
        temperature, temperature_after = (
            (state.hot, then.hot) if segment.heated else (state.cold, then.cold)
        )
        viscous += share_after * viscosity_ratio_error(
            state.liquid, temperature, then.liquid, temperature_after
        )
        rise += share_after * _rise_error(second, then, temperature_after)
        rise -= share * _rise_error(first, state, temperature)
        if not segment.heated and not state.cold_known:
            cold += moved * AMBIENT_ERROR * then.liquid.thinning(then.cold)
    # Signed by which way the resistance is off where the ratio is at its end.
    highest = {
        alike: max(up, down) * (1 if up >= down else -1) for alike, (up, down) in own.items()
    }
    lowest = {alike: min(up, down) * (1 if up <= down else -1) for alike, (up, down) in own.items()}
    least, most = _either_regime(before, after)
    above = hypot(max(above, most), joined(highest, 1))
    below = hypot(max(below, least), joined(lowest, 1))
    apart = hypot(*other_beds) / total_after
    central = total_after / total
    oven = _in_any_oven(segments, state, changed, then, central)
    common = hypot(viscous, rise, cold, bed, apart, oven, *tied_spread(segments, shifts))
    return RatioInterval(
        central * exp(-hypot(below, common)), central, central * exp(hypot(above, common))
    )


def without_interval(
    segments: Sequence[Segment],
    state: State,
    changed: Sequence[Segment],
    then: State,
    known: Sequence[Drop] | None = None,
) -> RatioInterval:
    """``between`` for who needs no interval: the central ratio three times [-]."""
    before = drops(segments, state) if known is None else known
    total = sum([drop.pressure for drop in before])
    if total == 0.0:
        raise CannotPredict(_NOTHING)
    central = sum([drop.pressure for drop in drops(changed, then)]) / total
    _in_any_oven(segments, state, changed, then, central)
    return RatioInterval(central, central, central)


def _in_any_oven(
    segments: Sequence[Segment],
    state: State,
    changed: Sequence[Segment],
    then: State,
    central: float,
) -> float:
    """How far in ln the ratio may be off, as the columns may have any temperature [-].

    Nothing where that is given on both sides. What changes the flow or a resistance is hardly
    another at another temperature; raises CannotPredict for what is.
    """
    if state.hot_known and then.hot_known:
        return 0.0
    if (state.hot, state.cold, state.hot_known) != (then.hot, then.cold, then.hot_known):
        raise oven_not_told()
    off = 0.0
    for hot in _ANY_OVEN:
        ends = (segments, state._replace(hot=hot)), (changed, then._replace(hot=hot))
        first, last = (sum(drop.pressure for drop in drops(*end)) for end in ends)
        off = max(off, abs(log(last / first / central)))
    if off > _ALIKE:
        raise oven_not_told()
    return off


def _either_regime(before: Sequence[Drop], after: Sequence[Drop]) -> tuple[float, float]:
    """``either_regime`` of the totals [-]; a tube in which the flow is as it was is as it was."""
    moved = [
        any(either_regime(one.regimes, other.regimes))
        for one, other in zip(before, after, strict=True)
    ]

    def ends(found: Sequence[Drop]) -> tuple[float, float]:
        known = [drop._replace(laminar=0.0, turbulent=0.0) for drop in found]
        return regime_ends(
            [drop if by else sure for drop, sure, by in zip(found, known, moved, strict=True)]
        )

    return either_regime(ends(before), ends(after), one_tube=False)


def _straight(drop: Drop) -> float:
    return drop.above if drop.straight is None else drop.straight


def _rise_error(drop: Drop, state: State, temperature: float) -> float:
    return drop.exponent * state.liquid.rise(temperature).uncertainty
