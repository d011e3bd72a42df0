"""Exact conversion of a pressure between any units: the closed table, else pint in fractions."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from fractions import Fraction
from functools import lru_cache
from typing import Any, NamedTuple

from . import PRESSURE_UNITS, Pressure, UnitError, exact, find_unit, plain, plain_or_rounded
from .rules_of_thumb import FACTORS, RuleOfThumb
from .text import RefusedUnit, ask_about_thousands
from .text import split_quantity as split

_ROUND = frozenset({Fraction(15), Fraction(150), Fraction(1, 15), Fraction(1, 150)})


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


class Conversion(NamedTuple):
    """A pressure as read, and in each unit asked for."""

    source: Amount
    results: tuple[Amount, ...]

    @property
    def short_cuts(self) -> Iterator[RuleOfThumb]:
        """What reckoning with 15 psi to the bar, or 150 to the MPa, would give."""
        source = self.source
        if source.unit in PRESSURE_UNITS and source.value:
            typed = Pressure.of(source.value, source.unit)
            for result in self.results:
                for factor in FACTORS.get((source.unit, result.unit), ()):
                    if factor in _ROUND:
                        yield RuleOfThumb(typed, factor, result.unit)


def convert(text: str, units: Iterable[str]) -> Conversion:
    """The pressure as read, and in each unit; raises UnitError that says what to write."""
    number, spelling = split(text, Pressure)
    value, (unit, factor) = exact(number), _unit(spelling)
    ask_about_thousands(text, number, spelling, factor)
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
    except RefusedUnit:  # too easily mistaken, though pint reads some of them
        raise
    except UnitError as error:
        factor = _pint_factor(spelling)
        if factor is None:
            raise error from None
        return spelling, factor
    return name, PRESSURE_UNITS[name].factor


@lru_cache(maxsize=1)
def registry() -> Any:
    """pint's registry in exact fractions: the second, independent source of the factors."""
    import pint

    return pint.UnitRegistry(non_int_type=Fraction)


def _pint_factor(spelling: str) -> Fraction | None:
    import pint

    if re.search(r"[^\w/*^()² ·µμ]|\A[\d²]", spelling):
        return None
    powers = re.sub(r"(?<=[a-z])([23])\b", r"**\1", spelling.replace("²", "2"))  # N/cm2
    try:
        pressure = registry().Quantity(Fraction(1), powers).to("pascal")
    except (pint.PintError, AttributeError, ValueError, TypeError, AssertionError):
        return None
    return Fraction(pressure.magnitude)
