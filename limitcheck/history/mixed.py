"""Readings of another unit inside one log: a group of values a conversion factor away."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from ..units import PRESSURE_UNITS, TRADE_UNITS
from .summaries import Tally

_GAP = 1.6  # ratio of neighbouring values that parts two groups
_SLACK = 1.05


@dataclass(frozen=True, slots=True)
class OtherUnit:
    """Readings `low` to `high` [unit of the log] that would be usual ones if meant in `unit`."""

    low: float
    high: float
    readings: int
    unit: str
    factor: float  # one `unit` in the unit of the log


def factor_between(unit: str, into: str) -> float:
    """How many `into` one `unit` is [-]."""
    return float(PRESSURE_UNITS[unit].factor / PRESSURE_UNITS[into].factor)


def find_other_units(tally: Tally, unit: str) -> tuple[OtherUnit, ...]:
    """Groups of readings that fall among the others once read in another unit, lowest first.

    The largest group is taken to be in the log's own unit. bar and kgf/cm2 (2 % apart) can't be
    told from each other this way.
    """
    groups = _groups(sorted(v for v in tally.counts if v > 0))
    if len(groups) < 2:
        return ()
    sizes = [sum(tally.counts[v] for v in group) for group in groups]
    usual = groups[sizes.index(max(sizes))]
    found = []
    for group, size in zip(groups, sizes, strict=True):
        if group is usual:
            continue
        for other in TRADE_UNITS:
            factor = factor_between(other, unit)
            fits = (
                usual[0] / _SLACK <= group[0] * factor and group[-1] * factor <= usual[-1] * _SLACK
            )
            if other != unit and fits:
                found.append(OtherUnit(group[0], group[-1], size, other, factor))
                break
    return tuple(found)


def unit_of_all(median: float, unit: str, low: float, high: float) -> str | None:
    """The unit in which a median [`unit`] far from the expected band would lie inside it."""
    if low / 2 <= median <= high * 2:
        return None
    for other in TRADE_UNITS:
        if other != unit and low <= median * factor_between(other, unit) <= high:
            return other
    return None


def _groups(values: Sequence[float]) -> list[list[float]]:
    groups: list[list[float]] = []
    for value in values:
        if groups and value <= groups[-1][-1] * _GAP:
            groups[-1].append(value)
        else:
            groups.append([value])
    return groups
