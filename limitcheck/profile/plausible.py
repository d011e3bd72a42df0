"""What parts usually have: wide ranges of ratings, lengths and flows.

Common practice, no source. Of these `meant` looks for the number that was meant; the other amounts
of a profile are in `amounts`.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from ..findings import KeyPath
from ..units import TRADE_UNITS, Pressure
from .model import Column, Part, Profile, Tube

_RANGES = {
    "pump": (15, 2500),
    "tubing": (15, 4000),
    "mixer": (15, 2500),
    "filter": (15, 2500),
    "injector": (15, 2500),
    "loop": (15, 4000),
    "fitting": (10, 3000),
    "guard column": (3, 2500),
    "column": (3, 2500),
    "detector cell": (2, 2000),
    "restrictor": (2, 2000),
    "waste": (1, 1000),
}
_PRESSURES = {
    part: (Pressure.of(least, "bar"), Pressure.of(most, "bar"))
    for part, (least, most) in _RANGES.items()
}
COLUMN_LENGTHS = {
    "length": (3e-3, 1.2),
    "bore": (8e-6, 0.6),
    "particle_size": (0.4e-6, 150e-6),
    "inlet_frit": (0.05e-6, 60e-6),
    "outlet_frit": (0.05e-6, 60e-6),
}
"""Of columns and guard columns [m]."""
TUBE_LENGTHS = {"length": (4e-3, 60.0), "bore": (4e-6, 20e-3)}
"""Of tubing and loops [m]."""
FLOWS = (0.3e-12 / 60, 10e-3 / 60)
"""From 0.3 nL/min to 10 L/min [m^3/s]."""
FLOW_PER_BORE = (0.0007 / 60, 1.5 / 60)
"""Flow over the square of the column's bore [m/s]: 0.0007 to 1.5 mL/min/mm2, where 1 mL/min on
4.6 mm is 0.047."""

BORES = (
    *(0.05, 0.075, 0.1, 0.15, 0.2, 0.3, 0.5, 0.8, 1.0, 1.5, 2.0, 2.1, 3.0, 3.2, 3.9, 4.0, 4.6),
    *(5.0, 6.0, 7.5, 7.8, 8.0, 9.4, 10.0, 16.0, 19.0, 20.0, 21.2, 21.5, 22.0, 25.0, 30.0, 40.0),
    *(50.0, 75.0, 100.0),
)
"""Bores that columns are made with [mm]."""


class Implausible(NamedTuple):
    """A length, or a flow for a bore, that is hardly ever seen."""

    paths: tuple[KeyPath, ...]
    """The numbers it may lie in."""
    value: float
    least: float
    most: float

    @property
    def factor(self) -> float:
        """How many times it is outside its range."""
        return self.least / self.value if self.value < self.least else self.value / self.most


def plausible_range(part: str) -> tuple[Pressure, Pressure]:
    """The lowest and highest rating seen on parts of this kind."""
    return _PRESSURES[part]


def plausible_bar(part: str) -> tuple[float, float]:
    """The same in bar, as plain numbers."""
    return _RANGES[part]


def plausible_units(part: Part) -> list[str]:
    """The units in which the number of the part's rating would be plausible."""
    if part.rating is None:
        return []
    least, most = plausible_range(part.part)
    return [
        unit
        for unit in TRADE_UNITS
        if least.value <= Pressure.of(part.rating.number, unit).value <= most.value
    ]


def is_made(bore: float) -> bool:
    """Whether columns are made with this bore [m]."""
    return any(abs(bore * 1e3 / made - 1) <= 0.02 for made in BORES)


def made_bores(profile: Profile) -> bool:
    """Whether every column has a bore that columns are made with."""
    columns = (part for part in profile.flow_path if isinstance(part, Column))
    return all(column.bore is None or is_made(float(column.bore)) for column in columns)


def implausible_geometry(profile: Profile) -> tuple[Implausible, ...]:
    """The lengths and flows of a profile that are hardly ever seen; none in a sound one."""
    return tuple(_implausible(profile))


def _implausible(profile: Profile) -> Iterator[Implausible]:
    conditions = profile.conditions
    given = conditions.flow if conditions is not None else None
    flow = 0.0 if given is None else float(given)
    flow_path: KeyPath = ("conditions", "flow")
    if flow and not FLOWS[0] <= flow <= FLOWS[1]:
        yield Implausible((flow_path,), flow, *FLOWS)
        flow = 0.0
    for index, part in enumerate(profile.flow_path):
        if isinstance(part, Column):
            lengths = COLUMN_LENGTHS
        elif isinstance(part, Tube):
            lengths = TUBE_LENGTHS
        else:
            continue
        bore = 0.0
        for key, (least, most) in lengths.items():
            length = getattr(part, key)
            if length is None:
                continue
            value = float(length)
            if not least <= value <= most:
                yield Implausible((("flow_path", index, key),), value, least, most)
            elif key == "bore":
                bore = value
        if flow and bore and lengths is COLUMN_LENGTHS:
            per_bore = flow / bore**2
            least, most = FLOW_PER_BORE
            if not least <= per_bore <= most:
                yield Implausible((("flow_path", index, "bore"), flow_path), per_bore, least, most)
