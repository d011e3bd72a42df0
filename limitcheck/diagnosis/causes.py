"""What makes a pressure differ from normal, the pressure each cause predicts, how well it fits.

A cause with a pressure of its own (the heater is off) has a band: the normal band moved by a ratio
of two predictions, with the uncertainty of that ratio. The reading is as likely under it as a bell
curve over the logarithm of the pressure says, the band being four standard deviations wide. A
cause of any size (a blockage) explains every reading on its side, so it is as likely as an even
spread over a factor of three, or ten, makes it. A cause that said the pressure exactly thus ranks
before one that could have said anything. Causes less than a factor of three apart fit alike:
pressure alone can't tell them apart.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from ..physics.faults import Faults, Normal, NotComputed
from ..physics.liquid import CannotPredict
from ..physics.ratio import RatioInterval
from ..units import COMMON_UNITS, PRESSURE_UNITS, TRADE_UNITS, Pressure, is_in
from ..units.printing import as_read
from .catalogue import DISPLAY_IN, Common, KnownCause, known, words
from .mistaken_solvents import Ratios, mistaken_solvents
from .sized import SIZED_BY_THE_READING, Sized, sized
from .small_changes import small_changes

Fit = Literal["fits", "near", "does not fit"]
_FITS, _NEAR = 2.0, 3.0  # standard deviations
_LEAST = 0.02  # standard deviation of ln(pressure): a pump varies
_SPREADS = {"rise": 1 / math.log(3), "fall": 1 / math.log(10), "either": 1 / (2 * math.log(10))}
_NEARLY_NOTHING = 0.1  # of the normal pressure, before an open purge valve (assumed, no source)
_OVERSHOOT = 2.0  # times its rating: more than a pump can make (common practice, no source)
_NEARLY_NORMAL = 2.0  # times the near end of the band: a usual fault is in it (assumed, no source)
_FAR = 3.0  # times: a reading so far off is rather in another unit (assumed, no source)


@dataclass(frozen=True, slots=True)
class Cause:
    """A cause of a reading: the pressures it predicts [Pa], and how likely the reading is then.

    `ratio` is over the normal pressure, where it comes from two predictions. `any_size`: its size
    was worked out from the reading. `alike`: pressure can't tell it from the likeliest cause.
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
    ratio: RatioInterval | None = None
    extreme: bool = False  # seldom seen of this size, or in this unit

    @property
    def common(self) -> Common:
        """How often it is seen, at its size or in its unit."""
        return "seldom seen" if self.extreme else self.known.common

    @property
    def words(self) -> str:
        """The cause in few words."""
        return words(self.name)

    @property
    def known(self) -> KnownCause:
        """What is known of it beside its pressure."""
        return known(self.name)


def causes(faults: Faults, reading: Pressure) -> Iterator[Cause | NotComputed]:
    """Every cause, with those that can't be worked out; raises CannotPredict without a normal.

    A normal reading needs no cause of any size; nor does one that the pump can't make.
    """
    profile, normal, value = faults.profile, faults.normal, float(reading)
    for effect in faults.effects:
        if effect.name not in SIZED_BY_THE_READING:
            band = (effect.low, effect.high)
            yield _of_band(effect.name, effect.description, *band, value, effect.ratio)
    yield from (missing for missing in faults.not_computed if missing.name not in _SIZED)
    yield from _of_ratios(faults, normal, value)
    yield _no_flow(normal, value)
    if normal.low <= value <= normal.high:
        return
    yield from (units := list(_units(reading, normal, profile.instrument.pressure_unit)))
    pump = profile.flow_path[0].rating
    if pump is not None and value > _OVERSHOOT * float(pump):
        if not units:
            text = f"no pump of {pump} makes {reading}: misread or mistyped"
            yield _sized_cause(Sized("number-misread", text, "either"), value)
    elif value:
        yield from (_sized_cause(found, value) for found in sized(faults, normal, value))


_SIZED = frozenset(SIZED_BY_THE_READING)


def bell(value: float, low: float, high: float) -> tuple[float, float]:
    """Distance from the middle of a band in standard deviations, and likelihood, in ln."""
    if value <= 0 or low <= 0:
        return math.inf, 0.0
    deviation = max(math.log(high / low) / 4, _LEAST)
    distance = abs(math.log(value / math.sqrt(low * high))) / deviation
    return distance, math.exp(-distance * distance / 2) / (deviation * math.sqrt(2 * math.pi))


def _of_band(
    name: str,
    description: str,
    low: float,
    high: float,
    value: float,
    ratio: RatioInterval | None = None,
) -> Cause:
    distance, likelihood = bell(value, low, high)
    fit: Fit = "fits" if distance <= _FITS else "near" if distance <= _NEAR else "does not fit"
    return Cause(name, description, low, high, fit, likelihood, distance, ratio=ratio)


def _sized_cause(found: Sized, value: float) -> Cause:
    likelihood = _SPREADS[found.spread]
    return Cause(
        found.name, found.description, value, value, "fits", likelihood, 0.0,
        any_size=True, extreme=found.extreme,
    )  # fmt: skip


def _of_ratios(faults: Faults, normal: Normal, value: float) -> Iterator[Cause | NotComputed]:
    """Solvents mistaken and small changes: the normal band, moved by ratios of predictions."""
    try:
        tried = [*mistaken_solvents(faults), *small_changes(faults)]
    except CannotPredict as error:
        yield NotComputed("solvents-swapped", error.message)
        return
    for found in tried:
        if isinstance(found, NotComputed):
            yield found
            continue
        name, description, ratios = found
        yield _of_band(name, description, *_moved(normal, ratios), value, ratios[1])


def _moved(normal: Normal, ratios: Ratios) -> tuple[float, float]:
    """The normal band [Pa] times the ratios, with their uncertainty."""
    at_lowest, at_highest = ratios
    low = min(normal.low * at_lowest.low, normal.high * at_highest.low)
    return low, max(normal.low * at_lowest.high, normal.high * at_highest.high)


def _units(reading: Pressure, normal: Normal, display: str) -> Iterator[Cause]:
    """The same number in another unit, where that is a normal pressure, or nearly.

    Where the reading is far from normal and the same number in another unit is not, the display
    may be in that unit and the pressure be wrong as well.
    """
    number = reading.number
    off = _off(float(reading), normal)
    for unit in TRADE_UNITS:
        if unit == reading.unit:
            continue
        meant = Pressure.of(reading.to(reading.unit), unit)
        scale = float(PRESSURE_UNITS[reading.unit].factor / PRESSURE_UNITS[unit].factor)
        shown = f"{number} {unit}"
        if unit != display:
            shown += f" {is_in(meant, display)}"
        low, high = normal.low * scale, normal.high * scale
        distance, likelihood = bell(float(reading), low, high)
        then = _off(float(meant), normal)
        text = f"the display shows {unit}: {shown}, "
        name, seldom = f"{DISPLAY_IN}{unit}", unit not in COMMON_UNITS
        if then == 1.0:
            text += "a normal pressure"
            fit: Fit = "fits" if distance <= _FITS else "near"
            yield Cause(name, text, low, high, fit, likelihood, distance, extreme=seldom)
        elif then <= _NEARLY_NORMAL and off >= _FAR:
            side = "above" if float(meant) > normal.high else "below"
            end = normal.high if side == "above" else normal.low
            gap = as_read(abs(float(meant) - end), display)
            text += f"still {gap} {display} {side} normal: read it again in its unit"
            yield Cause(name, text, low, high, "near", likelihood, distance, extreme=seldom)


def _off(value: float, normal: Normal) -> float:
    """How many times a pressure is beyond the near end of the normal band; 1 inside it."""
    if value <= 0:
        return math.inf
    return max(value / normal.high, normal.low / value, 1.0)


def _no_flow(normal: Normal, value: float) -> Cause:
    most = _NEARLY_NOTHING * normal.low
    text = "no flow through the column: pump stopped, purge valve open, line off, or no solvent"
    if value <= most:
        return Cause("no-flow", text, 0.0, most, "fits", _SPREADS["fall"], 0.0)
    return Cause("no-flow", text, 0.0, most, "does not fit", 0.0, math.inf)
