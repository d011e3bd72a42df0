"""Causes of any size: how large each must be to make the reading.

A size is given as far as the normal band leaves it open: from its near end to its far end. In a
gradient the band is the course of one run, and the size a least one.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Literal, NamedTuple

from ..physics.constants import ZERO_CELSIUS, celsius
from ..physics.faults import Faults, Normal, NormalRun, Where
from ..physics.faults.plug import PLUG_LENGTH
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
_COLDEST, _HOTTEST = 5, 95  # degC, a column's (common practice, no source)
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
    unit = faults.profile.instrument.pressure_unit
    if value > normal.high:
        yield from _restrictions(faults, normal, value)
    else:
        yield from _less_flow(normal, value)
    off = value - (normal.high if value > normal.high else normal.low)
    if abs(off) <= _OFFSET * value:
        text = f"the transducer shows at least {as_read(abs(off), unit, 2)} {unit} too "
        yield Sized("transducer-off", text + ("much" if off > 0 else "little"), "either")
    if not normal.gradient:
        yield from _flow(faults.profile, normal, value)
        yield from _composition(faults, normal, value)
        yield from _temperature(faults, normal, value)


def _span(low: str, high: str, unit: str = "") -> str:
    """A size from low to high, or about one where both read alike."""
    low, high = low.removesuffix(unit), high.removesuffix(unit)
    return f"{low} to {high}{unit}" if low != high else f"about {low}{unit}"


def _restrictions(run: NormalRun, normal: Normal, value: float) -> Iterator[Sized]:
    profile, unit = run.profile, run.profile.instrument.pressure_unit
    kinds = {part.part for part in profile.flow_path}
    added = f"at least {as_read(value - normal.high, unit, 2)} {unit}"
    if not normal.gradient:
        ends = (as_read(value - end, unit, 2) for end in (normal.high, normal.low))
        added = _span(*ends) + f" {unit}"
    after = [part for part in rated_parts(profile) if not part.loaded]
    weak = weakest(after)  # which a blockage behind it would break first
    holds = f"; the {weak.name} holds {weak.pressure}" if weak is not None else ""
    outlet = f"what follows the column (tubing, cell, waste line) adds {added}{holds}"
    yield Sized("inlet-frit-blocked", f"the inlet frit adds {added}", "rise")
    yield Sized("outlet-blocked", outlet, "rise")
    if "guard column" in kinds:
        yield Sized("guard-column-blocked", f"the guard column adds {added}", "rise")
    if "filter" in kinds:
        yield Sized("in-line-filter-blocked", f"the in-line filter adds {added}", "rise")
    if "injector" in kinds:
        text = f"the needle seat, or a groove of the injection valve, adds {added}"
        yield Sized("needle-seat-blocked", text, "rise")
    if salts := _salts(profile):
        text = f"{salts} has precipitated where the flow path is narrow: adds {added}"
        yield Sized("precipitated-buffer", text, "rise")
    places: tuple[tuple[str, Where | None], ...] = (
        ("bed-blocked", None),
        ("tubing-before-injector-blocked", "before the injector"),
        ("tubing-after-injector-blocked", "after the injector"),
    )
    for name, where in places:
        try:
            yield Sized(name, _closed(run, normal, value, where), "rise")
        except CannotPredict:
            text = f"{f'a tube {where}' if where else 'the bed'} is closed in part"
            yield Sized(name, text, "rise")


def _closed(run: NormalRun, normal: Normal, value: float, where: Where | None) -> str:
    """How much of a cross-section is closed, from both ends of the band; raises CannotPredict.

    Over the whole of a bed, where resistance goes as 1 / area; over a plug of 5 mm in a tube.
    """
    tube = run.narrowest(where) if where else None
    share = 0.0 if tube else run.share(column_index(run.profile))

    def closed_at(end: float) -> float:
        rise = value / end - 1
        return run.plug_closed(tube, rise) if tube else 1 - share / (share + rise)

    least, most = (percent(closed_at(end)) for end in (normal.high, normal.low))
    closed = f"at least {least}" if normal.gradient else _span(least, most, " %")
    place = f"{tube.name} is closed over {PLUG_LENGTH * 1e3:.0f} mm" if tube else "bed is closed"
    return f"{closed} of the cross-section of the {place}"


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
    least, most = (percent(1 - value / end) for end in (normal.low, normal.high))
    share = f"{least} or more" if normal.gradient else _span(least, most, " %")
    large = 1 - value / normal.low > _LARGE_LOSS
    seen = ": so much runs out in plain sight" if large else ""
    yield Sized(
        "leak", f"a leak before the column that takes {share} of the flow{seen}", "fall", large
    )
    for name, what in (
        ("check-valve", "a check valve that does not close, or sticks"),
        ("worn-seal", "a worn piston seal"),
        ("bubbles", "bubbles from solvent that was not degassed"),
        ("supply-starved", "a blocked inlet filter or line: the pump is starved"),
    ):
        yield Sized(name, f"{what}: {share} of the flow is missing", "fall", large)


def _flow(profile: Profile, normal: Normal, value: float) -> Iterator[Sized]:
    conditions = profile.conditions
    if conditions is not None and conditions.flow is not None:
        flow = float(conditions.flow.to("mL/min"))
        low, high = (short(flow * value / end, 3) for end in (normal.high, normal.low))
        text = f"{_span(low, high)} mL/min instead of {conditions.flow}"
        far = not 1 / _FAR_FLOW <= value / normal.central <= _FAR_FLOW
        yield Sized("other-flow", text, "either", far)


def _composition(run: NormalRun, normal: Normal, value: float) -> Iterator[Sized]:
    """Compositions at which the normal system would show the reading."""
    conditions = run.profile.conditions
    if conditions is None or conditions.solvent_b is None or conditions.percent_b is None:
        return
    try:
        own = pressure(run.system, float(conditions.percent_b))[1]
        course = [pressure(run.system, float(b))[1] / own for b in range(101)]
    except CannotPredict:
        return
    given = short(float(conditions.percent_b))
    if at := _where(course, normal, value, 0):
        yield Sized("other-composition", f"{at} % B instead of {given}", "either")


def _temperature(run: NormalRun, normal: Normal, value: float) -> Iterator[Sized]:
    """Temperatures of the column at which the normal system would show the reading."""
    try:
        ready, own = run.system, run.prediction.central
        percent_b = ready.programme[0][1]
        course = []
        for degrees in range(_COLDEST, _HOTTEST + 1):
            state = ready.state._replace(hot=degrees + ZERO_CELSIUS)
            course.append(pressure(ready._replace(state=state), percent_b)[1] / own)
    except CannotPredict:
        return
    if at := _where(course, normal, value, _COLDEST):
        hottest, coldest = f" to {_HOTTEST}", f"{_COLDEST} to "
        if at.endswith(hottest):
            at = f"at least {at.removesuffix(hottest)}"
        elif at.startswith(coldest):
            at = f"at most {at.removeprefix(coldest)}"
        text = f"{at} degC instead of {celsius(ready.state.hot):.4g} degC"
        yield Sized("other-temperature", text, "either")


def _where(course: Sequence[float], normal: Normal, value: float, first: int) -> str:
    """Where a course of ratios, by whole steps from `first`, brings the band to the reading.

    Empty where it does nowhere.
    """
    spans: list[list[int]] = []
    for place, ratio in enumerate(course, first):
        if normal.low * ratio <= value <= normal.high * ratio:
            if spans and spans[-1][1] == place - 1:
                spans[-1][1] = place
            else:
                spans.append([place, place])
    return " or ".join(_span(f"{low}", f"{high}") for low, high in spans)
