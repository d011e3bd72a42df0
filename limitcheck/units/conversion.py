"""Exact conversion of a pressure between any units: the closed table, else pint in fractions."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from fractions import Fraction
from functools import lru_cache
from typing import Any, NamedTuple

from . import (
    PRESSURE_UNITS,
    USUAL_STEP,
    Pressure,
    UnitError,
    exact,
    find_unit,
    plain,
    plain_or_rounded,
    round_safely,
)
from .numbers import as_written
from .rules_of_thumb import FACTORS, RuleOfThumb
from .text import RefusedUnit, ask_about_thousands, how_read
from .text import split_quantity as split

_ROUND = frozenset({Fraction(15), Fraction(150), Fraction(1, 15), Fraction(1, 150)})


_TERM = r"[A-Za-zµμ_]+(?:2O)?(?:(?:\*\*|\^)?-?[1-4]|[²³])?"
_PLAIN_UNIT = re.compile(rf"{_TERM}(?:(?:\s*[/*·]\s*|\s+){_TERM}){{0,5}}")


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
    number: str = ""
    """The number as typed."""
    note: str = ""
    """How the text was read, where not as written."""

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


class Rounded(NamedTuple):
    """An exact pressure as a cutoff is typed: to a step, high down and low up."""

    exact: Amount
    stored: Amount
    step: Fraction
    usual: bool
    """Whether the step is the usual one of that unit, for want of another."""

    @property
    def off(self) -> Amount:
        """By how much it was rounded, either way."""
        value = abs(self.stored.value - self.exact.value)
        return Amount(value, self.exact.unit, abs(self.stored.pascal - self.exact.pascal))


def rounded(exact: Amount, field: str, step: Fraction | None = None) -> Rounded:
    """The number to type for a cutoff, never above the exact one for high, never below for low.

    Raises UnitError where no step is known, or a high cutoff would be rounded to zero: that
    turns it off.
    """
    usual = step is None
    step = USUAL_STEP.get(exact.unit) if step is None else step
    if step is None:
        raise UnitError(f"no usual step is known of {exact.unit}", "add --step 1, say")
    if step <= 0:
        raise UnitError("the step is not above zero", "write --step 1, say")
    value = round_safely(exact.value, step, field)
    if field != "low" and not exact.value:
        raise UnitError("a high cutoff of 0 stops nothing", "give the pressure to stop at")
    if field != "low" and not value:
        raise UnitError(
            f"{exact.text} {exact.unit} is less than one step of {plain_or_rounded(step)} "
            f"{exact.unit}, and a high cutoff of 0 stops nothing",
            "give a finer step, as in --step 0.01, or convert to another unit",
        )
    factor = _unit(exact.unit)[1]
    return Rounded(exact, Amount(value, exact.unit, value * factor), step, usual)


def step_of(text: str, unit: str) -> Fraction:
    """A step as typed: a number in `unit`, or with that unit; raises UnitError."""
    number, spelling = split(text, Pressure, unit)
    if spelling != unit and _unit(spelling, number)[0] != unit:
        raise UnitError(f'the step "{text}" is not in {unit}', f"write a number of {unit}")
    return exact(number)


def convert(text: str, units: Iterable[str]) -> Conversion:
    """The pressure as read, and in each unit; raises UnitError that says what to write."""
    number, spelling = split(text, Pressure)
    unit, factor = _unit(spelling, number)
    ask_about_thousands(text, number, spelling, factor)
    found = convert_exactly(exact(number), unit, units)
    note = how_read(text, number, spelling, unit)
    return found._replace(number=as_written(number), note=note)


def convert_exactly(value: Fraction, unit: str, units: Iterable[str]) -> Conversion:
    """A number of a unit in each other unit; raises UnitError."""
    pascal = value * _unit(unit)[1]
    results = tuple(
        Amount(pascal / to_factor, name, pascal)
        for name, to_factor in (_unit(unit) for unit in units)
    )
    return Conversion(Amount(value, unit, pascal), results)


def _unit(spelling: str, number: str = "NUMBER") -> tuple[str, Fraction]:
    """Name and exact factor in pascal: the closed table first, then pint."""
    try:
        name = find_unit(spelling, Pressure, number)
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

    if not _PLAIN_UNIT.fullmatch(spelling):  # pint would work it out as an expression
        return None
    powers = re.sub(
        r"(?<=[a-z])([23])\b", r"**\1", spelling.replace("²", "2").replace("·", "*")
    )  # N/cm2
    try:
        pressure = registry().Quantity(Fraction(1), powers).to("pascal")
    except (pint.PintError, AttributeError, ValueError, TypeError, AssertionError):
        return None
    return Fraction(pressure.magnitude)
