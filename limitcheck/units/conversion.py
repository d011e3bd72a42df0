"""Exact conversion of a pressure between any units: the closed table, else pint in fractions."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from fractions import Fraction
from functools import lru_cache
from typing import Any, NamedTuple

from . import PRESSURE_UNITS, Pressure, UnitError, exact, find_unit, plain, plain_or_rounded
from . import split_quantity as split


class Amount(NamedTuple):
    """A number of a unit: the exact value and the text to show."""

    value: Fraction
    unit: str
    text: str


def convert(text: str, units: Iterable[str]) -> tuple[Amount, list[Amount]]:
    """The pressure as read, and in each unit; raises UnitError that says what to write."""
    number, spelling = split(text, Pressure)
    value, (unit, factor) = exact(number), _unit(spelling)
    pascal = value * factor
    results = [
        Amount(pascal / to_factor, name, shown(pascal / to_factor))
        for name, to_factor in (_unit(unit) for unit in units)
    ]
    return Amount(value, unit, f"{number} {unit}"), results


def shown(value: Fraction) -> str:
    """All decimals where they end within twelve places, else rounded to ten digits with a mark."""
    try:
        return plain(value, most_decimals=12)
    except ValueError:
        return f"about {plain_or_rounded(value, digits=10)}"


def rule_of_thumb(source: Amount, units: Sequence[str]) -> list[str]:
    """How far the 15 psi to the bar (150 to the MPa) rule would be off, where it could be used.

    The rule is common practice, no source.
    """
    lines: list[str] = []
    if source.value == 0:
        return lines
    for metric, rule in (("bar", 15), ("MPa", 150)):
        if "psi" in (source.unit, *units) and metric in (source.unit, *units):
            if "psi" != source.unit != metric:
                continue
            true = PRESSURE_UNITS[metric].factor / PRESSURE_UNITS["psi"].factor
            by_rule, right = (
                (source.value / rule, source.value / true)
                if source.unit == "psi"
                else (source.value * rule, source.value * true)
            )
            unit = metric if source.unit == "psi" else "psi"
            off = float(by_rule / right - 1) * 100
            lines.append(
                f"{rule} psi to the {metric} would give {plain_or_rounded(by_rule)} {unit}: "
                f"{abs(off):.2f} % too {'high' if off > 0 else 'low'}."
            )
    return lines


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
