"""Exact quantities: text to `Fraction` in SI units, with refusals that say what to write.

Instruments show gauge pressure, so absolute units are refused.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from decimal import Decimal
from fractions import Fraction
from typing import ClassVar, Final, Self

from ..errors import cut
from .numbers import UnitError, plain_or_rounded, ratio
from .tables import (
    FLOW_UNITS,
    LENGTH_UNITS,
    PRESSURE_UNITS,
    RATIO_UNITS,
    TEMPERATURE_UNITS,
    VOLUME_UNITS,
    Unit,
)

# A number, then a unit; a separator before more digits would be part of the number.
_QUANTITY = re.compile(
    r"([+-]?(?:[0-9]+(?:\.[0-9]*)?|\.[0-9]+)(?:[eE][+-]?[0-9]+)?)\s*(?![,.'’_\s]*[0-9])(\D.*)?",
    re.DOTALL,
)
_ABSOLUTE = r"(psi|bar|kpa|mpa)\s*\(?\s*(a|abs|absolute)\s*\)?"
_LONGEST_NUMBER = 50
_LONGEST_TEXT = 300


class Quantity:
    """An exact amount in SI (`value`) that remembers the number and unit as typed.

    Never changed. Compared, ordered and hashed by exact value; a pressure never equals a length.
    """

    KIND: ClassVar[str]
    UNITS: ClassVar[Mapping[str, Unit]]
    EXAMPLE: ClassVar[str]

    def __init__(self, value: Fraction, number: str, unit: str) -> None:
        self.value: Final = value
        self.number: Final = number
        self.unit: Final = unit

    @classmethod
    def of(cls, number: int | Decimal | Fraction | str, unit: str) -> Self:
        """The amount `number` in `unit` (a name of the table); raises UnitError."""
        known = cls.UNITS[unit]
        if isinstance(number, (str, int, Decimal)):  # quicker to ask than for a Fraction
            text, (above, below) = str(number), ratio(number)
        else:
            text, above, below = plain_or_rounded(number), number.numerator, number.denominator
        if known.offset:
            return cls((Fraction(above, below) + known.offset) * known.factor, text, unit)
        factor = known.factor
        return cls(Fraction(above * factor.numerator, below * factor.denominator), text, unit)

    @classmethod
    def parse(cls, text: str) -> Self:
        """Read `text` such as "400 bar"; raises UnitError that says what to write instead.

        >>> Pressure.parse("6000 psi").to("psi")
        Fraction(6000, 1)
        """
        number, spelling = split_quantity(text, cls)
        return cls.of(number, find_unit(spelling, cls))

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
        return f"{self.number} {self.unit}"

    def __repr__(self) -> str:
        return f"{type(self).__name__}({self})"

    def __float__(self) -> float:
        return self.value.numerator / self.value.denominator

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


class Ratio(Quantity):
    """A share of something: "25 %" is 1/4."""

    KIND, UNITS, EXAMPLE = "percentage", RATIO_UNITS, "25 %"


QUANTITIES: tuple[type[Quantity], ...] = (Pressure, Length, Flow, Temperature, Volume, Ratio)


def split_quantity(text: str, kind: type[Quantity]) -> tuple[str, str]:
    """Number and unit spelling of a text, or UnitError."""
    bare = text.strip()
    if len(bare) > _LONGEST_TEXT:
        raise UnitError(f"a text of {len(bare):,} characters", f'write as in "{kind.EXAMPLE}"')
    match = _QUANTITY.fullmatch(bare)
    if match is not None and len(match[1]) > _LONGEST_NUMBER:
        raise UnitError(f"a number of {len(match[1])} characters", f'write as in "{kind.EXAMPLE}"')
    if match is None:
        raise _not_a_number(bare, kind)
    if not match[2]:
        raise UnitError(
            f'"{bare}" has no unit', f'write the {kind.KIND} with its unit, as in "{kind.EXAMPLE}"'
        )
    if match[1].startswith("-") and kind is not Temperature:
        raise UnitError(f'"{bare}" is negative', f"a {kind.KIND} here is zero or more")
    return match[1], match[2].strip()


def _not_a_number(text: str, kind: type[Quantity]) -> UnitError:
    seen = cut(text, 40)
    if re.match(r"[+-]?[0-9]+(,[0-9]+)+", text):
        whole = re.sub(r"(?<=[0-9]),(?=[0-9])", "", text)
        point = text.replace(",", ".", 1)
        return UnitError(
            f'"{seen}" has a comma: between thousands, or a decimal comma?',
            f'write "{whole}" or "{point}", whichever is meant',
        )
    if re.match(r"[+-]?\s*(nan|inf)", text, re.IGNORECASE):
        return UnitError(f'"{seen}" is not a number that can be set', "write a finite number")
    if re.match(r"[+-]?[0-9]+(['’\s_][0-9]+)+", text):
        return UnitError(f'"{seen}" has a separator inside the number', "write the digits together")
    return UnitError(f'"{seen}" is not a {kind.KIND}', f'write as in "{kind.EXAMPLE}"')


def find_unit(spelling: str, kind: type[Quantity]) -> str:
    """The table's name for a unit as people spell it; raises UnitError with the near match.

    >>> find_unit("PSIG", Pressure)
    'psi'
    """
    if spelling in kind.UNITS:
        return spelling
    found = _named(spelling, kind)
    if found is None and kind is Pressure:
        found = _pressure_in_any_case(spelling)
    if found is not None:
        return found
    other = next((other for other in QUANTITIES if _named(spelling, other)), None)
    if other is None:
        raise UnitError(
            f'"{cut(spelling, 40)}" is not a known unit of {kind.KIND}', _near(spelling, kind)
        )
    raise UnitError(
        f'"{spelling}" is a unit of {other.KIND}, not of {kind.KIND}',
        f'write the {kind.KIND} as in "{kind.EXAMPLE}"',
    )


def _named(spelling: str, kind: type[Quantity]) -> str | None:
    units = kind.UNITS.values()
    return next((u.name for u in units if spelling == u.name or spelling in u.spellings), None)


def _pressure_in_any_case(spelling: str) -> str | None:
    """psi, bar and kgf/cm² are safe in any case; mega and milli are not, so MPa is exact."""
    folded = spelling.casefold()
    found = _named(folded, Pressure)
    if found is not None:
        return found
    megapascal = "megapascal is written MPa"
    if spelling == "mPa":
        raise UnitError('"mPa" is millipascal', megapascal)
    if folded == "mpa":
        raise UnitError(f'"{spelling}" is neither megapascal nor millipascal', megapascal)
    if folded == "kpa":
        raise UnitError(f'"{spelling}" is not a known unit', "kilopascal is written kPa")
    if re.fullmatch(_ABSOLUTE, spelling, re.IGNORECASE):
        raise UnitError(
            f'"{spelling}" is absolute pressure; instruments show gauge pressure',
            "write the gauge pressure, in psi, bar or MPa",
        )
    return None


def _near(spelling: str, kind: type[Quantity]) -> str:
    from difflib import get_close_matches

    names = list(kind.UNITS)
    spellings = names + [s for unit in kind.UNITS.values() for s in unit.spellings]
    close = get_close_matches(spelling, spellings, n=1, cutoff=0.5)
    known = f"known here: {', '.join(names)}"
    return f"did you mean {find_unit(close[0], kind)}? {known}" if close else known
