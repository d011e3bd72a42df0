"""The base of every table of the format, and the types of what its keys hold."""

from __future__ import annotations

from fractions import Fraction
from typing import Annotated

from pydantic import BaseModel, ConfigDict

from ..units import Flow, Length, Permeability, Pressure, Ratio, Temperature, Volume
from .fields import CutoffField, ExpectedField, MarginField, NumberField, QuantityField, TruthField
from .names import NameField, TextField

FlowQuantity = Annotated[Flow, QuantityField(Flow)]
LengthQuantity = Annotated[Length, QuantityField(Length)]
PermeabilityQuantity = Annotated[Permeability, QuantityField(Permeability)]
PressureQuantity = Annotated[Pressure, QuantityField(Pressure)]
RatioQuantity = Annotated[Ratio, QuantityField(Ratio)]
MarginAbove = Annotated[Ratio, MarginField(below_all=False)]
MarginBelow = Annotated[Ratio, MarginField()]
Headroom = Annotated[Ratio, MarginField(zero=True)]
TemperatureQuantity = Annotated[Temperature, QuantityField(Temperature)]
VolumeQuantity = Annotated[Volume, QuantityField(Volume)]
Text = Annotated[str, TextField()]
Name = Annotated[str, NameField()]
LONG = 1000
LongText = Annotated[str, TextField(LONG)]
"""What may hold several other texts, as a place with a label."""
Number = Annotated[Fraction, NumberField(zero=True)]
PositiveNumber = Annotated[Fraction, NumberField(zero=False)]
Percent = Annotated[Fraction, NumberField(zero=True, most=100)]
HeadCount = Annotated[Fraction, NumberField(zero=False, most=4, whole=True)]
Entered = Annotated[Pressure, CutoffField()]
Expectation = Annotated[Pressure, ExpectedField()]
TrueOrFalse = Annotated[bool, TruthField()]


MOST = 500
"""Entries of the longest list: many times what any method or flow path has."""


class FormatTable(BaseModel):
    """A table of the format: frozen, unknown keys refused."""

    model_config = ConfigDict(
        frozen=True, extra="forbid", arbitrary_types_allowed=True, defer_build=True
    )
