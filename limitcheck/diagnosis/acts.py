"""What to do before a flow path is opened, about the part that is named, and after the repair."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from ..profile.hardware import column_index, rated_parts, weakest
from ..profile.model import Column, Profile
from ..units import show
from .measurements import Measurements
from .openings import EVERYTHING, opening_named, place_name
from .remedies import FIRST, NO_SOURCE, must_not_be_reversed, remedies
from .steps import Excess, PlannedStep


@dataclass(frozen=True, slots=True)
class Act:
    """One thing to do about a part, and where that is known from."""

    text: str
    source: str


@dataclass(frozen=True, slots=True)
class Advice:
    """What to have ready for one part, and what to do, simplest first."""

    part: str
    ready: tuple[str, ...]
    steps: tuple[Act, ...]


_NO_FLOW = (
    "open nothing: with everything connected the display shows zero. Is the pump running, the "
    "purge valve closed, the flow set? Without flow no restriction shows (see: limitcheck reading "
    "0). Then read step all again."
)


def what_stops(work: Measurements) -> str | None:
    """Why no line may be opened yet: the pressure is over a limit, or there is none.

    Of all readings: a step read above a limit is no better than everything connected so.
    """
    over = _over_a_limit(work)
    if over:
        return f"{over}Then read step all again, at a lower flow only, before you open anything."
    return _NO_FLOW if work.readings.get(EVERYTHING) == 0 else None


def what_first(work: Measurements) -> str | None:
    """What must be done before any step: where a part behind the column may hold too little."""
    if EVERYTHING not in work.readings:
        return what_stops(work)
    return _lower_flow(work, _over_a_limit(work)) or what_stops(work)


def _over_a_limit(work: Measurements) -> str:
    """What to do where a reading is at the high cutoff or over a rating; empty where none is."""
    read = [*work.readings.values(), *([float(work.reversed)] if work.reversed else [])]
    if not read:
        return ""
    high, worst = work.profile.cutoffs.high, max(read)
    holds = [part for part in rated_parts(work.profile) if part.loaded]
    over = weakest([part for part in holds if worst > float(part.pressure)])
    if over is not None:
        held = f"{over.pressure}"
        return f"stop the flow: {work.show(worst)} is above what the {over.name} holds, {held}. "
    if high is not None and high.value > 0 and worst >= float(high):
        return f"stop the flow: {work.show(worst)} is at or above the high cutoff, {high}. "
    return ""


def _lower_flow(work: Measurements, told: str) -> str | None:
    """At which flow no part behind the column has too much on it; None where none may have."""
    if work.drops is None and not work.in_doubt:
        return None
    last = column_index(work.profile)
    before = [i for i in work.steps[EVERYTHING].parts if i <= last]
    taken = work.drops.over(before)[0] if work.drops is not None else 0.0  # in doubt: all is there
    most = work.readings[EVERYTHING] - taken
    weak = weakest([part for part in rated_parts(work.profile) if not part.loaded])
    if weak is None or most <= float(weak.pressure):
        return None
    share = math.floor(100 * float(weak.pressure) / most)
    begin = f"{told}Then lower" if told else "lower"
    return (
        f"{begin} the flow to {share} % of the method's or less, and give that flow "
        f"with the readings: if the restriction is behind it, the {weak.name}, which holds "
        f"{show(weak.pressure, work.unit)}, may have {work.show(most, 3)} on it. Read every step "
        "at that flow; readings at two flows do not go together."
    )


def further_steps(work: Measurements, named: Sequence[Excess]) -> tuple[PlannedStep, ...]:
    """Openings between the parts of a group that holds the restriction."""
    found = []
    for excess in named:
        for place in sorted(excess.places, reverse=True)[:-1]:
            step = opening_named(f"part-{place + 1}", work.profile)
            if step is not None and all(known.parts != step.parts for known in work.steps.values()):
                found.append(work.planned(step))
    return tuple(found)


def what_to_do(work: Measurements, named: Sequence[Excess]) -> tuple[Advice, ...]:
    """For each part of the groups named; first of all where more is on it than it holds."""
    holds = {part.place: part.pressure for part in rated_parts(work.profile)}
    found = []
    for excess in named:
        for place in excess.places:
            listed = remedies(work.profile, place)
            first = FIRST
            rating = holds.get(place)
            if rating is not None and excess.drop > float(rating):
                first = (
                    f"flow off until it is clear: it holds {rating}, and with the flow on "
                    f"{work.show(excess.drop)} may be on it; wait until the display shows zero"
                )
            found.append(
                Advice(
                    place_name(work.profile, place),
                    tuple(dict.fromkeys(item for remedy in listed for item in remedy.ready)),
                    (Act(first, NO_SOURCE), *(Act(remedy.act, remedy.source) for remedy in listed)),
                )
            )
    return tuple(found)


def when_cured(work: Measurements, named: Sequence[Excess]) -> tuple[PlannedStep, ...]:
    """The steps on both sides of what was named, and everything connected."""
    names = {name for e in named for name in (EVERYTHING, e.before, e.after) if name is not None}
    return tuple(work.planned(step) for step in work.steps.values() if step.name in names)


def last_column(profile: Profile) -> Column:
    """The last column of the flow path."""
    column = profile.flow_path[column_index(profile)]
    assert isinstance(column, Column)
    return column


def when_reversed(work: Measurements) -> str | None:
    """What the reading with the column reversed says."""
    if work.reversed is None:
        return None
    forbidden = must_not_be_reversed(last_column(work.profile))
    parts = work.steps.get("column-outlet", work.steps[EVERYTHING]).parts
    normal = work.normal_at("column-outlet", parts)
    if forbidden is not None:
        return (
            f"the column was reversed, and should not have been: {forbidden}. Flow off; put it "
            "back with the flow in the direction of its arrow."
        )
    if normal is None:
        return None
    value = float(work.reversed)
    high = normal[0] + math.hypot(normal[1], work.reach(value))
    shown = show(work.reversed, work.unit)
    if value <= high:
        return (
            f"reversed, the column is at {shown}, which is normal: what blocked it sat at its "
            "inlet. Replace the inlet frit, and look for where the particles come from."
        )
    return (
        f"reversed, the column is still at {shown} (normal up to {work.show(high, 3)}): bed or "
        "both frits. Wash it backwards to waste; if that does not help, replace it."
    )
