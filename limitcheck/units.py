"""Exact quantities: text to and from `Fraction` in SI units, with a closed table of units.

Every factor is exact and carries its definition and source. Nothing here is a float.
Instruments show gauge pressure, so absolute units are refused. The second, independent
source of the factors (pint) is used by `limitcheck convert`, `limitcheck qualify` and the tests.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import ClassVar, Self


class UnitError(ValueError):
    """A text that is not a quantity of the wanted kind; `advice` says what to write instead."""

    def __init__(self, message: str, advice: str) -> None:
        super().__init__(message)
        self.message = message
        self.advice = advice


@dataclass(frozen=True, slots=True)
class Unit:
    """One unit: SI value = (number + offset) * factor."""

    name: str
    factor: Fraction
    definition: str
    source: str
    spellings: tuple[str, ...] = ()
    offset: Fraction = Fraction(0)


_SI = "SI Brochure, 9th ed. (2019)"
_SP811 = "NIST SP 811 (2008), App. B"
_POUND, _GRAVITY, _INCH = Fraction("0.45359237"), Fraction("9.80665"), Fraction("0.0254")


def _table(*units: Unit) -> dict[str, Unit]:
    return {unit.name: unit for unit in units}


PRESSURE_UNITS: Mapping[str, Unit] = _table(
    Unit("bar", Fraction(10**5), "100 000 Pa", _SP811, ("barg", "bar(g)")),
    Unit(
        "psi", _POUND * _GRAVITY / _INCH**2, "0.45359237 kg × 9.80665 m/s² / (0.0254 m)²", _SP811,
        ("psig", "psi(g)", "lbf/in2"),
    ),
    Unit("MPa", Fraction(10**6), "10^6 Pa", _SI),
    Unit("kPa", Fraction(10**3), "10^3 Pa", _SI),
    Unit(
        "kgf/cm2", _GRAVITY * 10**4, "9.80665 N / (0.01 m)²", _SP811,
        ("kgf/cm²", "kg/cm2", "kg/cm²", "kgf/cm^2", "kg/cm^2"),
    ),
)  # fmt: skip
LENGTH_UNITS: Mapping[str, Unit] = _table(
    Unit("mm", Fraction(1, 1000), "10^-3 m", _SI),
    Unit("um", Fraction(1, 10**6), "10^-6 m", _SI, ("µm", "μm")),
    Unit("cm", Fraction(1, 100), "10^-2 m", _SI),
    Unit("m", Fraction(1), "metre", _SI),
    Unit("nm", Fraction(1, 10**9), "10^-9 m", _SI),
    Unit("in", _INCH, "0.0254 m", _SP811, ("inch",)),
)
FLOW_UNITS: Mapping[str, Unit] = _table(
    Unit("mL/min", Fraction(1, 60 * 10**6), "10^-6 m³ / 60 s", _SI, ("ml/min",)),
    Unit("uL/min", Fraction(1, 60 * 10**9), "10^-9 m³ / 60 s", _SI, ("ul/min", "µL/min", "μL/min")),
    Unit("nL/min", Fraction(1, 60 * 10**12), "10^-12 m³ / 60 s", _SI, ("nl/min",)),
    Unit("L/min", Fraction(1, 60 * 10**3), "10^-3 m³ / 60 s", _SI, ("l/min",)),
)
TEMPERATURE_UNITS: Mapping[str, Unit] = _table(
    Unit("degC", Fraction(1), "t + 273.15 K", _SI, ("°C", "℃"), Fraction("273.15")),
    Unit("K", Fraction(1), "kelvin", _SI),
    Unit("degF", Fraction(5, 9), "(t + 459.67) × 5/9 K", _SP811, ("°F",), Fraction("459.67")),
)
DURATION_UNITS: Mapping[str, Unit] = _table(
    Unit("min", Fraction(60), "60 s", _SI),
    Unit("s", Fraction(1), "second", _SI),
    Unit("h", Fraction(3600), "3600 s", _SI),
)
VOLUME_UNITS: Mapping[str, Unit] = _table(
    Unit("uL", Fraction(1, 10**9), "10^-9 m³", _SI, ("ul", "µL", "μL")),
    Unit("mL", Fraction(1, 10**6), "10^-6 m³", _SI, ("ml",)),
    Unit("nL", Fraction(1, 10**12), "10^-12 m³", _SI, ("nl",)),
    Unit("L", Fraction(1, 10**3), "10^-3 m³", _SI, ("l",)),
)
RATIO_UNITS: Mapping[str, Unit] = _table(Unit("%", Fraction(1, 100), "10^-2", _SI))

TRADE_UNITS = ("bar", "psi", "MPa", "kPa", "kgf/cm2")
"""The units that instruments of the trade show."""

_NUMBER = re.compile(r"[+-]?(?:[0-9]+(?:\.[0-9]*)?|\.[0-9]+)(?:[eE][+-]?[0-9]+)?")
_QUANTITY = re.compile(rf"({_NUMBER.pattern})\s*(\D.*)?", re.DOTALL)
_ABSOLUTE = re.compile(r"(psi|bar|kpa|mpa)\s*\(?\s*(a|abs|absolute)\s*\)?", re.IGNORECASE)
_MOST_DIGITS, _LARGEST_EXPONENT = 40, 40


def exact(number: int | Decimal | Fraction | str) -> Fraction:
    """The number as a `Fraction`; raises UnitError if not finite or beyond 40 digits or 10^±40.

    >>> exact("413.6854")
    Fraction(2068427, 5000)
    """
    if isinstance(number, Fraction):
        return number
    if isinstance(number, int):
        if abs(number) >= 10**_MOST_DIGITS:
            raise UnitError(
                f"a number of more than {_MOST_DIGITS} digits", "write the number as displayed"
            )
        return Fraction(number)
    value = Decimal(number)
    if not value.is_finite():
        raise UnitError(f"{number} is not a number that can be set", "write a finite number")
    digits, exponent = len(value.as_tuple().digits), value.adjusted()
    if digits > _MOST_DIGITS or abs(exponent) > _LARGEST_EXPONENT:
        raise UnitError(
            f"a number of {digits} digits near 10^{exponent}", "write the number as displayed"
        )
    return Fraction(value)


@dataclass(frozen=True, slots=True, eq=False)
class Quantity:
    """An exact amount in SI (`value`) that remembers the number and unit as typed.

    Compared, ordered and hashed by exact value; a pressure never equals a length.
    """

    value: Fraction
    number: str
    unit: str

    KIND: ClassVar[str]
    UNITS: ClassVar[Mapping[str, Unit]]
    EXAMPLE: ClassVar[str]

    @classmethod
    def of(cls, number: int | Decimal | Fraction | str, unit: str) -> Self:
        """The amount `number` in `unit` (a name of the table); raises UnitError."""
        known = cls.UNITS[unit]
        value = exact(number)
        text = plain_or_rounded(value) if isinstance(number, Fraction) else str(number)
        return cls((value + known.offset) * known.factor, text, unit)

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
        return self.value / known.factor - known.offset

    def __str__(self) -> str:
        return f"{self.number} {self.unit}"

    def __float__(self) -> float:
        return float(self.value)

    def __eq__(self, other: object) -> bool:
        if type(other) is not type(self):
            return NotImplemented
        return self.value == other.value

    def __hash__(self) -> int:
        return hash((type(self), self.value))

    def __lt__(self, other: Self) -> bool:
        return self.value < other.value

    def __le__(self, other: Self) -> bool:
        return self.value <= other.value

    def __gt__(self, other: Self) -> bool:
        return self.value > other.value

    def __ge__(self, other: Self) -> bool:
        return self.value >= other.value


class Pressure(Quantity):
    """Gauge pressure; SI value in pascal."""

    __slots__ = ()
    KIND, UNITS, EXAMPLE = "pressure", PRESSURE_UNITS, "400 bar"


class Length(Quantity):
    """Length; SI value in metre."""

    __slots__ = ()
    KIND, UNITS, EXAMPLE = "length", LENGTH_UNITS, "150 mm"


class Flow(Quantity):
    """Volume flow; SI value in cubic metre a second."""

    __slots__ = ()
    KIND, UNITS, EXAMPLE = "flow", FLOW_UNITS, "1.0 mL/min"


class Temperature(Quantity):
    """Temperature; SI value in kelvin."""

    __slots__ = ()
    KIND, UNITS, EXAMPLE = "temperature", TEMPERATURE_UNITS, "35 degC"


class Duration(Quantity):
    """Time; SI value in second."""

    __slots__ = ()
    KIND, UNITS, EXAMPLE = "time", DURATION_UNITS, "12 min"


class Volume(Quantity):
    """Volume; SI value in cubic metre."""

    __slots__ = ()
    KIND, UNITS, EXAMPLE = "volume", VOLUME_UNITS, "10 uL"


class Ratio(Quantity):
    """A share of something: "25 %" is 1/4."""

    __slots__ = ()
    KIND, UNITS, EXAMPLE = "percentage", RATIO_UNITS, "25 %"


QUANTITIES: tuple[type[Quantity], ...] = (
    Pressure, Length, Flow, Temperature, Duration, Volume, Ratio,
)  # fmt: skip


def split_quantity(text: str, kind: type[Quantity]) -> tuple[str, str]:
    """Number and unit spelling of a text, or UnitError."""
    bare = text.strip()
    match = _QUANTITY.fullmatch(bare)
    if match is not None and len(match[1]) > _MOST_DIGITS + 10:
        raise UnitError(f"a number of {len(match[1])} characters", f'write as in "{kind.EXAMPLE}"')
    if match is None or (match[2] and re.match(r"[,.'’_\s]*[0-9]", match[2])):
        raise _not_a_number(bare, kind)
    if not match[2]:
        raise UnitError(
            f'"{bare}" has no unit', f'write the {kind.KIND} with its unit, as in "{kind.EXAMPLE}"'
        )
    if match[1].startswith("-") and kind is not Temperature:
        raise UnitError(f'"{bare}" is negative', f"a {kind.KIND} here is zero or more")
    return match[1], match[2].strip()


def _not_a_number(text: str, kind: type[Quantity]) -> UnitError:
    seen = text if len(text) <= 40 else text[:37] + "..."
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
    for unit in kind.UNITS.values():
        if spelling in unit.spellings:
            return unit.name
    if kind is Pressure:
        found = _pressure_in_any_case(spelling)
        if found is not None:
            return found
    for other in QUANTITIES:
        if other is not kind and any(
            spelling == unit.name or spelling in unit.spellings for unit in other.UNITS.values()
        ):
            raise UnitError(
                f'"{spelling}" is a unit of {other.KIND}, not of {kind.KIND}',
                f'write the {kind.KIND} as in "{kind.EXAMPLE}"',
            )
    raise UnitError(f'"{spelling}" is not a known unit of {kind.KIND}', _near(spelling, kind))


def _pressure_in_any_case(spelling: str) -> str | None:
    """psi, bar and kgf/cm² are safe in any case; mega and milli are not, so MPa is exact."""
    folded = spelling.casefold()
    for name in ("bar", "psi", "kgf/cm2"):
        unit = PRESSURE_UNITS[name]
        if folded == unit.name or folded in unit.spellings:
            return name
    if spelling == "mPa":
        raise UnitError('"mPa" is millipascal', "megapascal is written MPa")
    if folded == "mpa":
        raise UnitError(
            f'"{spelling}" is neither megapascal nor millipascal', "megapascal is written MPa"
        )
    if folded == "kpa":
        raise UnitError(f'"{spelling}" is not a known unit', "kilopascal is written kPa")
    if _ABSOLUTE.fullmatch(spelling):
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


def plain(value: Fraction, most_decimals: int = 60) -> str:
    """The exact decimal text of a fraction whose decimals end; raises ValueError if they do not.

    >>> plain(Fraction(2068427, 5000))
    '413.6854'
    """
    twos = fives = 0
    rest = value.denominator
    while rest % 2 == 0:
        rest, twos = rest // 2, twos + 1
    while rest % 5 == 0:
        rest, fives = rest // 5, fives + 1
    places = max(twos, fives)
    if rest != 1 or places > most_decimals:
        raise ValueError(f"{value} has no ending decimal form")
    return _decimals(value, places)


def plain_or_rounded(value: Fraction, digits: int = 6) -> str:
    """The exact decimal text where the decimals end within twelve places, else rounded."""
    try:
        return plain(value, most_decimals=12)
    except ValueError:
        return _decimals(value, decimals_for(value, digits))


def _decimals(value: Fraction, places: int) -> str:
    """Rounded half to even to `places` decimals, trailing zeros removed."""
    scaled = round(value * 10**places)
    sign, digits = ("-" if scaled < 0 else ""), str(abs(scaled)).rjust(places + 1, "0")
    if places == 0:
        return sign + digits
    text = f"{digits[:-places]}.{digits[-places:]}".rstrip("0").rstrip(".")
    return sign + text if text != "0" else text


def decimals_for(value: Fraction, digits: int) -> int:
    """How many decimals give `value` that many significant digits (never less than none)."""
    size, magnitude = abs(value), 0
    if size == 0:
        return 0
    if size >= 1:
        magnitude = len(str(int(size))) - 1
    else:
        while size < 1:
            size, magnitude = size * 10, magnitude - 1
    return max(0, digits - 1 - magnitude)


def show(quantity: Quantity, unit: str, *, apart: Iterable[Quantity] = (), digits: int = 6) -> str:
    """The amount in `unit`, to `digits` significant digits, or more where fewer would mislead.

    Against every quantity of `apart` the printed number keeps its order: a pressure that is
    above a rating by any amount is printed as a larger number than the rating.

    >>> show(Pressure.parse("6000 psi"), "bar", apart=[Pressure.parse("413.6854 bar")])
    '413.68544 bar'
    """
    value = quantity.to(unit)
    others = [other.to(unit) for other in apart if other.value != quantity.value]
    places = decimals_for(value, digits)
    while any(_order_lost(value, other, places) for other in others):
        places += 1
    return f"{_decimals(value, places)} {unit}"


def _order_lost(value: Fraction, other: Fraction, places: int) -> bool:
    """Whether two unequal values print as equal at that many decimals (rounding is monotonic)."""
    return bool(round(value * 10**places) == round(other * 10**places))


def show_all(quantity: Quantity, *, skip: str | None = None, apart: Iterable[Quantity] = ()) -> str:
    """The pressure in bar, psi and MPa, as in "400 bar, 5801.51 psi, 40 MPa"."""
    others = tuple(apart)
    return ", ".join(show(quantity, u, apart=others) for u in ("bar", "psi", "MPa") if u != skip)


def round_down(value: Fraction, step: Fraction) -> Fraction:
    """The largest multiple of `step` that is not above `value` (high cutoffs go this way)."""
    return value // step * step


def round_up(value: Fraction, step: Fraction) -> Fraction:
    """The smallest multiple of `step` that is not below `value` (low cutoffs go this way)."""
    return -(-value // step) * step
