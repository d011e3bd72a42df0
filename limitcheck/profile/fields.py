"""Field types of the profile format: text to exact quantities, with errors in our own words."""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Callable, Mapping
from decimal import Decimal
from fractions import Fraction
from typing import Any, NamedTuple, TypeAlias, TypeVar

from pydantic import GetCoreSchemaHandler, GetJsonSchemaHandler
from pydantic_core import PydanticCustomError, core_schema

from ..units import (
    TRADE_UNITS,
    Pressure,
    Quantity,
    Ratio,
    UnitError,
    exact,
    find_unit,
    is_in,
    plain,
    round_safely,
)

JsonSchema = dict[str, Any]
Info: TypeAlias = "core_schema.ValidationInfo[Any]"
_NUMBER_TYPES = (int, float, Decimal)
T = TypeVar("T")


def refuse(message: str, advice: str) -> PydanticCustomError:
    """A validation error with advice on what to write instead."""
    return PydanticCustomError("refused", "{message}", {"message": message, "advice": advice})


def kind_of(value: object) -> str:
    """What a TOML reader calls a value: text, number, date, true or false, table, list."""
    if isinstance(value, bool):
        return "true or false"
    for types, word in (
        ((str,), "text"),
        (_NUMBER_TYPES, "a number"),
        ((Mapping,), "a table"),
        ((list, tuple), "a list"),
    ):
        if isinstance(value, types):
            return word
    return "a date or time"


def _is_number(value: object) -> bool:
    return isinstance(value, _NUMBER_TYPES) and not isinstance(value, bool)


def _typed(value: Any) -> Any:
    """A bare number from TOML; a float (from Python callers) by its shortest decimal text."""
    if not _is_number(value):
        raise refuse(f"{kind_of(value)} where a number belongs", "write a bare number, as in 1.5")
    return repr(value) if isinstance(value, float) else value


def _read(read: Callable[..., T], *arguments: Any) -> T:
    """What `read` makes of its arguments, its refusals as validation errors."""
    try:
        return read(*arguments)
    except UnitError as error:
        raise refuse(error.message, error.advice) from None


def _not_negative(value: object, number: Fraction) -> None:
    if number.numerator < 0:
        raise refuse(f"{value} is negative", "write zero or more")


def _number(
    value: object, *, zero: bool = True, most: int | None = None, whole: bool = False
) -> Fraction:
    number = _read(exact, _typed(value))
    _not_negative(value, number)
    if not number and not zero:
        raise refuse("zero where a positive number belongs", "write a number above zero")
    if most is not None and number.numerator > most * number.denominator:
        least = 0 if zero else 1 if whole else "above 0"
        raise refuse(f"{value} is more than {most}", f"write a number from {least} to {most}")
    if whole and number.denominator != 1:
        raise refuse(f"{value} is not a whole number", "write a count, as in 2")
    return number


class InstrumentContext(NamedTuple):
    """What bare numbers need: the unit that the instrument shows, and its raw table."""

    unit: str
    table: Mapping[str, Any]

    @classmethod
    def of(cls, instrument: Mapping[str, Any]) -> InstrumentContext:
        """From the raw `[instrument]` table; where that is wrong it has its own error, so bar."""
        try:
            unit = find_unit(instrument["pressure_unit"], Pressure)
        except (KeyError, TypeError, AttributeError, UnitError):
            unit = "bar"
        return cls(unit if unit in TRADE_UNITS else "bar", instrument)

    @property
    def step(self) -> Fraction | None:
        """The display step, if it is given and right."""
        try:
            return _number(self.table["display_step"], zero=False)
        except (KeyError, PydanticCustomError):
            return None


class ProfileField(ABC):
    """A field type: reads a TOML value, and describes itself for the JSON Schema."""

    json_schema: Mapping[str, Any]
    """The schema of the values that `read` may take."""

    @abstractmethod
    def read(self, value: object, info: Info) -> object:
        """The exact value; raises PydanticCustomError made by `refuse`."""

    def __get_pydantic_core_schema__(
        self, source: object, handler: GetCoreSchemaHandler
    ) -> core_schema.CoreSchema:
        return core_schema.with_info_plain_validator_function(self.read)

    def __get_pydantic_json_schema__(
        self, schema: core_schema.CoreSchema, handler: GetJsonSchemaHandler
    ) -> JsonSchema:
        return dict(self.json_schema)


class FormatField(ProfileField):
    """The number of the format, 1."""

    json_schema: Mapping[str, Any] = {"const": 1}

    def read(self, value: object, info: Info) -> int:
        if not _is_number(value) or value != 1:
            raise refuse("this format is not known", "write format = 1")
        return 1


class NumberField(ProfileField):
    """A bare number, kept exact."""

    def __init__(self, *, zero: bool, most: int | None = None, whole: bool = False) -> None:
        self.zero = zero
        self.most = most
        self.whole = whole
        kind = "integer" if whole else "number"
        bound = {"minimum": 0} if zero else {"exclusiveMinimum": 0}
        self.json_schema = {"type": kind, **bound} | ({"maximum": most} if most else {})

    def read(self, value: object, info: Info) -> Fraction:
        return _number(value, zero=self.zero, most=self.most, whole=self.whole)


class TruthField(ProfileField):
    """true or false, and nothing that is nearly one: "no" is not false."""

    json_schema: Mapping[str, Any] = {"type": "boolean"}

    def read(self, value: object, info: Info) -> bool:
        if not isinstance(value, bool):
            raise refuse(
                f"{kind_of(value)} where true or false belongs",
                "write true or false, without quotes; leave it out where it is not known",
            )
        return value


class UnitField(ProfileField):
    """A pressure unit that an instrument shows."""

    json_schema: Mapping[str, Any] = {"type": "string", "examples": list(TRADE_UNITS)}

    def read(self, value: object, info: Info) -> str:
        if not isinstance(value, str):
            raise refuse(
                f"{kind_of(value)} where a unit belongs", 'write the unit in quotes: "bar"'
            )
        unit = _read(find_unit, value.strip(), Pressure)
        if unit not in TRADE_UNITS:
            raise refuse(f"no instrument shows {unit}", f"write one of {', '.join(TRADE_UNITS)}")
        return unit


class QuantityField(ProfileField):
    """Text with a number and a unit: ratings, geometry and conditions always carry theirs."""

    def __init__(self, kind: type[Quantity]) -> None:
        self.kind = kind
        self.json_schema = {"type": "string", "examples": [kind.EXAMPLE]}

    def read(self, value: object, info: Info) -> Quantity:
        if _is_number(value):
            raise refuse(
                f"{value} has no unit",
                f'write the {self.kind.KIND} with its unit, as in "{self.kind.EXAMPLE}"',
            )
        if not isinstance(value, str):
            raise refuse(
                f"{kind_of(value)} where a {self.kind.KIND} belongs",
                f'write as in "{self.kind.EXAMPLE}"',
            )
        quantity = _read(self.kind.parse, value)
        if quantity.value.numerator <= 0 and self.kind is not Ratio:
            raise refuse(f'"{value}" is not above zero', f"write a {self.kind.KIND} above zero")
        return quantity


class MarginField(QuantityField):
    """A percentage of a pressure, with its range: of one with nothing left no cutoff comes."""

    def __init__(self, *, zero: bool = False, below_all: bool = True) -> None:
        super().__init__(Ratio)
        self.zero = zero
        self.below_all = below_all

    def read(self, value: object, info: Info) -> Quantity:
        below_zero = isinstance(value, str) and value.lstrip().startswith("-")
        if not below_zero:
            share = super().read(value, info)
            if (self.zero or share.value) and not (self.below_all and share.value >= 1):
                return share
        allowed = "of 0 % or more" if self.zero else "above 0 %"
        if self.below_all:
            allowed += ", below 100 %"
        raise refuse(f'"{value}" is out of its range', f"write a percentage {allowed}")


class ExpectedField(ProfileField):
    """An expected pressure: a bare number in the instrument's unit, or text with any unit."""

    json_schema: Mapping[str, Any] = {
        "anyOf": [{"type": "number", "minimum": 0}, {"type": "string", "examples": ["400 bar"]}]
    }

    def read(self, value: object, info: Info) -> Pressure:
        if isinstance(value, str):
            return _read(Pressure.parse, value)
        context: InstrumentContext = info.context
        pressure = _read(Pressure.of, _typed(value), context.unit)
        _not_negative(value, pressure.value)
        return pressure


class CutoffField(ExpectedField):
    """A cutoff as typed: a bare number, or text in the instrument's own unit."""

    def read(self, value: object, info: Info) -> Pressure:
        pressure, context = super().read(value, info), info.context
        if pressure.unit != context.unit:
            raise refuse(
                f'"{value}" on an instrument that shows {context.unit}',
                self._what_to_type(pressure, context, high=info.field_name == "high"),
            )
        return pressure

    @staticmethod
    def _what_to_type(pressure: Pressure, context: InstrumentContext, *, high: bool) -> str:
        told, step = f"{pressure} {is_in(pressure, context.unit)}", context.step
        if step is None:
            return f"{told}; type the number in {context.unit}"
        rounded = round_safely(pressure.to(context.unit), step, "high" if high else "low")
        if not rounded:
            return f"{told}, less than a step of the display; type another number"
        enter = Pressure.of(rounded, context.unit)
        told = f"{pressure} {is_in(pressure, context.unit, apart=[enter])}"
        if enter.value == pressure.value:
            return f"{told}: type {plain(rounded)}"
        return f"{told}: type {plain(rounded)}, rounded the safe way"
