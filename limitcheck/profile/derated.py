"""Ratings that hold up to a flow or a temperature, each of which stands once in its list."""

from __future__ import annotations

from typing import Annotated, TypeVar

from pydantic import AfterValidator, Field, ValidationError
from pydantic_core import InitErrorDetails

from ..units import Quantity
from .fields import refuse
from .table import MOST, FlowQuantity, FormatTable, PressureQuantity, TemperatureQuantity


class FlowRating(FormatTable):
    """A rating that holds up to a flow."""

    flow: FlowQuantity
    rating: PressureQuantity


class TemperatureRating(FormatTable):
    """A rating that holds up to a temperature."""

    temperature: TemperatureQuantity
    rating: PressureQuantity


_Line = TypeVar("_Line", FlowRating, TemperatureRating)


def _each_once(lines: tuple[_Line, ...]) -> tuple[_Line, ...]:
    """Refuse a second rating at one flow or temperature: which of them holds, nobody can tell."""
    seen: dict[Quantity, _Line] = {}
    wrong: list[InitErrorDetails] = []
    for index, line in enumerate(lines):
        key = "flow" if isinstance(line, FlowRating) else "temperature"
        at: Quantity = getattr(line, key)
        first = seen.setdefault(at, line)
        if first is line:
            continue
        before, same = str(getattr(first, key)), line.rating == first.rating
        told = f"a second rating at {at}" + ("" if before == str(at) else f", which is {before}")
        told += f": {first.rating}, then {line.rating}"
        keep = "remove one of the two" if same else "keep the rating that the maker states there"
        error = refuse(told, f"give each {key} once: {keep}")
        wrong.append({"type": error, "loc": (index, key), "input": str(at)})
    if wrong:
        raise ValidationError.from_exception_data("ratings", wrong)
    return lines


FlowRatings = Annotated[tuple[FlowRating, ...], Field(max_length=MOST), AfterValidator(_each_once)]
TemperatureRatings = Annotated[
    tuple[TemperatureRating, ...], Field(max_length=MOST), AfterValidator(_each_once)
]
