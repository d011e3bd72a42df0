"""What ratings parts of each kind usually have: wide ranges, common practice, no source."""

from __future__ import annotations

from ..units import TRADE_UNITS, Pressure
from .model import Part

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


def plausible_range(part: str) -> tuple[Pressure, Pressure]:
    """The lowest and highest rating seen on parts of this kind."""
    return _PRESSURES[part]


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
