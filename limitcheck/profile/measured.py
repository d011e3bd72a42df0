"""Pressures that were measured: of one part, and at the pump with all parts in place."""

from __future__ import annotations

from datetime import date
from typing import Annotated

from pydantic import Field

from .table import (
    FlowQuantity,
    FormatTable,
    Percent,
    PressureQuantity,
    TemperatureQuantity,
    Text,
    TrueOrFalse,
)


class Resistance(FormatTable):
    """A measured pressure drop with the conditions it was measured at."""

    pressure: PressureQuantity
    flow: FlowQuantity
    temperature: TemperatureQuantity | None = None
    solvent_a: Text | None = None
    solvent_b: Text | None = None
    percent_b: Percent | None = None


class MeasuredPair(Resistance):
    """`[[measured]]`: a pressure read at the pump of this instrument with this column.

    What is not given is as in `[conditions]`; a gradient's pair needs percent_b.
    """

    column: TrueOrFalse | None = None
    """false: read with a union in place of the columns; the others stay as they are."""
    day: Annotated[date, Field(strict=True)] | None = None
    """When it was read."""
