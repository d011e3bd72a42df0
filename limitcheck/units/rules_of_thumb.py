"""Conversions people make in their heads, and conversions rounded the wrong way.

Factors are common practice, no source; what they are compared with is exact.
"""

from __future__ import annotations

from fractions import Fraction
from typing import NamedTuple

from . import Pressure
from .numbers import round_up

FACTORS: dict[tuple[str, str], tuple[Fraction, ...]] = {
    ("bar", "psi"): (Fraction(15), Fraction(29, 2), Fraction(14)),
    ("MPa", "psi"): (Fraction(150), Fraction(145), Fraction(140)),
    ("kgf/cm2", "psi"): (Fraction(15), Fraction(14)),
    ("psi", "bar"): (Fraction(7, 100), Fraction(1, 15), Fraction(2, 29), Fraction(1, 14)),
    ("psi", "MPa"): (Fraction(7, 1000), Fraction(1, 150), Fraction(1, 145)),
    ("psi", "kgf/cm2"): (Fraction(7, 100),),
    ("psi", "kPa"): (Fraction(7),),
    ("kgf/cm2", "MPa"): (Fraction(1, 10),),
    ("MPa", "kgf/cm2"): (Fraction(10),),
    ("bar", "kgf/cm2"): (Fraction(1),),
    ("kgf/cm2", "bar"): (Fraction(1),),
}
_ROUNDED = Fraction(1005, 1000)
_FARTHEST = 0.1
"""No rule is further off than 5.5 % (15 psi for a kgf/cm2); its result at most a third more."""


class RuleOfThumb(NamedTuple):
    """A pressure times a rule of thumb, in another unit."""

    source: Pressure
    factor: Fraction
    unit: str

    @property
    def exact(self) -> Pressure:
        """What the exact factor gives, in the unit of the number."""
        return Pressure.of(self.source.to(self.unit), self.unit)

    @property
    def gives(self) -> Pressure:
        """What the rule gives."""
        return Pressure.of(self.source.to(self.source.unit) * self.factor, self.unit)

    @property
    def off(self) -> float:
        """How far that is above the pressure, in percent."""
        return float(self.gives.value / self.source.value - 1) * 100

    @property
    def rule(self) -> str:
        """The rule as people say it: "15 psi to the bar"."""
        if self.factor < 1 and self.factor.numerator == 1:
            return f"{self.factor.denominator} {self.source.unit} to the {self.unit}"
        return f"{float(self.factor):g} {self.unit} to the {self.source.unit}"


def by_rule_of_thumb(entered: Pressure, source: Pressure, step: Fraction) -> RuleOfThumb | None:
    """The rule by which `entered` comes from `source`, if one does and it shows.

    It shows when the exact conversion differs from the number by more than a display step.
    """
    factors = FACTORS.get((source.unit, entered.unit))
    if factors is None or abs(float(entered) - float(source)) > _FARTHEST * float(source):
        return None
    number = entered.to(entered.unit)
    off = abs(number - source.to(entered.unit))
    if off <= step:
        return None
    for factor in factors:
        if abs(number - source.to(source.unit) * factor) <= min(step / 2, off / 4):
            return RuleOfThumb(source, factor, entered.unit)
    return None


def rounded_over(entered: Pressure, rating: Pressure, step: Fraction) -> bool:
    """Whether `entered` is a rating rounded up past it, converted or not.

    By at most 0.5 %: to the next step of the entry field, or to the next number with as few digits
    as `entered` has.

    >>> bar = Pressure.parse("345 bar")
    >>> rounded_over(bar, Pressure.parse("344.7 bar"), Fraction(1))
    True
    >>> rounded_over(bar, Pressure.parse("344 bar"), Fraction(1))
    False
    """
    if entered <= rating:
        return False
    number, exact = entered.to(entered.unit), rating.to(entered.unit)
    if number > exact * _ROUNDED:
        return False
    if entered.unit != rating.unit and number - exact < step:
        return True
    return round_up(exact, _last_digit(number)) == number


def _last_digit(number: Fraction) -> Fraction:
    """The power of ten of the last digit that is not zero."""
    grid = Fraction(1)
    while number % grid:
        grid /= 10
    while number % (10 * grid) == 0:
        grid *= 10
    return grid
