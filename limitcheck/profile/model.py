"""The profile format as pydantic models; what they hold is exact and frozen.

Validate with `validate_profile`, which knows the instrument's unit: bare numbers in
`[cutoffs]` and `[expected]` are in it. Errors carry our own words and advice.
"""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from typing import Annotated, Any, Literal, Self

from pydantic import ConfigDict, Field, ModelWrapValidatorHandler, PrivateAttr, model_validator

from ..units import USUAL_STEP
from .answered import AcceptedFinding, MadeFrom
from .derated import FlowRatings, TemperatureRatings
from .fields import FormatField, InstrumentContext, UnitField, refuse
from .measured import MeasuredPair, Resistance
from .table import (
    MOST,
    Entered,
    Expectation,
    FlowQuantity,
    FormatTable,
    HeadCount,
    Headroom,
    LengthQuantity,
    MarginAbove,
    MarginBelow,
    Name,
    Number,
    Percent,
    PermeabilityQuantity,
    PositiveNumber,
    PressureQuantity,
    TemperatureQuantity,
    Text,
    TrueOrFalse,
    VolumeQuantity,
)


class Method(FormatTable):
    """`[method]`: which method, in which revision, at which site."""

    id: Name
    title: Text | None = None
    revision: Name | None = None
    site: Text | None = None


class Instrument(FormatTable):
    """`[instrument]`: what the front panel shows and takes; `use` names a shared description."""

    use: Text | None = None
    id: Name
    pressure_unit: Annotated[str, UnitField()]
    display_step: PositiveNumber | None = None
    entry_max: PositiveNumber | None = None
    dwell_volume: VolumeQuantity | None = None
    """From where A and B meet to the column inlet: a gradient arrives later by it over flow."""
    oven: Literal["still air", "forced air", "water jacket"] | None = None
    """What surrounds the column: how much of the heat of friction stays in it; absent: unknown."""

    @property
    def step(self) -> Fraction:
        """The display step in the instrument's unit; without one, the usual step of that unit."""
        return self.display_step or USUAL_STEP[self.pressure_unit]


class _WithBareNumbers(FormatTable):
    """A table whose pressures may be bare numbers, in the instrument's unit."""

    _with_unit: frozenset[str] = PrivateAttr(default=frozenset())

    @model_validator(mode="wrap")
    @classmethod
    def _remember_units(cls, data: Any, handler: ModelWrapValidatorHandler[Self]) -> Self:
        table = handler(data)
        if isinstance(data, Mapping):
            table._with_unit = frozenset(k for k, v in data.items() if isinstance(v, str))
        return table

    def is_bare(self, key: str) -> bool:
        """Whether a pressure was typed without a unit: then it depends on the instrument's."""
        return getattr(self, key) is not None and key not in self._with_unit

    @property
    def with_unit(self) -> frozenset[str]:
        """The keys whose pressures were typed with a unit."""
        return self._with_unit


class Cutoffs(_WithBareNumbers):
    """`[cutoffs]`: the two numbers as typed; a cutoff that is absent is not set."""

    high: Entered | None = None
    low: Entered | None = None


class Expected(_WithBareNumbers):
    """`[expected]`: normal pressure over the whole run."""

    low: Expectation
    high: Expectation
    basis: Literal["measured", "predicted", "declared"] = "declared"
    swing: Expectation | None = None
    """Highest minus lowest on the display within a minute or so of steady running, at most."""
    _moved: bool = PrivateAttr(default=False)

    @property
    def bare(self) -> bool:
        """Whether both ends were typed without a unit."""
        return self.is_bare("low") and self.is_bare("high")

    @property
    def inverted(self) -> bool:
        """Whether the minimum is above the maximum: no pressure is normal by it."""
        return self.low > self.high

    @property
    def no_band(self) -> str:
        """Why no pressure is normal by it; empty where some are."""
        if self.inverted:
            return "the expected minimum is above the maximum"
        zero = self.low.value == 0
        return f"the expected minimum is {self.low}, which no run reads" if zero else ""

    def moved(self, band: Mapping[str, object]) -> Self:
        """With other values, as a measured or declared band times a predicted ratio has them."""
        copy = self.model_copy(update=band)
        copy._moved = True
        return copy

    @property
    def is_moved(self) -> bool:
        """Whether it is another band times a predicted ratio: no prediction by itself."""
        return self._moved

    def for_another_instrument(self) -> Self:
        """The same band as if typed with its unit; the swing is that of a pump, and stays there."""
        copy = self.model_copy(update={"swing": None})
        copy._with_unit = frozenset({"low", "high"})
        return copy


class GradientPoint(FormatTable):
    """One point of the gradient programme: minute from the start, percent B."""

    minute: Number
    percent_b: Percent


class Conditions(FormatTable):
    """`[conditions]`: flow, temperatures and mobile phase."""

    model_config = ConfigDict(json_schema_extra={"not": {"required": ["percent_b", "gradient"]}})

    flow: FlowQuantity | None = None
    temperature: TemperatureQuantity | None = None
    ambient: TemperatureQuantity | None = None
    solvent_a: Text | None = None
    solvent_b: Text | None = None
    percent_b: Percent | None = None
    gradient: Annotated[tuple[GradientPoint, ...], Field(min_length=2, max_length=MOST)] | None = (
        None
    )
    injection_volume: VolumeQuantity | None = None
    injection_minute: Number | None = None
    """Minute of the gradient at which the sample is injected; with its start where not given."""

    @model_validator(mode="after")
    def _one_programme(self) -> Conditions:
        if self.gradient is None:
            return self
        if self.percent_b is not None:
            raise refuse(
                "both percent_b and gradient are given",
                "keep percent_b for an isocratic method, gradient for a gradient",
            )
        minutes = [point.minute for point in self.gradient]
        if minutes != sorted(minutes):
            raise refuse("gradient minutes go backwards", "list the points in order of time")
        return self


class Part(FormatTable):
    """What every part of the flow path has; `use` names a shared description of it."""

    use: Text | None = None
    part: str
    label: Name | None = None
    serial: Name | None = None
    rating: PressureQuantity | None = None
    rating_at_flow: FlowRatings = ()
    rating_at_temperature: TemperatureRatings = ()
    interpolate: TrueOrFalse | None = None
    """Whether a straight line holds between the points of these tables; else they are steps."""

    @property
    def name(self) -> str:
        """The part with its label, for messages."""
        return f"{self.part} ({self.label})" if self.label else self.part


class Device(Part):
    """A part whose resistance, if it matters, is given as measured."""

    part: Literal["mixer", "filter", "injector", "fitting", "detector cell", "restrictor", "waste"]
    resistance_at: Resistance | None = None


class Pump(Part):
    """The pump; with stroke volume and flow the period of its pulses is known."""

    part: Literal["pump"]
    resistance_at: Resistance | None = None
    stroke_volume: VolumeQuantity | None = None
    """What one stroke of one head delivers."""
    heads: HeadCount | None = None
    """Heads that deliver in turn: a full cycle of the pump is as many strokes."""


class Tube(Part):
    """Tubing or an injection loop."""

    part: Literal["tubing", "loop"]
    length: LengthQuantity | None = None
    bore: LengthQuantity | None = None
    coil_diameter: LengthQuantity | None = None
    """Of the coil it is wound to; absent: not known."""
    resistance_at: Resistance | None = None


class Column(Part):
    """A column or guard column."""

    part: Literal["column", "guard column"]
    chemistry: Text | None = None
    length: LengthQuantity | None = None
    bore: LengthQuantity | None = None
    particle_size: LengthQuantity | None = None
    particle: Literal["fully porous", "superficially porous", "irregular", "monolith"] = (
        "fully porous"
    )
    """Porous ones are spheres; irregular: crushed, no spheres."""
    inlet_frit: LengthQuantity | None = None
    outlet_frit: LengthQuantity | None = None
    certificate: Resistance | None = None
    permeability: PermeabilityQuantity | None = None
    """By the velocity in the empty tube, as the maker of a monolith may state it."""
    reversible: TrueOrFalse | None = None
    """Whether its maker allows flow from the outlet to the inlet; absent: not known."""
    plate_number: PositiveNumber | None = None
    """Plates found with the method's own peak, as its system suitability gives them."""


AnyPart = Annotated[Pump | Device | Tube | Column, Field(discriminator="part")]


class MarginSettings(FormatTable):
    """`[margins]`: the profile's own margins; what is absent comes from the policy."""

    high: MarginAbove | None = None
    low: MarginBelow | None = None
    headroom: Headroom | None = None


MOST_PAIRS = 40
"""Measured pairs: many times what anybody reads."""


class Profile(FormatTable):
    """One method on one instrument."""

    format: Annotated[int, FormatField()]
    method: Method
    instrument: Instrument
    cutoffs: Cutoffs = Cutoffs.model_construct()
    expected: Expected | None = None
    conditions: Conditions | None = None
    flow_path: Annotated[
        tuple[AnyPart, ...],
        Field(
            min_length=1,
            max_length=MOST,
            json_schema_extra={
                "prefixItems": [{"properties": {"part": {"const": "pump"}}}],
                "contains": {"properties": {"part": {"const": "column"}}, "required": ["part"]},
            },
        ),
    ]
    measured: Annotated[tuple[MeasuredPair, ...], Field(max_length=MOST_PAIRS)] = ()
    margins: MarginSettings = MarginSettings.model_construct()
    accepted: Annotated[tuple[AcceptedFinding, ...], Field(max_length=MOST)] = ()
    source: Annotated[tuple[MadeFrom, ...], Field(max_length=MOST)] = ()

    @property
    def normal_band(self) -> Expected | None:
        """The expected band to go by: none where it is no band of normal runs."""
        return None if self.expected is not None and self.expected.no_band else self.expected

    @model_validator(mode="after")
    def _pump_to_column(self) -> Profile:
        if self.flow_path[0].part != "pump":
            raise refuse(
                f"the flow path begins with a {self.flow_path[0].part}",
                'list the parts in flow order: the first [[flow_path]] has part = "pump"',
            )
        if not any(part.part == "column" for part in self.flow_path):
            raise refuse("the flow path has no column", 'add a [[flow_path]] with part = "column"')
        return self


def validate_profile(data: Mapping[str, Any]) -> Profile:
    """The profile in a parsed TOML document; raises `pydantic.ValidationError` with all errors."""
    instrument = data.get("instrument")
    table = instrument if isinstance(instrument, Mapping) else {}
    return Profile.model_validate(data, context=InstrumentContext.of(table))
