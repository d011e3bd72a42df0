"""The order every sound profile keeps, and what it alone can tell about a slip.

This is the yardstick of what can be known at all: it knows nothing of `limitcheck.meant`.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from limitcheck.findings import KeyPath
from limitcheck.profile.hardware import under_pressure
from limitcheck.profile.model import Profile
from limitcheck.units import TRADE_UNITS, Pressure


@dataclass(frozen=True, slots=True)
class Order:
    """low < expected low <= expected high < high <= every rating up to the column."""

    low: Pressure | None
    expected_low: Pressure
    expected_high: Pressure
    high: Pressure
    ratings: Mapping[int, Pressure]

    @classmethod
    def of(cls, profile: Profile) -> Order:
        """The pressures of a profile that has a high cutoff and an expected band."""
        expected, high = profile.expected, profile.cutoffs.high
        if expected is None or high is None:
            raise ValueError("a profile without high cutoff or expected band has no order")
        ratings = {part.place: part.pressure for part in under_pressure(profile)}
        return cls(profile.cutoffs.low, expected.low, expected.high, high, ratings)

    @property
    def holds(self) -> bool:
        """Whether the pressures are in order."""
        return (
            (self.low is None or self.low < self.expected_low)
            and self.expected_low <= self.expected_high < self.high
            and all(self.high <= rating for rating in self.ratings.values())
        )

    def reread(self, fields: Sequence[KeyPath], unit: str) -> Order:
        """The same numbers, those of the fields read in another unit."""
        order = self
        for path in fields:
            if path[0] == "expected":
                order = replace(
                    order,
                    expected_low=_as(order.expected_low, unit),
                    expected_high=_as(order.expected_high, unit),
                )
            elif path == ("cutoffs", "high"):
                order = replace(order, high=_as(order.high, unit))
            elif path == ("cutoffs", "low"):
                order = replace(order, low=None if order.low is None else _as(order.low, unit))
            else:
                index = path[1]
                assert isinstance(index, int)
                ratings = dict(order.ratings)
                ratings[index] = _as(ratings[index], unit)
                order = replace(order, ratings=ratings)
        return order

    def fitting_units(self, fields: Sequence[KeyPath]) -> tuple[str, ...]:
        """The units that put the fields' numbers in order; bar stands for kgf/cm2 as well."""
        units = (unit for unit in TRADE_UNITS if self.reread(fields, unit).holds)
        return tuple(dict.fromkeys(alike(unit) for unit in units))


def alike(unit: str) -> str:
    """The unit, with the pair that is 2 % apart taken as one."""
    return "bar" if unit == "kgf/cm2" else unit


def _as(pressure: Pressure, unit: str) -> Pressure:
    return Pressure.of(pressure.to(pressure.unit), unit)
