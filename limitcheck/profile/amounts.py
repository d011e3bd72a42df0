"""Amounts of a profile that are hardly ever seen, or hardly possible.

What `plausible` says of lengths, flows and ratings of parts, for every other physical number of
the format, one by one and where two make a third. The ranges reach from capillary to preparative
scale: common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from fractions import Fraction
from math import pi
from typing import NamedTuple

from ..findings import KeyPath
from ..units import (
    PRESSURE_UNITS,
    TRADE_UNITS,
    Flow,
    Length,
    Permeability,
    Pressure,
    Quantity,
    Temperature,
    Volume,
)
from ..units.printing import short
from .measured import Resistance
from .model import Column, Conditions, Instrument, Part, Profile, Pump, Tube
from .plausible import FLOW_PER_BORE, implausible_geometry, plausible_range


class Range(NamedTuple):
    """What is usual, and what is possible at all: SI units, minutes or plates."""

    least: float
    most: float
    lowest: float
    highest: float
    usual: str
    """What is usual, in words."""


def _range(kind: type[Quantity], unit: str, *ends: str) -> Range:
    least, most, lowest, highest = (float(kind.of(end, unit)) for end in ends)
    return Range(least, most, lowest, highest, f"{ends[0]} to {ends[1]} {unit}")


RANGES: Mapping[str, Range] = {
    # Cold methods run near 0, hot ones near 200; water is critical at 374 degC (IAPWS R2-83).
    "temperature": _range(Temperature, "degC", "0", "200", "-80", "290"),
    "temperature of a test": _range(Temperature, "degC", "0", "90", "-80", "200"),
    "ambient": _range(Temperature, "degC", "5", "45", "-30", "70"),
    "rated temperature": _range(Temperature, "degC", "0", "250", "-80", "400"),
    "injection volume": _range(Volume, "uL", "0.001", "100000", "0.00001", "10000000"),
    "dwell volume": _range(Volume, "uL", "0.05", "50000", "0.001", "1000000"),
    "coil": _range(Length, "mm", "5", "1000", "1", "10000"),
    "stroke volume": _range(Volume, "uL", "0.2", "20000", "0.001", "1000000"),
    "flow": _range(Flow, "uL/min", "0.0003", "10000000", "0.00001", "1000000000"),
    "pressure drop": _range(Pressure, "bar", "0.01", "2000", "0.0001", "5000"),
    "display step": _range(Pressure, "bar", "0.001", "10", "0.00001", "100"),
    "largest entry": _range(Pressure, "bar", "10", "3000", "1", "10000"),
    "gradient": Range(0.1, 1440, 0.01, 20160, "6 seconds to a day"),
    # Beds of particles from 1 to 150 um; monoliths are within.
    "permeability": _range(Permeability, "um2", "0.0005", "30", "0.00001", "1000"),
    "plate number": Range(100, 1e6, 1, 1e7, "100 to 1000000"),
    "percent B": Range(1, 100, 0, 100, "1 to 100 % in some part of a run, or 0 throughout"),
    "stroke": Range(0.02, 3600, 0.0005, 360000, "0.02 s to an hour"),
    "swing over band": Range(0, 0.3, 0, 1, "at most 30 % of the expected low"),
    "dwell": Range(0.005, 60, 0.00005, 6000, "0.005 to 60 min"),
    "injection over column": Range(0, 1, 0, 100, "less than the volume of the column"),
    "flow over bore": Range(
        *FLOW_PER_BORE,
        *(FLOW_PER_BORE[0] / 1e3, FLOW_PER_BORE[1] * 1e3),
        "{:g} to {:g} mL/min/mm2".format(*(60 * end for end in FLOW_PER_BORE)),
    ),
}


_LEAST_SWING = 0.001
"""Of the expected pressure: less is hardly seen on a display."""
_NARROW, _OF_A_NARROW_COLUMN = 0.5e-3, 20
"""Bore [m] under which several volumes of the empty column are injected directly."""


class Unusual(NamedTuple):
    """An amount outside its range.

    `places` are the numbers it may lie in, the likeliest first; `name` is how people call it.
    """

    places: tuple[KeyPath, ...]
    name: str
    shown: str
    amount: float
    range: Range
    meant: tuple[str, ...] = ()
    """The same number otherwise read, where that is usual: "350 K"."""

    @property
    def possible(self) -> bool:
        """Whether it is only unusual."""
        return self.range.lowest <= self.amount <= self.range.highest

    @property
    def low(self) -> bool:
        """Whether it is below what is usual, not above."""
        return self.amount < self.range.least


def unusual_amounts(profile: Profile) -> tuple[Unusual, ...]:
    """The amounts of a profile that are hardly ever seen, in the order of the format.

    What two numbers make follows only where neither is unusual by itself: one slip is said once.
    """
    alone, pairs = tuple(_alone(profile)), tuple(_of_two(profile))
    if not pairs:
        return alone
    told = {place for item in alone for place in item.places}
    told.update(place for item in implausible_geometry(profile) for place in item.paths)
    return (*alone, *(item for item in pairs if told.isdisjoint(item.places)))


def _alone(profile: Profile) -> Iterator[Unusual]:
    yield from _of_instrument(profile.instrument)
    if profile.conditions is not None:
        yield from _of_conditions(profile.conditions)
    for index, part in enumerate(profile.flow_path):
        yield from _of_part(part, ("flow_path", index))
    for index, pair in enumerate(profile.measured):
        yield from _of_measured(pair, ("measured", index), f"of measured pair {index + 1}")


def _of_instrument(instrument: Instrument) -> Iterator[Unusual]:
    place, unit = ("instrument",), instrument.pressure_unit
    factor = PRESSURE_UNITS[unit].factor
    for key, name in (("display_step", "display step"), ("entry_max", "largest entry")):
        number = getattr(instrument, key)
        if number is not None and not _usual(float(number * factor), RANGES[name]):
            yield from _quantity(Pressure.of(number, unit), name, (*place, key), name)
    yield from _quantity(
        instrument.dwell_volume, "dwell volume", (*place, "dwell_volume"), "dwell volume"
    )


def _of_conditions(conditions: Conditions) -> Iterator[Unusual]:
    place = ("conditions",)
    for key, name, called in (
        ("temperature", "temperature", "column temperature"),
        ("ambient", "ambient", "room temperature"),
        ("injection_volume", "injection volume", "injection volume"),
    ):
        yield from _quantity(getattr(conditions, key), name, (*place, key), called)
    yield from _fractions(conditions)
    if conditions.gradient is None:
        return
    last = len(conditions.gradient) - 1
    end = conditions.gradient[last].minute
    at = (*place, "gradient", last, "minute")
    yield from _minutes(end, RANGES["gradient"], at, "last minute of the gradient")
    minute = conditions.injection_minute
    if minute is not None and minute > end:
        span = Range(0, float(end), 0, float(end), "within the gradient")
        yield from _minutes(minute, span, (*place, "injection_minute"), "minute of the injection")


def _fractions(conditions: Conditions) -> Iterator[Unusual]:
    """A composition that is never 1 % B, and not 0 throughout: a fraction typed for percent."""
    gradient = conditions.gradient
    shares: list[tuple[KeyPath, Fraction]]
    if gradient is not None:
        shares = [(("gradient", i, "percent_b"), p.percent_b) for i, p in enumerate(gradient)]
    else:
        shares = [(("percent_b",), conditions.percent_b or Fraction(0))]
    place, highest = max(shares, key=lambda share: share[1])
    if 0 < highest < 1:
        number = float(highest)
        at: KeyPath = ("conditions", *place)
        meant = (f"{short(100 * number)} %",)
        yield Unusual((at,), "percent B", f"{short(number)} %", number, RANGES["percent B"], meant)


def _of_part(part: Part, place: KeyPath) -> Iterator[Unusual]:
    key = "certificate" if isinstance(part, Column) else "resistance_at"
    measured: Resistance | None = getattr(part, key)
    if measured is not None:
        called = f"of the {key.replace('_at', '')} of the {part.name}"
        yield from _of_measured(measured, (*place, key), called)
    for key, quantity, name in (
        ("rating_at_flow", "flow", "flow"),
        ("rating_at_temperature", "temperature", "rated temperature"),
    ):
        for index, line in enumerate(getattr(part, key)):
            at = (*place, key, index)
            called = f"{quantity} of a rating of the {part.name}"
            yield from _quantity(getattr(line, quantity), name, (*at, quantity), called)
            yield from _derated(line.rating, part, (*at, "rating"))
    if isinstance(part, Tube):
        called = f"coil diameter of the {part.name}"
        yield from _quantity(part.coil_diameter, "coil", (*place, "coil_diameter"), called)
    if isinstance(part, Pump):
        called = f"stroke volume of the {part.name}"
        yield from _quantity(part.stroke_volume, "stroke volume", (*place, "stroke_volume"), called)
    if isinstance(part, Column):
        called = f"permeability of the {part.name}"
        yield from _quantity(part.permeability, "permeability", (*place, "permeability"), called)
    if isinstance(part, Column) and part.plate_number is not None:
        plates = part.plate_number
        if not _usual(float(plates), RANGES["plate number"]):
            called = f"plate number of the {part.name}"
            yield Unusual(
                ((*place, "plate_number"),),
                *(called, short(float(plates)), float(plates), RANGES["plate number"]),
            )


def _of_measured(measured: Resistance, at: KeyPath, called: str) -> Iterator[Unusual]:
    for key, name in (
        ("pressure", "pressure drop"),
        ("flow", "flow"),
        ("temperature", "temperature of a test"),
    ):
        amount = getattr(measured, key)
        yield from _quantity(amount, name, (*at, key), f"{key} {called}")


def _derated(rating: Pressure, part: Part, place: KeyPath) -> Iterator[Unusual]:
    least, most = map(float, plausible_range(part.part))
    usual = f"{least / 1e5:g} to {most / 1e5:g} bar"
    span = Range(least, most, least / 100, most * 100, usual)
    yield from _outside(rating, span, place, f"rating of the {part.name}")


def _of_two(profile: Profile) -> Iterator[Unusual]:
    """Amounts that two numbers make: a dwell, a share of the column, a flow through a bore."""
    yield from _of_swing(profile)
    conditions, instrument = profile.conditions or Conditions(), profile.instrument
    flow, dwell, injected = conditions.flow, instrument.dwell_volume, conditions.injection_volume
    if flow is not None and dwell is not None and conditions.gradient is not None:
        minutes = float(dwell) / float(flow) / 60
        if not _usual(minutes, RANGES["dwell"]):
            places: tuple[KeyPath, ...] = (("instrument", "dwell_volume"), ("conditions", "flow"))
            told = f"{dwell} at {flow}, {short(minutes, 3)} min"
            yield Unusual(places, "dwell volume over the flow", told, minutes, RANGES["dwell"])
    for index, part in enumerate(profile.flow_path):
        if isinstance(part, Pump) and part.stroke_volume is not None and flow is not None:
            seconds = float(part.stroke_volume) / float(flow)
            if not _usual(seconds, RANGES["stroke"]):
                told = f"{part.stroke_volume} at {flow}, {short(seconds, 3)} s"
                places = (("flow_path", index, "stroke_volume"), ("conditions", "flow"))
                yield Unusual(places, f"stroke of the {part.name}", told, seconds, RANGES["stroke"])
        if not isinstance(part, Column) or part.bore is None:
            continue
        bore: KeyPath = ("flow_path", index, "bore")
        if part.part == "column" and part.length is not None and injected is not None:
            volume = pi / 4 * float(part.bore) ** 2 * float(part.length)
            share = float(injected) / volume
            if share > (_OF_A_NARROW_COLUMN if float(part.bore) < _NARROW else 1):
                told = f"{injected} into {short(volume * 1e9, 3)} uL"
                yield Unusual(
                    (("conditions", "injection_volume"), bore, ("flow_path", index, "length")),
                    f"injection into the empty {part.name}",
                    *(told, share, RANGES["injection over column"]),
                )
        if part.certificate is not None:
            own = part.certificate.flow
            speed = float(own) / float(part.bore) ** 2
            if not _usual(speed, RANGES["flow over bore"]):
                told = f"{own} through {part.bore}"
                yield Unusual(
                    (("flow_path", index, "certificate", "flow"), bore),
                    f"flow of the certificate through the {part.name}",
                    *(told, speed, RANGES["flow over bore"]),
                )


def _of_swing(profile: Profile) -> Iterator[Unusual]:
    """A swing that is large beside the band: of a whole run, or in another unit."""
    expected = profile.expected
    if expected is None or expected.swing is None or not expected.low.value:
        return
    swing, span = expected.swing, RANGES["swing over band"]
    share = float(swing) / float(expected.low)
    if not _usual(share, span):
        others = (Pressure.of(swing.number, unit) for unit in TRADE_UNITS if unit != swing.unit)
        usual = (o for o in others if _LEAST_SWING <= float(o) / float(expected.low) <= span.most)
        places: tuple[KeyPath, ...] = (("expected", "swing"), ("expected", "low"))
        told = f"{swing} beside {expected.low}"
        yield Unusual(places, "expected swing", told, share, span, tuple(map(str, usual)))


def _quantity(amount: Quantity | None, name: str, place: KeyPath, called: str) -> Iterator[Unusual]:
    if amount is not None:
        yield from _outside(amount, RANGES[name], place, called)


def _outside(amount: Quantity, span: Range, place: KeyPath, called: str) -> Iterator[Unusual]:
    if _usual(float(amount), span):
        return
    others = (amount.of(amount.number, unit) for unit in amount.UNITS if unit != amount.unit)
    meant = tuple(str(other) for other in others if _usual(float(other), span))
    yield Unusual((place,), called, str(amount), float(amount), span, meant)


def _minutes(minute: Fraction, span: Range, place: KeyPath, called: str) -> Iterator[Unusual]:
    number = float(minute)
    if not _usual(number, span):
        reads = ((f"{short(number)} seconds", number / 60), (f"{short(number)} hours", number * 60))
        meant = tuple(text for text, read in reads if read and _usual(read, span))
        yield Unusual((place,), called, f"{short(number)} min", number, span, meant)


def _usual(amount: float, span: Range) -> bool:
    return span.least <= amount <= span.most
