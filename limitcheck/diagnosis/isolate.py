"""Where a restriction sits: pressures read while the flow path is opened step by step.

A part is named only when the interval of its excess lies above zero; where the readings can't
tell parts apart, or contradict each other, that is said instead.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from ..physics.system import Change
from ..profile.hardware import rated_parts
from ..profile.model import Profile
from ..units import Pressure, show
from ..units.printing import short
from .isolation import Advice, Excess, Isolation, PlannedStep, Verdict
from .measured import Measured
from .openings import EVERYTHING, opening_named, place_name
from .remedies import remedies

_MINOR = 0.2  # of the largest excess: less is not called a restriction of its own
# An excess under this share of the normal pressure is no restriction: where the normal drop was
# read on a good day, and where it is predicted (assumed, no source).
_IMMATERIAL_READ, _IMMATERIAL_PREDICTED = 0.02, 0.05


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
    work = Measured(profile, readings, normal or {}, at or Change())
    groups = work.groups()
    excesses = tuple(work.excess(*group) for group in groups)
    verdict, message, named = _verdict(work, excesses)
    return Isolation(
        unit=work.unit,
        resolution=work.resolution / work.pascal,
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


def _verdict(work: Measured, excesses: Sequence[Excess]) -> tuple[Verdict, str, tuple[Excess, ...]]:
    if (rise := work.rise()) is not None:
        return "contradiction", rise, ()
    if not excesses:
        missing = (
            "give the reading of step all and of one more" if work.readings else "no reading yet"
        )
        return "plan", f"{missing}; the steps are below.", ()
    judged = [e for e in excesses if e.low is not None and e.high is not None]
    if not judged:
        return "unjudged", f"no normal pressure to hold against: {work.no_normal}.", ()
    holding = _holding(work, judged)
    if len(holding) == 1:
        return "found", f"the restriction is in {_where(work, holding[0])}.", tuple(holding)
    if holding:
        where = ", and in ".join(_where(work, e) for e in holding)
        return "several", f"more than one restriction: in {where}.", tuple(holding)
    return _without_a_name(work, judged)


def _holding(work: Measured, judged: Sequence[Excess]) -> list[Excess]:
    """Groups surely above normal by an amount that matters, the largest first."""
    surely = [e for e in judged if e.low is not None and e.low > 0]
    largest = max((e.excess or 0.0 for e in surely), default=0.0)
    total = work.total()[0] / work.pascal
    matter = []
    for excess in surely:
        share = _IMMATERIAL_READ if work.normal_was_read(excess) else _IMMATERIAL_PREDICTED
        if (excess.excess or 0.0) >= max(_MINOR * largest, share * total):
            matter.append(excess)
    return sorted(matter, key=lambda e: -(e.excess or 0.0))


def _without_a_name(
    work: Measured, judged: Sequence[Excess]
) -> tuple[Verdict, str, tuple[Excess, ...]]:
    central, reach = work.total()
    total = work.readings[EVERYTHING]
    off = math.hypot(work.reach(total), reach)
    if total - central > off:
        able = [e for e in judged if e.high is not None and e.high * work.pascal > off]
        able.sort(key=lambda e: -(e.excess or 0.0))
        where = ", or ".join(", ".join(e.parts) for e in able)
        where = where or "several parts, a little each"
        return (
            "undecided",
            f"the pressure is too high, but the readings can't tell apart: {where}.",
            (),
        )
    if central - total > off:
        return (
            "low",
            "the pressure is below normal: no restriction, but perhaps a leak, air in the "
            "pump, or another mobile phase (see: limitcheck reading).",
            (),
        )
    return "normal", "every drop is normal within what the readings can show.", ()


def _where(work: Measured, excess: Excess) -> str:
    """The parts of a group and how far above normal its drop is."""
    assert excess.excess is not None
    amount = f"{short(excess.excess, 3)} {work.unit} above normal"
    if len(excess.parts) == 1:
        return f"the {excess.parts[0]} ({amount})"
    return f"one of: {', '.join(excess.parts)} ({amount} together)"


def _further(work: Measured, named: Sequence[Excess]) -> tuple[PlannedStep, ...]:
    """Openings between the parts of a group that holds the restriction."""
    found = []
    for excess in named:
        for place in sorted(excess.places, reverse=True)[:-1]:
            step = opening_named(f"part-{place + 1}", work.profile)
            if step is not None and all(known.parts != step.parts for known in work.steps.values()):
                found.append(work.planned(step))
    return tuple(found)


def _advice(work: Measured, named: Sequence[Excess]) -> tuple[Advice, ...]:
    """For each part of the groups named; first of all where more is on it than it holds."""
    holds = {part.index: part.pressure for part in rated_parts(work.profile)}
    unit = work.profile.instrument.pressure_unit

    def over(excess: Excess, place: int) -> tuple[str, ...]:
        rating = holds.get(place)
        if rating is None or excess.drop <= rating.to(unit):
            return ()
        return (
            f"flow off until it is clear: it holds {rating}, and with the flow on "
            f"{short(excess.drop)} {unit} may be on it",
        )

    return tuple(
        Advice(place_name(work.profile, i), over(excess, i) + remedies(work.profile, i))
        for excess in named
        for i in excess.places
    )


def _reversed(work: Measured) -> str | None:
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
        f"reversed, the column is still at {shown} (normal up to {short(high / work.pascal, 3)} "
        f"{work.unit}): bed or both frits. Wash it backwards to waste; if that does not help, "
        "replace it."
    )
