"""Backs the column's resistance out of a pressure read at the pump. SI floats in and out."""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

from ..bisection import bisect
from ..profile.model import Profile
from .course import MIXED, course
from .drops import drops
from .flow_path import first_column, scaled
from .interval import interval
from .liquid import CannotPredict
from .predict import predict_system
from .system import Change, oven_not_told, system

_MOST = 1e6  # times what is assumed of a column


class Calibration(NamedTuple):
    """The column's own pressure drop [Pa], as a certificate states it.

    ``percent_b`` [%] is the composition it holds at; ``others`` [Pa] is what the rest of the
    flow path takes, ``others_low`` and ``others_high`` [Pa] its interval; ``factor`` [-] is the
    resistance found over the one assumed before, and ``below`` and ``above`` the error of that,
    half-widths in ln [-]. With a gradient ``throughout`` [Pa] is what the whole flow path makes
    with that composition in all of it, which the run need not reach; None without one.
    """

    pressure: float
    percent_b: float
    others: float
    others_low: float
    others_high: float
    factor: float
    below: float
    above: float
    throughout: float | None = None


def calibrate(profile: Profile, reading: float, at: Change | None = None) -> Calibration:
    """The pressure of the column alone that makes the prediction meet a reading [Pa].

    Solves P(s R_column) = reading for s, then dP = s R_column eta F with an open outlet. The
    reading is gauge pressure at the pump; with a gradient, the highest of the run as the column
    sees it. ``at`` is the condition it was read at, where it is not the profile's. Parts without a
    resistance count as part of the column, as they do in the reading. Measured pairs of the profile
    say what the other parts take.

    Raises CannotPredict as ``predict`` does, where nobody gives the temperature of the column,
    where the profile has more than one column, where the other parts alone take more than the
    reading, and for a gradient whose peak is over before it fills the column.
    """
    if sum(part.part == "column" for part in profile.flow_path) > 1:
        raise CannotPredict("several columns: one reading cannot tell which makes the pressure")
    ready = system(profile, at)
    if not ready.state.hot_known:  # it would be written into the certificate
        raise oven_not_told()
    place, _ = first_column(profile)
    segments, percent_b = ready.path.segments, ready.programme[0][1]
    if len(ready.programme) > 1:
        percent_b = round(predict_system(ready).highest.percent_b, 2)
    state = ready.at(percent_b)

    def total(factor: float) -> float:
        changed = scaled(segments, {place: factor})
        if len(ready.programme) == 1:
            return sum(drop.pressure for drop in drops(changed, state))
        path = ready.path._replace(segments=changed)
        return course(profile, ready._replace(path=path)).ends[1]

    others, factor = _solve(total, reading)
    throughout = None
    if len(ready.programme) > 1:
        throughout = sum(drop.pressure for drop in drops(scaled(segments, {place: factor}), state))
        if throughout > MIXED * reading:
            raise CannotPredict(
                f"{percent_b:g} % B does not fill the column in this gradient, and mixing on the "
                "way may have raised the reading: what the column resists is known to a factor of "
                f"{throughout / reading:.2f} only",
                "read the pressure at one composition, and name it: --at percent-b=10",
            )
    column = [segment for segment in segments if segment.place == place]
    alone = drops(scaled(column, {place: factor}), state)[0].pressure
    # Against what was assumed before anything was measured with the other parts in place.
    bare = system(profile.model_copy(update={"measured": ()}), at).path.segments
    assumed = next(segment for segment in bare if segment.place == place)
    factor *= column[0].resistance / assumed.resistance
    rest = [segment for segment in segments if segment.place != place]
    low, central, high = interval(rest, state, drops(rest, state))
    share = others / central if central else 1.0
    return Calibration(
        alone,
        percent_b,
        others,
        share * low,
        share * high,
        factor,
        assumed.below,
        assumed.above,
        throughout,
    )


def _solve(total: Callable[[float], float], reading: float) -> tuple[float, float]:
    """Pressure of the other parts [Pa], and the factor [-] on one that meets the reading [Pa]."""
    others = total(0.0)
    if reading <= others:
        raise CannotPredict(
            f"the parts besides the column alone make {others / 1e5:.4g} bar, "
            "not less than the reading"
        )

    def reached(factor: float) -> bool:
        if factor > _MOST:  # what heat takes from a column grows with what it resists
            raise CannotPredict(
                f"not even a column that resists {_MOST:.0f} times as much makes the reading",
                "check the reading, the flow and the geometry",
            )
        return total(factor) >= reading

    return others, bisect(reached, 0.0, 1.0, 1e-9)[1]
