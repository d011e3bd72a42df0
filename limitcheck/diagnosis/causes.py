"""What makes a pressure differ from normal, the pressure each cause predicts, how well it fits.

A cause with a pressure of its own (the heater is off) has a band: the reading is as likely under
it as a bell curve over the logarithm of the pressure says, the band being four standard deviations
wide. A cause of any size (a blockage) explains every reading on its side, so it is as likely
as an even spread over a factor of three, or ten, makes it. A cause that said the pressure exactly
thus ranks before one that could have said anything. Causes less than a factor of three apart
fit alike: pressure alone can't tell them apart.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

from ..physics.faults import Faults, Normal, NormalRun, Where
from ..physics.liquid import CannotPredict
from ..physics.predict import pressure
from ..profile.hardware import column_index, rated_parts, weakest
from ..profile.model import Profile
from ..units import PRESSURE_UNITS, TRADE_UNITS, Pressure, percent, show
from ..units.printing import as_read, short

Fit = Literal["fits", "near", "does not fit"]
_FITS, _NEAR = 2.0, 3.0  # standard deviations
_LEAST = 0.02  # standard deviation of ln(pressure): a pump varies
_ANY_RISE = 1 / math.log(3)
_ANY_FALL = 1 / math.log(10)
_ANY_FLOW = 1 / (2 * math.log(10))
_NEARLY_NOTHING = 0.05  # of the normal pressure
_OVERSHOOT = 2.0  # times its rating: more than a pump can make (common practice, no source)
OF_FIXED_SIZE = (  # in the table of faults; here their size is worked out from the reading
    "inlet-frit-blocked",
    "bed-blocked",
    "tubing-before-injector-blocked",
    "tubing-after-injector-blocked",
    "leak",
)


@dataclass(frozen=True, slots=True)
class Cause:
    """A cause of a reading: the pressures it predicts [Pa], and how likely the reading is then.

    `any_size`: its size was worked out from the reading. `alike`: pressure can't tell it from the
    likeliest cause.
    """

    name: str
    description: str
    low: float
    high: float
    fit: Fit
    likelihood: float
    distance: float  # of the reading from the middle of the band, in standard deviations
    any_size: bool = False
    alike: bool = False


def causes(faults: Faults, reading: Pressure) -> Iterator[Cause]:
    """Every cause that can be worked out; raises CannotPredict without a normal pressure.

    A normal reading needs no cause of any size; nor does one that the pump can't make.
    """
    profile, normal, value = faults.profile, faults.normal, float(reading)
    for effect in faults.effects:
        if effect.name not in OF_FIXED_SIZE:
            yield _of_band(effect.name, effect.description, effect.low, effect.high, value)
    yield _no_flow(normal, value)
    if normal.low <= value <= normal.high:
        return
    yield from _units(reading, normal)
    pump = profile.flow_path[0].rating
    if value == 0 or (pump is not None and value > _OVERSHOOT * float(pump)):
        return
    if value > normal.high:
        yield from _blockages(faults, normal, value)
    else:
        lost = (
            f"{percent(1 - value / normal.low)} of the flow or more"
            if normal.gradient
            else f"about {percent(1 - value / normal.central)} of the flow"
        )
        yield _of_any_size("leak", f"a leak before the column, {lost}", value, _ANY_FALL)
    yield from _flow(profile, normal, value)
    yield from _composition(faults, normal, value)


def bell(value: float, low: float, high: float) -> tuple[float, float]:
    """Distance from the middle of a band in standard deviations, and likelihood, in ln."""
    if value <= 0 or low <= 0:
        return math.inf, 0.0
    deviation = max(math.log(high / low) / 4, _LEAST)
    distance = abs(math.log(value / math.sqrt(low * high))) / deviation
    return distance, math.exp(-distance * distance / 2) / (deviation * math.sqrt(2 * math.pi))


def _of_band(name: str, description: str, low: float, high: float, value: float) -> Cause:
    distance, likelihood = bell(value, low, high)
    fit: Fit = "fits" if distance <= _FITS else "near" if distance <= _NEAR else "does not fit"
    return Cause(name, description, low, high, fit, likelihood, distance)


def _of_any_size(name: str, description: str, value: float, likelihood: float) -> Cause:
    return Cause(name, description, value, value, "fits", likelihood, 0.0, any_size=True)


def _units(reading: Pressure, normal: Normal) -> Iterator[Cause]:
    """The same number in another unit, where that is a normal pressure."""
    number = show(reading, reading.unit).split()[0]
    for unit in TRADE_UNITS:
        if unit != reading.unit:
            meant = Pressure.of(reading.to(reading.unit), unit)
            scale = float(PRESSURE_UNITS[reading.unit].factor / PRESSURE_UNITS[unit].factor)
            shown = show(meant, reading.unit, digits=4)
            text = f"the display shows {unit}: {number} {unit} is {shown}, a normal pressure"
            low, high = normal.low * scale, normal.high * scale
            cause = _of_band(f"display-in-{unit}", text, low, high, float(reading))
            if cause.fit != "does not fit":
                yield cause


def _no_flow(normal: Normal, value: float) -> Cause:
    most = _NEARLY_NOTHING * normal.low
    text = "no flow through the column: pump stopped, purge valve open, line off, or no solvent"
    if value <= most:
        return Cause("no-flow", text, 0.0, most, "fits", _ANY_FALL, 0.0)
    return Cause("no-flow", text, 0.0, most, "does not fit", 0.0, math.inf)


def _blockages(run: NormalRun, normal: Normal, value: float) -> Iterator[Cause]:
    profile = run.profile
    start = normal.high if normal.gradient else normal.central
    rise = value / start - 1
    least = "at least" if normal.gradient else "about"
    unit = profile.instrument.pressure_unit
    added = f"adds {least} {as_read(value - start, unit, 2)} {unit}"
    after = [part for part in rated_parts(profile) if not part.loaded]
    weak = weakest(after)  # which a blockage behind it would break first
    holds = f"; the {weak.name} holds {weak.pressure}" if weak is not None else ""
    outlet = f"what follows the column (tubing, cell, waste line) {added}{holds}"
    yield _of_any_size("inlet-frit-blocked", f"the inlet frit {added}", value, _ANY_RISE)
    yield _of_any_size("outlet-blocked", outlet, value, _ANY_RISE)
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
        yield _of_any_size(name, text, value, _ANY_RISE)


def _flow(profile: Profile, normal: Normal, value: float) -> Iterator[Cause]:
    conditions = profile.conditions
    if conditions is None or conditions.flow is None or normal.gradient:
        return
    flow = float(conditions.flow.to("mL/min")) * value / normal.central
    text = f"the flow is about {short(flow, 3)} mL/min instead of {conditions.flow}"
    yield _of_any_size("other-flow", text, value, _ANY_FLOW)


def _composition(run: NormalRun, normal: Normal, value: float) -> Iterator[Cause]:
    """Compositions at which the normal system would show the reading."""
    conditions = run.profile.conditions
    if conditions is None or conditions.solvent_b is None or conditions.percent_b is None:
        return
    try:
        own = pressure(run.system, float(conditions.percent_b))[1]
        course = [pressure(run.system, float(b))[1] / own * normal.central for b in range(101)]
    except CannotPredict:
        return
    at = [
        b + (value - low) / (high - low)
        for b, (low, high) in enumerate(pairwise(course))
        if min(low, high) <= value <= max(low, high) and low != high
    ]
    if at:
        where = " or ".join(f"{b:.0f}" for b in at[:3])
        likelihood = 1 / max(math.log(max(course) / min(course)), 0.1)
        text = (
            f"another composition: about {where} % B instead of "
            f"{short(float(conditions.percent_b))}"
        )
        yield _of_any_size("other-composition", text, value, likelihood)
