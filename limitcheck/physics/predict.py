"""The pressure a profile's method should make on its flow path. SI floats in and out.

Devices that nobody measured have their usual resistance (``usual``); restrictors, and devices
without tubing beside them, are left out and named. ``interval`` says how sure it is.
"""

from __future__ import annotations

from functools import cached_property, lru_cache
from math import exp
from typing import NamedTuple

from ..profile.model import Profile
from .drops import Drop, drops
from .extremes import GRID, extremes
from .flow_path import State
from .interval import interval
from .liquid import CannotPredict
from .not_counted import extrapolations
from .rests_on import rests_on
from .system import Change, System, oven_not_told, system


class Share(NamedTuple):
    """One part's pressure drop [Pa]; ``place`` is its index in the profile's flow path."""

    place: int
    name: str
    low: float
    central: float
    high: float


class RunPoint(NamedTuple):
    """Pressure [Pa] at one moment [min] and composition [% B] of the run."""

    minute: float
    percent_b: float
    low: float
    central: float
    high: float


class Prediction:
    """Predicted pressure [Pa].

    ``low``, ``central``, ``high`` and ``budget`` (by part) are at the ``highest`` point of the
    run. Raises CannotPredict as ``predict`` when it is made, and not later.
    """

    def __init__(self, ready: System) -> None:
        self.ready = ready
        self._run = _Run(ready)
        self._moments = self._run.moments()
        self._known: dict[_Moment, RunPoint] = {}
        self._lowest = min(self._moments, key=self._central)
        self.highest = self._point(max(self._moments, key=self._central))
        """The point of the highest pressure [Pa]."""

    @property
    def lowest(self) -> RunPoint:
        """The point of the lowest pressure [Pa]."""
        return self._point(self._lowest)

    @property
    def lowest_central(self) -> float:
        """``lowest.central`` [Pa], without the work of its interval."""
        return self._central(self._lowest)

    @property
    def ends(self) -> tuple[float, float]:
        """The compositions at the lowest and at the highest point [% B]."""
        return self._lowest[1], self.highest.percent_b

    @property
    def compositions(self) -> list[float]:
        """Those of ``points`` [% B], without the work of their intervals."""
        return [percent_b for _, percent_b in self._moments]

    def central_at(self, percent_b: float) -> float:
        """The best estimate [Pa] with a composition [% B] in the whole flow path."""
        return self._run.central(percent_b)

    @cached_property
    def points(self) -> tuple[RunPoint, ...]:
        """Every point of the gradient, and the highest and lowest inside each step [Pa]."""
        return tuple(self._point(moment) for moment in self._moments)

    def _central(self, moment: _Moment) -> float:
        return self._run.central(moment[1])

    def _point(self, moment: _Moment) -> RunPoint:
        if moment not in self._known:
            self._known[moment] = RunPoint(*moment, *self._run.ends(moment[1]))
        return self._known[moment]

    @property
    def low(self) -> float:
        """Low end of the interval [Pa]."""
        return self.highest.low

    @property
    def central(self) -> float:
        """Best estimate [Pa]."""
        return self.highest.central

    @property
    def high(self) -> float:
        """High end of the interval [Pa]."""
        return self.highest.high

    @property
    def left_out(self) -> tuple[str, ...]:
        """Parts without a known resistance."""
        return self.ready.path.left_out

    def drops(self, percent_b: float) -> tuple[Drop, ...]:
        """The drops over the segments [Pa] at a composition of the run [% B]."""
        return self._run.at(percent_b)[1]

    @cached_property
    def budget(self) -> tuple[Share, ...]:
        """The pressure of each part [Pa], at the highest point."""
        state, found = self._run.at(self.highest.percent_b)
        return tuple(
            Share(segment.place, segment.name, *interval([segment], state, [drop]))
            for segment, drop in zip(self.ready.path.segments, found, strict=True)
        )

    @cached_property
    def reasons(self) -> tuple[str, ...]:
        """What the width of the interval rests on, the largest contribution first."""
        low, central, high = self.highest.low, self.highest.central, self.highest.high
        half_width = max(high - central, central - low) / central if central else 0.0
        return tuple(rests_on(self.ready, self._state, half_width))

    @cached_property
    def extrapolated(self) -> bool:
        """Whether a correlation was used outside its range."""
        return next(extrapolations(self.ready, self._state), None) is not None

    @property
    def _state(self) -> State:
        return self._run.at(self.highest.percent_b)[0]


def predict(profile: Profile, at: Change | None = None) -> Prediction:
    """The pressure [Pa] the method should make, or would make under the change ``at``.

    P = sum over the parts of R eta(composition, temperature, pressure) F, at each point of the
    gradient and at the highest and lowest inside its steps, each composition in the whole flow
    path: no peak of the run is more than 2 % higher, 4 % where tubing turns turbulent. ``course``
    has the run as the column sees it. Raises CannotPredict where something needed is missing,
    unknown or out of range; its message says what.
    """
    return predict_system(system(profile, at))


def predict_to_judge(profile: Profile) -> Prediction:
    """``predict``, where the pressure [Pa] is to stand against the numbers of a profile.

    Raises CannotPredict as ``predict`` and ``fit_to_judge`` do.
    """
    return fit_to_judge(predict(profile))


def fit_to_judge(found: Prediction) -> Prediction:
    """A prediction [Pa] that may stand against the numbers of a profile.

    Raises CannotPredict for a column of which is only known what is usual for its kind, where its
    temperature is not given, and where measured pairs contradict each other or the geometry: none
    is evidence against a number.
    """
    if not found.ready.state.hot_known:
        raise oven_not_told()
    fit = found.ready.path.fit
    if fit is not None and fit.unused and fit.estimate is not None:
        raise CannotPredict(
            f"the measured pairs are not used, as {fit.unused}", "[[measured]] pairs that agree"
        )
    for segment in found.ready.path.segments:
        if segment.heated and segment.usual and segment.tied is None:
            raise CannotPredict(
                f"{segment.name}: what it resists is only assumed, to a factor of "
                f"{exp(segment.above):.0f}",
                "its certificate, or its permeability",
            )
    return found


def predict_system(ready: System) -> Prediction:
    """``predict`` for a system already made; pressures [Pa]."""
    return Prediction(ready)


def pressure(ready: System, percent_b: float) -> tuple[float, float, float]:
    """Low, central and high pressure [Pa] at percent_b [%]; raises CannotPredict."""
    state = ready.at(percent_b)
    return interval(ready.path.segments, state, drops(ready.path.segments, state))


_Moment = tuple[float, float]
"""A minute of the run, and the composition at it [% B]."""


@lru_cache(maxsize=256)
def _viscosities(*_: str | float | None) -> dict[float, tuple[float, float]]:
    """Those of two solvents, hot and cold [Pa s], by percent B: filled by every run of them.

    Only at multiples of ``GRID``: the ends of steps and the extremes are without number.
    """
    return {}


class _Run:
    """The compositions of one run [% B], each worked out once."""

    def __init__(self, ready: System) -> None:
        self.ready, self.segments = ready, ready.path.segments
        self.known: dict[float, tuple[State, tuple[Drop, ...]]] = {}
        self.total: dict[float, float] = {}
        self.steps: dict[tuple[float, float], tuple[float, ...]] = {}

    @cached_property
    def parts(self) -> tuple[float, float]:
        """Resistance of what is in the oven, and of what is not [1/m^3]."""
        warm = sum([segment.resistance for segment in self.segments if segment.heated])
        cool = sum([segment.resistance for segment in self.segments if not segment.heated])
        return warm, cool

    @cached_property
    def viscosities(self) -> dict[float, tuple[float, float]]:
        """Those in the oven and outside [Pa s], by percent B."""
        ready, state = self.ready, self.ready.state
        if ready.path.fit is not None:
            return {}
        return _viscosities(ready.solvent_a, ready.solvent_b, state.hot, state.cold)

    def moments(self) -> list[_Moment]:
        """Every point of the programme, and the extremes inside its steps."""
        minute, percent_b = self.ready.programme[0]
        found = [(minute, percent_b)]
        for end_minute, end_percent in self.ready.programme[1:]:
            low, high = sorted((percent_b, end_percent))
            for composition in sorted(self.inside(low, high), reverse=percent_b > end_percent):
                share = (composition - percent_b) / (end_percent - percent_b)
                found.append((minute + share * (end_minute - minute), composition))
            found.append((end_minute, end_percent))
            minute, percent_b = end_minute, end_percent
        return found

    def at(self, percent_b: float) -> tuple[State, tuple[Drop, ...]]:
        """The state and the drops."""
        if percent_b not in self.known:
            state = self.ready.at(percent_b)
            found = drops(self.segments, state)
            self.known[percent_b] = state, found
            self.total[percent_b] = sum([drop.pressure for drop in found])
        return self.known[percent_b]

    def ends(self, percent_b: float) -> tuple[float, float, float]:
        """Low, central and high pressure [Pa]."""
        return interval(self.segments, *self.at(percent_b))

    def central(self, percent_b: float) -> float:
        """The pressure [Pa]."""
        if percent_b not in self.total:
            self.at(percent_b)
        return self.total[percent_b]

    def laminar(self, percent_b: float) -> float:
        """The pressure [Pa], did it and heat change nothing."""
        both = self.viscosities.get(percent_b)
        if both is None:
            mixed, state = self.ready.liquid(percent_b), self.ready.state
            both = mixed.viscosity(state.hot), mixed.viscosity(state.cold)
            if percent_b % GRID == 0.0:
                self.viscosities[percent_b] = both
        (warm, cool), (hot, cold) = self.parts, both
        return self.ready.state.flow * (warm * hot + cool * cold)

    def inside(self, low: float, high: float) -> tuple[float, ...]:
        """The extremes strictly between both ends of a step [% B]."""
        if (low, high) not in self.steps:
            # Turbulence in a tube begins at a kink. Only beside laminar flow in a straight tube
            # has its drop an error below.
            other = any(
                drop.below
                for end in (low, high)
                for segment, drop in zip(self.segments, self.at(end)[1], strict=True)
                if segment.open is not None
            )
            estimate = None if other else self.laminar
            self.steps[low, high] = tuple(extremes(self.central, estimate, low, high))
        return self.steps[low, high]
