"""Exact conversion of a pressure between any units: the closed table, else pint in fractions."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from fractions import Fraction
from functools import lru_cache
from typing import Any, NamedTuple

from . import PRESSURE_UNITS, Pressure, UnitError, exact, find_unit, plain, plain_or_rounded
from . import split_quantity as split

_SHORT_CUTS = (("bar", 15), ("MPa", 150))
"""psi to the unit, as people reckon (common practice, no source)."""


class Amount(NamedTuple):
    """An exact pressure in any unit."""

    value: Fraction
    unit: str
    pascal: Fraction

    @property
    def text(self) -> str:
        """All decimals where they end within twelve places, else nine digits with a mark."""
        try:
            return plain(self.value, most_decimals=12)
        except ValueError:
            return f"about {plain_or_rounded(self.value, digits=9)}"


class ShortCut(NamedTuple):
    """What reckoning with a round factor gives, and how far off that is in percent."""

    rule: str
    gives: Amount
    off: float


class Conversion(NamedTuple):
    """A pressure as read, in each unit asked for, and where reckoning would go wrong."""

    source: Amount
    results: tuple[Amount, ...]

    @property
    def short_cuts(self) -> Iterator[ShortCut]:
        """The round factors between psi and the units at hand: 15 to the bar, 150 to the MPa."""
        at_hand = {self.source.unit, *(result.unit for result in self.results)}
        for metric, factor in _SHORT_CUTS:
            if self.source.value == 0 or not {"psi", metric} <= at_hand:
                continue
            if self.source.unit == "psi":
                unit, value = metric, self.source.value / factor
            elif self.source.unit == metric:
                unit, value = "psi", self.source.value * factor
            else:
                continue
            pascal = value * PRESSURE_UNITS[unit].factor
            off = float(pascal / self.source.pascal - 1) * 100
            yield ShortCut(f"{factor} psi to the {metric}", Amount(value, unit, pascal), off)


def convert(text: str, units: Iterable[str]) -> Conversion:
    """The pressure as read, and in each unit; raises UnitError that says what to write."""
    number, spelling = split(text, Pressure)
    value, (unit, factor) = exact(number), _unit(spelling)
    pascal = value * factor
    results = tuple(
        Amount(pascal / to_factor, name, pascal)
        for name, to_factor in (_unit(unit) for unit in units)
    )
    return Conversion(Amount(value, unit, pascal), results)


def _unit(spelling: str) -> tuple[str, Fraction]:
    """Name and exact factor in pascal: the closed table first, then pint."""
    try:
        name = find_unit(spelling, Pressure)
    except UnitError as error:
        factor = None if _refused_on_purpose(spelling) else _pint_factor(spelling)
        if factor is None:
            raise error from None
        return spelling, factor
    return name, PRESSURE_UNITS[name].factor


def _refused_on_purpose(spelling: str) -> bool:
    """Spellings that are too easily mistaken stay refused, though pint reads some of them."""
    return spelling.casefold() in ("mpa", "kpa", "psia", "bara")


@lru_cache(maxsize=1)
def registry() -> Any:
    """pint's registry in exact fractions: the second, independent source of the factors."""
    import pint

    return pint.UnitRegistry(non_int_type=Fraction)


def _pint_factor(spelling: str) -> Fraction | None:
    import pint

    try:
        pressure = registry().Quantity(Fraction(1), spelling).to("pascal")
    except (pint.PintError, AttributeError, ValueError, TypeError, AssertionError):
        return None
    return Fraction(pressure.magnitude)
