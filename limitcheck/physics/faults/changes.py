"""The usual faults: what each one changes, as a ratio to the normal pressure."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from functools import cached_property, partial
from typing import Literal

from ...profile.hardware import column_index
from ...profile.model import Profile
from ...units import percent
from ..constants import celsius
from ..drops import Drop
from ..flow_path import Segment, State, first_column, in_range, scaled
from ..left_out import refuse_unknown_restrictors
from ..liquid import CannotPredict
from ..over_course import OverCourse, is_gentle, over_course
from ..predict import Prediction, predict_system
from ..ratio import RatioInterval, between
from ..system import Change, System, other_column, system
from .normal import Normal, normal_pressure, outranked
from .plug import PLUG_BORE, PLUG_LENGTH, opened, plug_closed, plugged

# Sizes that are sold (common practice, no source).
PARTICLE_SIZES = (1.7e-6, 2.5e-6, 2.7e-6, 3.0e-6, 3.5e-6, 5.0e-6, 10.0e-6)  # m
COLUMN_LENGTHS = (0.030, 0.050, 0.075, 0.100, 0.150, 0.250, 0.300)  # m
APART = 1.1  # the next size is at least this factor away
TOO_HOT = 10.0  # K above the set temperature
LEAK = 0.25  # of the flow
CLOSED = 0.5  # of a cross-section
FRIT_RISE = 0.25  # over normal: when the in-line frit is changed (LCGC troubleshooting column)
# One head of two delivers: about half the flow, unsteady (common practice, no source).
ONE_HEAD = RatioInterval(0.4, 0.5, 0.7)

Where = Literal["before the injector", "after the injector"]
TUBES_BLOCKED: Mapping[str, Where] = {
    "tubing-before-injector-blocked": "before the injector",
    "tubing-after-injector-blocked": "after the injector",
}
Ratios = tuple[RatioInterval, RatioInterval]
"""Pressure over normal pressure [-] at the lowest and at the highest point of the run."""


class NormalRun:
    """A profile with its normal course, worked out once when asked for."""

    compare = staticmethod(between)

    def __init__(self, profile: Profile, prediction: Prediction | None = None) -> None:
        self.profile = profile
        if prediction is not None:
            self.system, self.prediction = prediction.ready, prediction

    @cached_property
    def system(self) -> System:
        """The profile ready to compute; raises CannotPredict."""
        return system(self.profile)

    @cached_property
    def prediction(self) -> Prediction:
        """The prediction without a fault; raises CannotPredict."""
        return predict_system(self.system)

    def share(self, place: int) -> float:
        """The share [-] of a part in the highest pressure of the run; raises CannotPredict."""
        found = self.prediction
        own = sum(share.central for share in found.budget if share.place == place)
        return own / found.central

    def plug_closed(self, tube: Segment, rise: float) -> float:
        """``plug_closed`` [-] at the highest point of the run; raises CannotPredict."""
        state = self.system.at(self.prediction.ends[1])
        return plug_closed(self.system.path.segments, state, tube, rise)

    def under(
        self,
        change: Callable[[State], State] = lambda state: state,
        segments: Sequence[Segment] | None = None,
        before: Sequence[Segment] | None = None,
    ) -> Ratios:
        """Ratios [-] at the lowest and highest point of the run; raises CannotPredict.

        ``segments`` are those of the fault, ``before`` the normal ones part by part the same.
        """
        refuse_unknown_restrictors(self.profile, self.system.path.segments)
        known = self._normal if before is None else {}
        before = self.system.path.segments if before is None else before
        after = before if segments is None else segments
        lowest, highest = self.prediction.ends
        ratios = {
            percent_b: self.compare(before, state, after, change(state), known.get(percent_b))
            for percent_b, state in ((point, self.system.at(point)) for point in {lowest, highest})
        }
        at_lowest, at_highest = ratios[lowest], ratios[highest]
        changed = change(self.system.state)
        if changed == self.system.state or len(self.system.programme) == 1:
            return at_lowest, at_highest
        low, high = self._over_course
        if changed.liquid == self.system.state.liquid:  # else one liquid in all of the flow path
            other_low, other_high = self._over_course_of(changed)
            low, high = low.over(other_low), high.over(other_high)
        return (
            at_lowest.times(low.factor, low.half_width),
            at_highest.times(high.factor, high.half_width),
        )

    def _over_course_of(self, state: State) -> tuple[OverCourse, OverCourse]:
        """``over_course`` of the run in another state."""
        own = self._over_course
        faster = state.flow >= self.system.state.flow
        if faster and all(is_gentle(end) for end in own):  # then that is nearer to 1 still
            return own
        return over_course(self.profile, predict_system(self.system._replace(state=state)))

    @cached_property
    def _over_course(self) -> tuple[OverCourse, OverCourse]:
        """``over_course`` of the normal run."""
        return over_course(self.profile, self.prediction)

    @cached_property
    def _normal(self) -> Mapping[float, tuple[Drop, ...]]:
        """The normal drops at the lowest and at the highest point, by percent B."""
        return {end: self.prediction.drops(end) for end in self.prediction.ends}

    @cached_property
    def normal(self) -> Normal:
        """The normal pressure [Pa]: the declared band, else the predicted one.

        Raises CannotPredict where there is neither.
        """
        return normal_pressure(self.profile, lambda: self.prediction)

    @property
    def banded(self) -> bool:
        """Whether the normal pressure is the band of the profile, not only predicted."""
        expected = self.profile.expected
        return expected is not None and not expected.no_band and not self.outranked

    @cached_property
    def outranked(self) -> bool:
        """Whether measured pairs say what is normal, and not the band that nobody measured."""
        return outranked(self.profile, lambda: self.prediction)

    def narrowest(self, where: Where) -> Segment:
        """The most resistive tube before the injector, or from it to the last column."""
        parts = self.profile.flow_path
        injector = next((i for i, part in enumerate(parts) if part.part == "injector"), None)
        if injector is None:
            raise CannotPredict("no injector in the flow path")
        before = where == "before the injector"
        first, end = (0, injector) if before else (injector, column_index(self.profile))
        tubes = [
            segment
            for segment in self.system.path.segments
            if first <= segment.place < end and parts[segment.place].part in ("tubing", "loop")
        ]
        if not tubes:
            raise CannotPredict(f"no tubing with length and bore {where}")
        return max(tubes, key=lambda segment: segment.resistance)


Fault = Callable[[NormalRun], tuple[str, Ratios]]
"""Describes the fault on this profile and gives its ratios; raises CannotPredict."""


def _heater_off(run: NormalRun) -> tuple[str, Ratios]:
    conditions = run.profile.conditions
    cold = run.system.state.cold
    if conditions is None or conditions.temperature is None:
        raise CannotPredict("no conditions.temperature")
    if conditions.ambient is None:
        raise CannotPredict("no conditions.ambient")
    if conditions.temperature.value <= conditions.ambient.value:
        raise CannotPredict("the column is not warmer than its surroundings")
    text = f"columns at ambient, {conditions.ambient}"
    return text, run.under(lambda normal: normal._replace(hot=cold))


def _too_hot(run: NormalRun) -> tuple[str, Ratios]:
    if not run.system.state.hot_known:
        raise CannotPredict("no conditions.temperature")
    hot = in_range(run.system.state.hot + TOO_HOT)
    text = f"oven {TOO_HOT:.0f} K above its setting, {celsius(hot):.4g} degC"
    return text, run.under(lambda normal: normal._replace(hot=hot))


def _only(run: NormalRun, which: str) -> tuple[str, Ratios]:
    ready = run.system
    if ready.solvent_b is None:
        raise CannotPredict("the method has one solvent")
    name, percent = (ready.solvent_a, 0.0) if which == "A" else (ready.solvent_b, 100.0)
    if ready.programme == ((0.0, percent),):
        raise CannotPredict(f"the method runs on {which} alone")
    mixed = ready.at(percent).liquid
    text = f"only solvent {which} delivered, {name}"
    return text, run.under(lambda normal: normal._replace(liquid=mixed))


def _flow(run: NormalRun, factor: float, text: str) -> tuple[str, Ratios]:
    try:
        return text, run.under(lambda normal: normal._replace(flow=factor * normal.flow))
    except CannotPredict:  # laminar: pressure in proportion to flow
        return text, _fixed(factor)


def _fixed(central: float) -> Ratios:
    ratio = RatioInterval(central, central, central)
    return ratio, ratio


def _other_size(run: NormalRun, dimension: str, size: str) -> tuple[str, Ratios]:
    """The column of the next size sold, of particle or length, fitted by mistake."""
    _, column = first_column(run.profile)
    particle = dimension == "particle size"
    given = column.particle_size if particle else column.length
    if given is None:
        raise CannotPredict(f"no {dimension}")
    sizes, now = PARTICLE_SIZES if particle else COLUMN_LENGTHS, float(given)
    smaller = [other for other in sizes if other * APART <= now]
    larger = [other for other in sizes if other >= now * APART]
    if not (smaller if size == "smaller" else larger):
        raise CannotPredict(f"no {size} size is usual")
    found = smaller[-1] if size == "smaller" else larger[0]
    change = Change(particle_size=found) if particle else Change(column_length=found)
    text = f"particles of {found * 1e6:.4g} um" if particle else f"length {found * 1e3:.4g} mm"
    other = other_column(run.profile, run.system.path.segments, change)
    which = _columns_told(run, "column")
    return f"{which} with {text} for {given}", run.under(segments=other)


def _columns_told(run: NormalRun, alone: str) -> str:
    """Which column is meant: by its name where there are several."""
    columns = [part for part in run.profile.flow_path if part.part == "column"]
    return alone if len(columns) == 1 else columns[0].name


def _no_column(run: NormalRun) -> tuple[str, Ratios]:
    segments = run.system.path.segments
    bare = scaled(segments, {segment.place: 0.0 for segment in segments if segment.heated})
    return "a union in place of the columns", run.under(segments=bare)


def _bed(run: NormalRun) -> tuple[str, Ratios]:
    place, _ = first_column(run.profile)
    blocked = scaled(run.system.path.segments, {place: 1.0 / (1.0 - CLOSED)})
    bed = _columns_told(run, "bed")
    told = f"{percent(CLOSED)} of the {bed}'s cross-section blocked"
    return told, run.under(segments=blocked)


def _tube(run: NormalRun, where: Where) -> tuple[str, Ratios]:
    tube = run.narrowest(where)
    pipe = opened(tube)
    before, after = plugged(run.system.path.segments, tube)
    length, bore = min(PLUG_LENGTH, pipe.length), PLUG_BORE * pipe.bore
    text = (
        f"a plug in {tube.name}, {length * 1e3:.3g} mm long, that leaves {bore * 1e3:.2g} of "
        f"{pipe.bore * 1e3:.3g} mm bore"
    )
    return text, run.under(segments=after, before=before)


COLUMN_ALONE = frozenset(
    {"smaller-particles", "larger-particles", "longer-column", "shorter-column", "no-column"}
)
"""Faults that leave all other parts as they are."""


def under_fault(high: float, ratio: float, kept: float) -> float:
    """The most a pressure [Pa] may be under a fault, where ``kept`` [Pa] of it may stay.

    Where the fault raises the pressure, nobody knows whether that is in it: all is counted.
    """
    return (high - kept) * ratio + kept * max(1.0, ratio)


def reached(normal: Normal, ratios: Ratios) -> float:
    """The pressure [Pa] under a fault where the normal one is at the ends of the band."""
    at_lowest, at_highest = ratios
    return max(normal.low * at_lowest.central, normal.high * at_highest.central)


FAULTS: Mapping[str, Fault] = {
    "heater-off": _heater_off,
    "oven-too-hot": _too_hot,
    "only-a": partial(_only, which="A"),
    "only-b": partial(_only, which="B"),
    "flow-doubled": partial(_flow, factor=2.0, text="twice the flow"),
    "flow-halved": partial(_flow, factor=0.5, text="half the flow"),
    "smaller-particles": partial(_other_size, dimension="particle size", size="smaller"),
    "larger-particles": partial(_other_size, dimension="particle size", size="larger"),
    "longer-column": partial(_other_size, dimension="column length", size="larger"),
    "shorter-column": partial(_other_size, dimension="column length", size="smaller"),
    "no-column": _no_column,
    "inlet-frit-blocked": lambda _: (
        f"inlet frit adds {percent(FRIT_RISE)} to the pressure (time to change it)",
        _fixed(1.0 + FRIT_RISE),
    ),
    "bed-blocked": _bed,
    **{name: partial(_tube, where=where) for name, where in TUBES_BLOCKED.items()},
    "leak": partial(
        _flow, factor=1.0 - LEAK, text=f"a leak before the column takes {percent(LEAK)} of the flow"
    ),
    "air-in-pump-head": lambda _: (
        "air in one of two pump heads: about half the flow, unsteady",
        (ONE_HEAD, ONE_HEAD),
    ),
}
