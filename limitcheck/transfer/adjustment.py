"""What a pharmacopoeia lets a laboratory adjust when the column changes, exactly.

USP <621> and Ph. Eur. 2.2.46, harmonised: the isocratic rules were read in a secondary
summary; the gradient rules (temperature, times, and that the others hold as well) are from
memory. Check the edition in force. The rules for isocratic and gradient elution are kept apart.
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from typing import Literal, NamedTuple

from ..physics.flow_path import first_column
from ..profile.model import Column, Conditions, Profile
from ..units import Flow, Length, Temperature, Volume, show

SOURCE = "USP <621> and Ph. Eur. 2.2.46 (harmonised): check the edition in force"
FROM_MEMORY = "the rules for gradients are from memory"
LENGTH_OVER_PARTICLE = (Fraction(-25, 100), Fraction(50, 100))
ISOCRATIC_FLOW = Fraction(50, 100)
ISOCRATIC_KELVIN, GRADIENT_KELVIN = 10, 5
TIME_TOLERANCE = Fraction(2, 100)
"""Of the gradient's length: times are typed to a tenth of a minute (common practice)."""


class Adjustment(NamedTuple):
    """One quantity that moves with the method; `kept` is None where the rule sets no bound."""

    what: str
    sending: str
    receiving: str
    allowed: str
    kept: bool | None


class ColumnSize(NamedTuple):
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
    return flow.times(bore * old.particle_size.value / new.particle_size.value)


def scaled_injection(volume: Volume, old: ColumnSize, new: ColumnSize) -> Volume:
    """V2 = V1 (L2 dc2^2) / (L1 dc1^2)."""
    return volume.times(new.volume / old.volume)


def scaled_minute(
    minute: Fraction, flow: Flow, new_flow: Flow, old: ColumnSize, new: ColumnSize
) -> Fraction:
    """tG2 = tG1 (F1 / F2) (L2 dc2^2) / (L1 dc1^2), in minutes."""
    return minute * (flow.value / new_flow.value) * new.volume / old.volume


class ColumnChange(NamedTuple):
    """The columns of both sides, and every adjustment the rules speak of."""

    sending: ColumnSize
    receiving: ColumnSize
    rules: Literal["isocratic", "gradient"]
    source: str
    adjustments: tuple[Adjustment, ...]


def column_change(sending: Profile, receiving: Profile) -> ColumnChange | None:
    """The adjustments between two profiles; None where a column's size is not given."""
    (_, first), (_, second) = first_column(sending), first_column(receiving)
    old, new = ColumnSize.of(first), ColumnSize.of(second)
    if old is None or new is None:
        return None
    sent, got = sending.conditions or Conditions(), receiving.conditions or Conditions()
    adjustments = _adjustments(sent, got, old, new, "monolith" in (first.particle, second.particle))
    if sent.gradient is None:
        return ColumnChange(old, new, "isocratic", SOURCE, tuple(adjustments))
    return ColumnChange(old, new, "gradient", f"{SOURCE}; {FROM_MEMORY}", tuple(adjustments))


def _adjustments(
    sent: Conditions, got: Conditions, old: ColumnSize, new: ColumnSize, monolith: bool
) -> Iterator[Adjustment]:
    if not monolith:
        was, now = old.length_over_particle, new.length_over_particle
        least, most = (was * (1 + share) for share in LENGTH_OVER_PARTICLE)
        allowed = f"{round(least)} to {round(most)} (-25 to +50 %)"
        yield Adjustment("L/dp", str(round(was)), str(round(now)), allowed, least <= now <= most)
    if sent.flow is not None and got.flow is not None:
        yield _flow(sent.flow, got.flow, old, new, gradient=sent.gradient is not None)
    if (before := sent.temperature) is not None and (after := got.temperature) is not None:
        span = ISOCRATIC_KELVIN if sent.gradient is None else GRADIENT_KELVIN
        cold, hot = (Temperature.of(before.value + by, "K") for by in (-span, span))
        allowed = f"{show(cold, before.unit)} to {show(hot, before.unit)} (+/- {span} K)"
        kept = cold <= after <= hot
        yield Adjustment("column temperature", str(before), str(after), allowed, kept)
    if (volume := sent.injection_volume) is not None:
        scaled = show(scaled_injection(volume, old, new), volume.unit, digits=3)
        there = str(got.injection_volume or "not given")
        allowed = f"{scaled}, if precision and detection allow"
        yield Adjustment("injection volume", str(volume), there, allowed, None)
    if sent.gradient is not None and sent.flow is not None and got.flow is not None:
        minutes = [point.minute for point in sent.gradient]
        wanted = [scaled_minute(minute, sent.flow, got.flow, old, new) for minute in minutes]
        yield _times(minutes, [point.minute for point in got.gradient or ()], wanted)


def _flow(sent: Flow, got: Flow, old: ColumnSize, new: ColumnSize, *, gradient: bool) -> Adjustment:
    scaled = scaled_flow(sent, old, new)
    shown = show(scaled, got.unit, digits=4)
    if gradient:
        return Adjustment("flow", str(sent), str(got), f"{shown}, times scaled to the flow", None)
    least, most = (scaled.times(1 + share) for share in (-ISOCRATIC_FLOW, ISOCRATIC_FLOW))
    ends = " to ".join(show(end, got.unit, digits=4) for end in (least, most))
    allowed = f"{shown} +/- 50 %: {ends}"
    return Adjustment("flow", str(sent), str(got), allowed, least <= got <= most)


def _times(sent: list[Fraction], got: list[Fraction], wanted: list[Fraction]) -> Adjustment:
    kept = len(got) == len(wanted) and all(
        abs(minute - scaled) <= TIME_TOLERANCE * wanted[-1]
        for minute, scaled in zip(got, wanted, strict=True)
    )
    before, there, allowed = (
        "/".join(f"{float(minute):.3g}" for minute in minutes) + " min"
        for minutes in (sent, got, wanted)
    )
    return Adjustment("gradient times", before, there if got else "no gradient", allowed, kept)
