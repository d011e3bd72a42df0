"""Where a restriction sits: pressures read while the flow path is opened step by step.

A part is named only when the interval of its excess lies above zero; where the readings can't
tell parts apart, or contradict each other, that is said instead.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from ..physics.system import Change
from ..profile.hardware import rated_parts
from ..profile.model import Profile
from ..units import Pressure, show
from .advice import remedies
from .drops import Excess, Measurements, PlannedStep
from .openings import EVERYTHING, opening_named, place_name

Verdict = Literal[
    "plan", "found", "several", "undecided", "normal", "low", "contradiction", "unjudged"
]
_MINOR = 0.2  # of the largest excess: less is not called a restriction of its own
# An excess under this share of the normal pressure is no restriction: where the normal drop was
# read on a good day, and where it is predicted (assumed, no source).
_IMMATERIAL_READ, _IMMATERIAL_PREDICTED = 0.02, 0.05


@dataclass(frozen=True, slots=True)
class Advice:
    """What to do about one part, simplest first."""

    part: str
    steps: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Isolation:
    """Plan, readings, and what they say; `unit` is the display's, `resolution` its step [Pa]."""

    unit: str
    resolution: float
    plan: tuple[PlannedStep, ...]
    excesses: tuple[Excess, ...]
    verdict: Verdict
    message: str
    named: tuple[Excess, ...]
    further: tuple[PlannedStep, ...]  # steps that would tell the parts of a group apart
    advice: tuple[Advice, ...]
    reversed_column: str | None
    no_normal: str | None  # why there is no normal pressure to compare with
    doubt: str | None  # why the normal drops themselves are doubtful


def isolate(
    profile: Profile,
    readings: Mapping[str, Pressure],
    *,
    normal: Mapping[str, Pressure] | None = None,
    at: Change | None = None,
) -> Isolation:
    """The plan for a profile and what the readings (by step name) say so far.

    `normal` holds pressures of the same steps from good days; a normal for `all` alone is of use
    already. `at` names the conditions of the readings where they are not the profile's. Raises
    ReadingError for an unknown step or a reading no instrument can show.
    """
    work = Measurements(profile, readings, normal or {}, at or Change())
    excesses = work.excesses()
    verdict, message, named = _verdict(work, excesses)
    return Isolation(
        unit=work.unit,
        resolution=work.resolution,
        plan=tuple(work.planned(step) for step in work.steps.values()),
        excesses=excesses,
        verdict=verdict,
        message=message,
        named=named,
        further=_further(work, named),
        advice=_advice(work, named),
        reversed_column=_reversed(work),
        no_normal=work.no_normal,
        doubt=work.doubt(),
    )


def _verdict(
    work: Measurements, excesses: Sequence[Excess]
) -> tuple[Verdict, str, tuple[Excess, ...]]:
    if (rise := work.rise()) is not None:
        return "contradiction", rise, ()
    if not excesses:
        missing = (
            "give the reading of step all and of one more" if work.readings else "no reading yet"
        )
        return "plan", f"{missing}; the steps are below.", ()
    judged = [e for e in excesses if e.excess is not None]
    if not judged:
        return "unjudged", f"no normal pressure to compare with: {work.no_normal}.", ()
    holding = _holding(work, judged)
    if len(holding) == 1:
        return "found", f"the restriction is in {_where(work, holding[0])}.", tuple(holding)
    if holding:
        where = ", and in ".join(_where(work, e) for e in holding)
        return "several", f"more than one restriction: in {where}.", tuple(holding)
    return (*_without_a_name(work, judged), ())


def _amount(excess: Excess) -> float:
    return excess.excess or 0.0


def _holding(work: Measurements, judged: Sequence[Excess]) -> list[Excess]:
    """Groups surely above normal by an amount that matters, the largest first."""
    surely = [e for e in judged if e.low is not None and e.low > 0]
    largest = max(map(_amount, surely), default=0.0)
    total = work.total()[0]

    def matters(excess: Excess) -> bool:
        share = _IMMATERIAL_READ if work.normal_was_read(excess) else _IMMATERIAL_PREDICTED
        return _amount(excess) >= max(_MINOR * largest, share * total)

    return sorted(filter(matters, surely), key=_amount, reverse=True)


def _without_a_name(work: Measurements, judged: Sequence[Excess]) -> tuple[Verdict, str]:
    central, reach = work.total()
    total = work.readings[EVERYTHING]
    off = math.hypot(work.reach(total), reach)
    if total - central > off:
        able = sorted(
            (e for e in judged if e.high is not None and e.high > off), key=_amount, reverse=True
        )
        where = ", or ".join(", ".join(e.parts) for e in able)
        return (
            "undecided",
            "the pressure is too high, but the readings can't tell apart: "
            f"{where or 'several parts, a little each'}.",
        )
    if central - total > off:
        return (
            "low",
            "the pressure is below normal: no restriction, but perhaps a leak, air in the "
            "pump, or another mobile phase (see: limitcheck reading).",
        )
    return "normal", "every drop is normal within what the readings can show."


def _where(work: Measurements, excess: Excess) -> str:
    """The parts of a group and how far above normal its drop is."""
    amount = f"{work.show(_amount(excess), 3)} above normal"
    if len(excess.parts) == 1:
        return f"the {excess.parts[0]} ({amount})"
    return f"one of: {', '.join(excess.parts)} ({amount} together)"


def _further(work: Measurements, named: Sequence[Excess]) -> tuple[PlannedStep, ...]:
    """Openings between the parts of a group that holds the restriction."""
    found = []
    for excess in named:
        for place in sorted(excess.places, reverse=True)[:-1]:
            step = opening_named(f"part-{place + 1}", work.profile)
            if step is not None and all(known.parts != step.parts for known in work.steps.values()):
                found.append(work.planned(step))
    return tuple(found)


def _advice(work: Measurements, named: Sequence[Excess]) -> tuple[Advice, ...]:
    """For each part of the groups named; first of all where more is on it than it holds."""
    holds = {part.place: part.pressure for part in rated_parts(work.profile)}
    found = []
    for excess in named:
        for place in excess.places:
            steps = remedies(work.profile, place)
            rating = holds.get(place)
            if rating is not None and excess.drop > float(rating):
                first = (
                    f"flow off until it is clear: it holds {rating}, and with the flow on "
                    f"{work.show(excess.drop)} may be on it"
                )
                steps = (first, *steps)
            found.append(Advice(place_name(work.profile, place), steps))
    return tuple(found)


def _reversed(work: Measurements) -> str | None:
    """What the reading with the column reversed says."""
    if work.reversed is None:
        return None
    parts = work.steps.get("column-outlet", work.steps[EVERYTHING]).parts
    normal = work.normal_at("column-outlet", parts)
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
