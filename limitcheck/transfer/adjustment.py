"""What a pharmacopoeia lets a laboratory adjust when the column changes, exactly.

USP <621> and Ph. Eur. 2.2.46, harmonised: the isocratic rules were read in a secondary
summary; the gradient rules (temperature, times, and that the others hold as well) are from
memory. Check the edition in force. The rules for isocratic and gradient elution are kept apart.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

from ..profile.model import Column, Conditions, Profile
from ..units import Flow, Length, Temperature, Volume, plain_or_rounded, show

SOURCE = "USP <621> and Ph. Eur. 2.2.46 (harmonised): check the edition in force"
FROM_MEMORY = "the rules for gradients are from memory"
LENGTH_OVER_PARTICLE = (Fraction(-25, 100), Fraction(50, 100))
ISOCRATIC_FLOW = Fraction(50, 100)
KELVIN = {"isocratic": 10, "gradient": 5}


@dataclass(frozen=True, slots=True)
class Adjustment:
    """One quantity that moves with the method; `kept` is None where the rule sets no bound."""

    what: str
    sending: str
    receiving: str
    allowed: str
    kept: bool | None


@dataclass(frozen=True, slots=True)
class ColumnSize:
    """Length, bore and particle size of a column."""

    length: Length
    bore: Length
    particle_size: Length

    @classmethod
    def of(cls, column: Column) -> ColumnSize | None:
        """The size of a column; None where a dimension is not given."""
        if column.length is None or column.bore is None or column.particle_size is None:
            return None
        return cls(column.length, column.bore, column.particle_size)

    def __str__(self) -> str:
        return f"{self.length} x {self.bore}, {self.particle_size}"

    @property
    def length_over_particle(self) -> Fraction:
        """L/dp, without unit: 150 mm and 5 um give 30 000."""
        return self.length.value / self.particle_size.value

    @property
    def volume(self) -> Fraction:
        """L dc^2 [m^3], to which the empty volume is proportional."""
        return self.length.value * self.bore.value**2


def scaled_flow(flow: Flow, old: ColumnSize, new: ColumnSize) -> Flow:
    """F2 = F1 (dc2^2 dp1) / (dc1^2 dp2).

    >>> mm, um = Length.parse, Length.parse
    >>> old = ColumnSize(mm("150 mm"), mm("4.6 mm"), um("5 um"))
    >>> new = ColumnSize(mm("100 mm"), mm("2.1 mm"), um("3 um"))
    >>> show(scaled_flow(Flow.parse("2.0 mL/min"), old, new), "mL/min", digits=3)
    '0.695 mL/min'
    """
    bore = new.bore.value**2 / old.bore.value**2
    by = bore * old.particle_size.value / new.particle_size.value
    return Flow.of(flow.to(flow.unit) * by, flow.unit)


def scaled_injection(volume: Volume, old: ColumnSize, new: ColumnSize) -> Volume:
    """V2 = V1 (L2 dc2^2) / (L1 dc1^2)."""
    return Volume.of(volume.to(volume.unit) * new.volume / old.volume, volume.unit)


def scaled_minute(
    minute: Fraction, flow: Flow, new_flow: Flow, old: ColumnSize, new: ColumnSize
) -> Fraction:
    """tG2 = tG1 (F1 / F2) (L2 dc2^2) / (L1 dc1^2), in minutes."""
    return minute * (flow.value / new_flow.value) * new.volume / old.volume


@dataclass(frozen=True, slots=True)
class ColumnChange:
    """The columns of both sides, and every adjustment the rules speak of."""

    sending: ColumnSize
    receiving: ColumnSize
    rules: str
    adjustments: tuple[Adjustment, ...]
    source: str


def column_change(sending: Profile, receiving: Profile) -> ColumnChange | None:
    """The adjustments between two profiles; None where a column's size is not given."""
    first, second = first_column(sending), first_column(receiving)
    old, new = ColumnSize.of(first), ColumnSize.of(second)
    if old is None or new is None:
        return None
    sent, got = sending.conditions or Conditions(), receiving.conditions or Conditions()
    gradient = sent.gradient is not None
    rules = "gradient" if gradient else "isocratic"
    monolith = "monolith" in (first.particle, second.particle)
    found = [] if monolith else [_length_over_particle(old, new)]
    found += _flow(sent, got, old, new, gradient=gradient)
    found += _temperature(sent, got, rules)
    found += _injection(sent, got, old, new)
    found += _times(sent, got, old, new)
    source = f"{SOURCE}; {FROM_MEMORY}" if gradient else SOURCE
    return ColumnChange(old, new, rules, tuple(found), source)


def first_column(profile: Profile) -> Column:
    """The first column (not guard column) of the flow path."""
    return next(p for p in profile.flow_path if isinstance(p, Column) and p.part == "column")


def _length_over_particle(old: ColumnSize, new: ColumnSize) -> Adjustment:
    was, now = old.length_over_particle, new.length_over_particle
    least, most = (was * (1 + share) for share in LENGTH_OVER_PARTICLE)
    return Adjustment(
        "L/dp",
        _number(was),
        _number(now),
        f"{_number(least)} to {_number(most)} (-25 to +50 %)",
        least <= now <= most,
    )


def _flow(
    sent: Conditions, got: Conditions, old: ColumnSize, new: ColumnSize, *, gradient: bool
) -> Iterator[Adjustment]:
    if sent.flow is None or got.flow is None:
        return
    scaled = scaled_flow(sent.flow, old, new)
    unit = got.flow.unit
    if gradient:
        allowed, kept = f"{show(scaled, unit, digits=4)}, times scaled to the flow", None
    else:
        least, most = (
            Flow.of(scaled.to(unit) * (1 + s), unit) for s in (-ISOCRATIC_FLOW, ISOCRATIC_FLOW)
        )
        allowed = (
            f"{show(scaled, unit, digits=4)} +/- 50 %: {show(least, unit, digits=4)} to "
            f"{show(most, unit, digits=4)}"
        )
        kept = least <= got.flow <= most
    yield Adjustment("flow", str(sent.flow), str(got.flow), allowed, kept)


def _temperature(sent: Conditions, got: Conditions, rules: str) -> Iterator[Adjustment]:
    if sent.temperature is None or got.temperature is None:
        return
    span = KELVIN[rules]
    unit = sent.temperature.unit
    least, most = (Temperature.of((sent.temperature.value + d), "K") for d in (-span, span))
    yield Adjustment(
        "column temperature",
        str(sent.temperature),
        str(got.temperature),
        f"{show(least, unit)} to {show(most, unit)} (+/- {span} K)",
        least <= got.temperature <= most,
    )


def _injection(
    sent: Conditions, got: Conditions, old: ColumnSize, new: ColumnSize
) -> Iterator[Adjustment]:
    if sent.injection_volume is None:
        return
    scaled = scaled_injection(sent.injection_volume, old, new)
    receiving = "not given" if got.injection_volume is None else str(got.injection_volume)
    yield Adjustment(
        "injection volume",
        str(sent.injection_volume),
        receiving,
        f"{show(scaled, sent.injection_volume.unit, digits=3)}, if precision and detection allow",
        None,
    )


def _times(
    sent: Conditions, got: Conditions, old: ColumnSize, new: ColumnSize
) -> Iterator[Adjustment]:
    if sent.gradient is None or sent.flow is None or got.flow is None:
        return
    scaled = [scaled_minute(p.minute, sent.flow, got.flow, old, new) for p in sent.gradient]
    minutes = [p.minute for p in got.gradient] if got.gradient is not None else []
    kept = len(minutes) == len(scaled) and all(
        abs(minute - wanted) <= TIME_TOLERANCE * scaled[-1]
        for minute, wanted in zip(minutes, scaled, strict=True)
    )
    yield Adjustment(
        "gradient times",
        _minutes([p.minute for p in sent.gradient]),
        _minutes(minutes) if minutes else "no gradient",
        _minutes(scaled),
        kept,
    )


TIME_TOLERANCE = Fraction(2, 100)
"""Of the gradient's length: times are typed to a tenth of a minute (common practice)."""


def _minutes(values: list[Fraction]) -> str:
    return "/".join(f"{float(value):.3g}" for value in values) + " min"


def _number(value: Fraction) -> str:
    return plain_or_rounded(Fraction(round(value)))
