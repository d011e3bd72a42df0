"""Causes of any size: how large each must be to make the reading."""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import pairwise
from typing import Literal, NamedTuple

from ..physics.faults import Faults, Normal, NormalRun, Where
from ..physics.liquid import CannotPredict
from ..physics.mobile_phase import liquid
from ..physics.predict import pressure
from ..profile.hardware import column_index, rated_parts, weakest
from ..profile.model import Profile
from ..units import percent
from ..units.printing import as_read, short

SIZED_BY_THE_READING = (  # in the table of faults; here their size is worked out from the reading
    "inlet-frit-blocked",
    "bed-blocked",
    "tubing-before-injector-blocked",
    "tubing-after-injector-blocked",
    "leak",
)
_LARGE_LOSS = 0.6  # of the flow: more than a pump of two heads loses by one (assumed, no source)
_OFFSET = 0.03  # of the pressure, a transducer's at most (common practice, no source)
_FAR_FLOW = 2.5  # times: a slip of the flow so large is seldom (assumed, no source)
_COLDEST, _HOTTEST, _STEP = 278.15, 368.15, 5.0  # K, a column's (common practice, no source)
_NO_SALT = frozenset({"acid", "tfa", "hcooh", "ammonia", "h3po4", "pH"})
"""Words of what is dissolved and is no salt that falls out (common practice, no source)."""


class Sized(NamedTuple):
    """A cause with its size in words; `spread` is over which side it could have been.

    `extreme`: seldom seen so large.
    """

    name: str
    description: str
    spread: Literal["rise", "fall", "either"]
    extreme: bool = False


def sized(faults: Faults, normal: Normal, value: float) -> Iterator[Sized]:
    """The causes of any size of a reading [Pa] outside the normal band."""
    if value > normal.high:
        yield from _restrictions(faults, normal, value)
    else:
        yield from _less_flow(normal, value)
    off = value - (normal.high if value > normal.high else normal.low)
    if abs(off) <= _OFFSET * value:
        unit = faults.profile.instrument.pressure_unit
        text = f"the transducer shows {as_read(abs(off), unit, 2)} {unit} too "
        yield Sized("transducer-off", text + ("much" if off > 0 else "little"), "either")
    if not normal.gradient:
        yield from _flow(faults.profile, normal, value)
        yield from _composition(faults, normal, value)
        yield from _temperature(faults, normal, value)


def _restrictions(run: NormalRun, normal: Normal, value: float) -> Iterator[Sized]:
    profile = run.profile
    kinds = {part.part for part in profile.flow_path}
    start = normal.high if normal.gradient else normal.central
    rise = value / start - 1
    least = "at least" if normal.gradient else "about"
    unit = profile.instrument.pressure_unit
    added = f"adds {least} {as_read(value - start, unit, 2)} {unit}"
    after = [part for part in rated_parts(profile) if not part.loaded]
    weak = weakest(after)  # which a blockage behind it would break first
    holds = f"; the {weak.name} holds {weak.pressure}" if weak is not None else ""
    yield Sized("inlet-frit-blocked", f"the inlet frit {added}", "rise")
    outlet = f"what follows the column (tubing, cell, waste line) {added}{holds}"
    yield Sized("outlet-blocked", outlet, "rise")
    if "guard column" in kinds:
        yield Sized("guard-column-blocked", f"the guard column {added}", "rise")
    if "filter" in kinds:
        yield Sized("in-line-filter-blocked", f"the in-line filter {added}", "rise")
    if "injector" in kinds:
        text = f"the needle seat, or a groove of the injection valve, {added}"
        yield Sized("needle-seat-blocked", text, "rise")
    if salts := _salts(profile):
        text = f"{salts} has precipitated where the flow path is narrow: {added}"
        yield Sized("precipitated-buffer", text, "rise")
    places: tuple[tuple[str, Where | None], ...] = (
        ("bed-blocked", None),
        ("tubing-before-injector-blocked", "before the injector"),
        ("tubing-after-injector-blocked", "after the injector"),
    )
    for name, where in places:
        try:
            # Resistance goes as 1 / area in a bed, as 1 / area^2 in a tube.
            tube = run.narrowest(where) if where else None
            share = run.share(tube.place if tube else column_index(profile))
            closed = 1 - (share / (share + rise)) ** (0.5 if tube else 1)
            what = tube.name if tube else "bed"
            text = f"{least} {percent(closed)} of the cross-section of the {what} is closed"
        except CannotPredict:
            text = f"{f'a tube {where}' if where else 'the bed'} is closed in part"
        yield Sized(name, text, "rise")


def _salts(profile: Profile) -> str:
    """What is dissolved in the solvents and may fall out, in words; empty for nothing."""
    conditions = profile.conditions
    found: dict[str, None] = {}
    for text in (conditions.solvent_a, conditions.solvent_b) if conditions else ():
        try:
            dissolved = liquid(text, None, 0.0).solutes if text else ()
        except CannotPredict:
            continue
        found |= dict.fromkeys(s.name for s in dissolved if not _NO_SALT & set(s.name.split()))
    return " or ".join(found)


def _less_flow(normal: Normal, value: float) -> Iterator[Sized]:
    start = normal.low if normal.gradient else normal.central
    lost = 1 - value / start
    share = f"{percent(lost)} of the flow" + (" or more" if normal.gradient else "")
    about = "" if normal.gradient else "about "
    large = lost > _LARGE_LOSS
    seen = ": so much runs out in plain sight" if large else ""
    leak = f"a leak before the column that takes {about}{share}{seen}"
    yield Sized("leak", leak, "fall", large)
    for name, what in (
        ("check-valve", "a check valve that does not close, or sticks"),
        ("worn-seal", "a worn piston seal"),
        ("bubbles", "bubbles from solvent that was not degassed"),
        ("supply-starved", "a blocked inlet filter or line: the pump is starved"),
    ):
        yield Sized(name, f"{what}: {about}{share} is missing", "fall", large)


def _flow(profile: Profile, normal: Normal, value: float) -> Iterator[Sized]:
    conditions = profile.conditions
    if conditions is not None and conditions.flow is not None:
        flow = float(conditions.flow.to("mL/min")) * value / normal.central
        text = f"about {short(flow, 3)} mL/min instead of {conditions.flow}"
        far = not 1 / _FAR_FLOW <= value / normal.central <= _FAR_FLOW
        yield Sized("other-flow", text, "either", far)


def _composition(run: NormalRun, normal: Normal, value: float) -> Iterator[Sized]:
    """Compositions at which the normal system would show the reading."""
    conditions = run.profile.conditions
    if conditions is None or conditions.solvent_b is None or conditions.percent_b is None:
        return
    try:
        own = pressure(run.system, float(conditions.percent_b))[1]
        course = [pressure(run.system, float(b))[1] / own * normal.central for b in range(101)]
    except CannotPredict:
        return
    at = _where(course, value)
    if at:
        where = " or ".join(f"{b:.0f}" for b in at[:3])
        given = short(float(conditions.percent_b))
        yield Sized("other-composition", f"about {where} % B instead of {given}", "either")


def _temperature(run: NormalRun, normal: Normal, value: float) -> Iterator[Sized]:
    """The temperature of the column at which the normal system would show the reading."""
    try:
        ready = run.system
        (_, percent_b), own = ready.programme[0], run.prediction.central
        course = []
        for step in range(round((_HOTTEST - _COLDEST) / _STEP) + 1):
            state = ready.state._replace(hot=_COLDEST + step * _STEP)
            there = pressure(ready._replace(state=state), percent_b)[1]
            course.append(there / own * normal.central)
    except CannotPredict:
        return
    for at in _where(course, value)[:1]:
        text = f"about {_COLDEST - 273.15 + _STEP * at:.0f} degC instead of "
        yield Sized("other-temperature", text + f"{ready.state.hot - 273.15:.4g} degC", "either")


def _where(course: list[float], value: float) -> list[float]:
    """The places, in steps, at which a course passes a value."""
    return [
        step + (value - first) / (second - first)
        for step, (first, second) in enumerate(pairwise(course))
        if min(first, second) <= value <= max(first, second) and not math.isclose(first, second)
    ]
