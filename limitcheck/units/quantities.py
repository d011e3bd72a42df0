"""Exact quantities: text to `Fraction` in SI units.

Instruments show gauge pressure, so absolute units are refused.
"""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from fractions import Fraction
from typing import ClassVar, Final, Self

from .numbers import as_written, plain_or_rounded, ratio
from .tables import (
    FLOW_UNITS,
    LENGTH_UNITS,
    PERMEABILITY_UNITS,
    PRESSURE_UNITS,
    RATIO_UNITS,
    TEMPERATURE_UNITS,
    VOLUME_UNITS,
    Unit,
)
from .text import find_unit, split_quantity


class Quantity:
    """An exact amount in SI (`value`) that remembers number and unit, and whether it was typed so.

    Never changed. Compared, ordered and hashed by exact value; a pressure never equals a length.
    """

    KIND: ClassVar[str]
    UNITS: ClassVar[Mapping[str, Unit]]
    EXAMPLE: ClassVar[str]

    def __init__(self, value: Fraction, number: str, unit: str, typed: bool = True) -> None:
        self.value: Final = value
        self.number: Final = number
        self.unit: Final = unit
        self.typed: Final = typed

    @classmethod
    def of(cls, number: int | Decimal | Fraction | str, unit: str) -> Self:
        """The amount `number` in `unit` (a name of the table); raises UnitError.

        A `Fraction` is a number that was worked out; any other was typed or read.
        """
        known = cls.UNITS[unit]
        typed = True
        if isinstance(number, (str, int, Decimal)):  # quicker to ask than for a Fraction
            text, (above, below) = str(number), ratio(number)
        else:
            typed = False
            text, above, below = plain_or_rounded(number), number.numerator, number.denominator
        if known.offset:
            return cls((Fraction(above, below) + known.offset) * known.factor, text, unit, typed)
        factor = known.factor
        value = Fraction(above * factor.numerator, below * factor.denominator)
        return cls(value, text, unit, typed)

    @classmethod
    def parse(cls, text: str) -> Self:
        """Read `text` such as "400 bar"; raises UnitError that says what to write instead.

        >>> Pressure.parse("6000 psi").to("psi")
        Fraction(6000, 1)
        """
        number, spelling = split_quantity(text, cls)
        return cls.of(number, find_unit(spelling, cls, number))

    def to(self, unit: str) -> Fraction:
        """The exact number of `unit` in this amount."""
        known = self.UNITS[unit]
        value, factor = self.value, known.factor
        number = Fraction(
            value.numerator * factor.denominator, value.denominator * factor.numerator
        )
        return number - known.offset if known.offset else number

    def times(self, by: Fraction) -> Self:
        """This amount times a factor, in the same unit."""
        return self.of(self.to(self.unit) * by, self.unit)

    def __str__(self) -> str:
        """As typed, in plain decimals where it was not: this is what every output tells of it."""
        return f"{as_written(self.number)} {self.unit}"

    def __repr__(self) -> str:
        return f"{type(self).__name__}({self})"

    def __float__(self) -> float:
        above, below = self.value.as_integer_ratio()
        return above / below

    def __eq__(self, other: object) -> bool:
        if type(other) is not type(self):
            return NotImplemented
        one, two = self.value, other.value
        return one.numerator == two.numerator and one.denominator == two.denominator

    def __hash__(self) -> int:
        return hash((type(self), self.value))

    def __lt__(self, other: Self) -> bool:
        one, two = self.value, other.value
        return one.numerator * two.denominator < two.numerator * one.denominator

    def __gt__(self, other: Self) -> bool:
        one, two = self.value, other.value
        return one.numerator * two.denominator > two.numerator * one.denominator

    def __le__(self, other: Self) -> bool:
        one, two = self.value, other.value
        return one.numerator * two.denominator <= two.numerator * one.denominator

    def __ge__(self, other: Self) -> bool:
        return other <= self


class Pressure(Quantity):
    """Gauge pressure; SI value in pascal."""

    KIND, UNITS, EXAMPLE = "pressure", PRESSURE_UNITS, "400 bar"


class Length(Quantity):
    """Length; SI value in metre."""

    KIND, UNITS, EXAMPLE = "length", LENGTH_UNITS, "150 mm"


class Flow(Quantity):
    """Volume flow; SI value in cubic metre a second."""

    KIND, UNITS, EXAMPLE = "flow", FLOW_UNITS, "1.0 mL/min"


class Temperature(Quantity):
    """Temperature; SI value in kelvin."""

    KIND, UNITS, EXAMPLE = "temperature", TEMPERATURE_UNITS, "35 degC"


class Volume(Quantity):
    """Volume; SI value in cubic metre."""

    KIND, UNITS, EXAMPLE = "volume", VOLUME_UNITS, "10 uL"


class Permeability(Quantity):
    """Permeability of a porous bed; SI value in square metre."""

    KIND, UNITS, EXAMPLE = "permeability", PERMEABILITY_UNITS, "8e-14 m2"


class Ratio(Quantity):
    """A share of something: "25 %" is 1/4."""

    KIND, UNITS, EXAMPLE = "percentage", RATIO_UNITS, "25 %"


QUANTITIES: tuple[type[Quantity], ...] = (
    *(Pressure, Length, Flow, Temperature, Volume, Permeability, Ratio),
)
