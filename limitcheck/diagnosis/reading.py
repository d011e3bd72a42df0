"""One pressure read today: how far from normal it is, and what may cause it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from ..physics.faults import Faults, Normal, NotComputed
from ..physics.liquid import CannotPredict
from ..physics.system import Change
from ..profile.hardware import RatedPart, rated_parts, under_pressure, weakest
from ..profile.model import Profile
from ..units import Pressure, as_typed, show
from .bounds import Bounds, Position, bounds
from .causes import Cause, bell, causes
from .conditions import MovedBand, at_conditions, moved_band
from .ranking import Group, Ranked, groups, ranked
from .swings import Swing, checked_swing, judge_swing
from .telling import Question, Told, questions

STOP = "Stop the flow."
_NAMED = 2  # parts whose rating is exceeded, by name


@dataclass(frozen=True, slots=True)
class Reading:
    """What one pressure says; `unit` is the display's.

    `first_act` comes before all else, None where nothing does. `off_by` [Pa] is the distance from
    the near end of the normal band, `off_share` the same as a share of that end; both are 0 inside
    it. Without a normal pressure `no_normal` says why.
    """

    unit: str
    pressure: Pressure
    position: Position
    normal: Normal | None
    off_by: float
    off_share: float
    first_act: str | None
    cutoffs: tuple[str, ...]
    ranking: tuple[Ranked, ...]
    not_computed: tuple[NotComputed, ...]
    no_normal: str | None
    told: Told
    swing: Swing | None
    moved: MovedBand | None = None
    """The band of the profile at other conditions, where it was moved to these."""
    bounds: Bounds | None = None
    """What is normal, and what can't be told from it; None without a normal pressure."""

    @property
    def of_whole_run(self) -> bool:
        """Whether a pressure of no stated moment is compared with the band of a gradient."""
        found = self.normal
        inside = found is not None and self.position == "normal"
        return inside and found is not None and found.gradient and self.moved is None

    @property
    def good(self) -> bool:
        """Whether all that was asked is decided, and nothing of it is wrong."""
        steady = self.swing is None or self.swing.verdict == "within expected"
        return self.position == "normal" and self.first_act is None and steady

    @property
    def causes(self) -> tuple[Cause, ...]:
        """Every cause in order."""
        return tuple(ranked.cause for ranked in self.ranking)

    @property
    def groups(self) -> tuple[Group, ...]:
        """The causes that fit, or nearly, by kind."""
        return groups(self.ranking)

    @property
    def questions(self) -> tuple[Question, ...]:
        """What would tell the causes that fit apart and is not answered yet."""
        fitting = [c.known for c in self.causes if c.fit == "fits"]
        return questions(fitting, self.told, swing=self.swing is not None)

    def confused_with(self, cause: Cause) -> tuple[str, ...]:
        """The other causes that predict this reading as well."""
        if cause.fit != "fits":
            return ()
        return tuple(c.name for c in self.causes if c.fit == "fits" and c.name != cause.name)


def read(
    profile: Profile,
    pressure: Pressure,
    at: Change | None = None,
    *,
    told: Told | None = None,
    swing: Pressure | None = None,
    period: float | None = None,
    in_doubt: bool,
) -> Reading:
    """Compare a reading with a profile, at the conditions of `at` where they differ.

    `told` is what else is known of it, `swing` the highest minus the lowest pressure of a minute,
    `period` [s] from one highest to the next; of a band that is `in_doubt` nothing is normal.
    Raises CannotPredict where `at` asks for conditions
    that can't be worked out, Refused for a swing that no pressure can have.
    """
    usual_swing = profile.expected.swing if profile.expected is not None else None
    elsewhere = at is not None and at != Change()
    moved = moved_band(profile, at or Change())
    profile = at_conditions(profile, at or Change())
    unit, answers = profile.instrument.pressure_unit, told or Told()
    seen = None
    if swing is not None:
        seen = judge_swing(
            profile, checked_swing(swing, pressure), usual_swing, period, elsewhere=elsewhere
        )
    stop, value = _stop(profile, pressure, answers), float(pressure)
    faults = Faults(profile)
    if faults.outranked:
        moved = None
    try:
        normal = faults.normal
    except CannotPredict as error:
        return Reading(
            unit, pressure, "unknown", None, 0.0, 0.0, stop,
            tuple(_cutoffs(profile, pressure, 0.0, swing)), (), (), error.message, answers, seen,
        )  # fmt: skip
    edges = bounds(normal, moved, in_doubt=in_doubt)
    position = edges.position(value)
    off = share = usual = 0.0
    if position == "unknown":
        return Reading(
            unit, pressure, position, normal, 0.0, 0.0, stop,
            tuple(_cutoffs(profile, pressure, 0.0, swing)), (), (), None, answers, seen, moved,
            edges,
        )  # fmt: skip
    if position == "above normal":
        off, share = value - normal.high, value / normal.high - 1
    elif position == "below normal":
        off, share = value - normal.low, value / normal.low - 1
    else:
        usual = bell(value, normal.low, normal.high)[1]
    cutoffs = tuple(_cutoffs(profile, pressure, off, swing))
    found = list(causes(faults, pressure))
    ranking = ranked(
        [cause for cause in found if isinstance(cause, Cause)],
        usual,
        answers,
        seen.large if seen is not None else None,
    )
    missing = tuple(cause for cause in found if isinstance(cause, NotComputed))
    return Reading(
        unit, pressure, position, normal, off, share, stop, cutoffs, ranking, missing, None,
        answers, seen, moved, edges,
    )  # fmt: skip


def _exceeded(profile: Profile, pressure: Pressure) -> list[RatedPart]:
    """The parts between pump and column that hold less than the reading, the weakest first."""
    over = [part for part in rated_parts(profile) if part.loaded and pressure > part.pressure]
    return sorted(over, key=lambda part: part.pressure)


def _stop(profile: Profile, pressure: Pressure, told: Told) -> str | None:
    """To stop the flow, where a pump that still runs must not."""
    high, low = profile.cutoffs.high, profile.cutoffs.low
    past_high = high is not None and high.value > 0 and pressure >= high
    past_low = low is not None and low.value > 0 and pressure <= low
    stops = past_high or past_low or told.leak_seen or _exceeded(profile, pressure)
    return STOP if stops else None


def _cutoffs(
    profile: Profile, pressure: Pressure, rise: float, swing: Pressure | None
) -> Iterator[str]:
    """Where the reading lies against the cutoffs and the ratings, worst first.

    `rise` [Pa]: what a restriction adds, 0 where none is needed.
    """
    unit = profile.instrument.pressure_unit
    over = _exceeded(profile, pressure)
    if over:
        shown = as_typed(pressure, unit, apart=[part.pressure for part in over])
        parts = ", ".join(f"the {part.told}" for part in over[:_NAMED])
        more = f" and {len(over) - _NAMED} more" if len(over) > _NAMED else ""
        yield f"{shown} is above what these hold: {parts}{more}. Test at a lower flow only."
    behind = weakest([part for part in rated_parts(profile) if not part.loaded])
    if not over and behind is not None and rise > float(behind.pressure):
        yield (
            f"A restriction behind the {behind.name} would be over what that holds, "
            f"{behind.pressure}."
        )
    high, low = profile.cutoffs.high, profile.cutoffs.low
    if high is None or high.value == 0:
        yield "No high cutoff is set: nothing stops the pump."
    elif (weak := weakest(under_pressure(profile))) is not None and high > weak.pressure:
        yield (
            f"Whether the high cutoff, {high}, protects the {weak.name} can't be told: it may "
            f"hold no more than {weak.pressure}, as the {weak.unknown} is not given."
            if weak.unknown
            else f"The high cutoff, {high}, is above what the {weak.name} holds, {weak.pressure}: "
            "it does not protect it. Bring it down first (limitcheck propose)."
        )
    elif pressure >= high:
        yield f"At or above the high cutoff, {high}: the pump should have stopped."
    elif swing is not None and float(pressure) + float(swing) / 2 >= float(high):
        yield f"A swing of {as_typed(swing, unit)} around it reaches the high cutoff, {high}."
    else:
        yield f"{_gap(pressure, high, unit)} below the high cutoff, {high}."
    if low is None or low.value == 0:
        yield "The low cutoff is off."
    elif pressure <= low:
        yield f"At or below the low cutoff, {low}: the pump should have stopped."
    else:
        yield f"{_gap(low, pressure, unit)} above the low cutoff, {low}."


def _gap(low: Pressure, high: Pressure, unit: str) -> str:
    return show(Pressure.of(high.to(unit) - low.to(unit), unit), unit)
