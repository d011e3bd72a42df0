"""What a pharmacopoeia lets a laboratory adjust when a method moves: formulas and their rulings.

Harmonised chapter on chromatography: Ph. Eur. 2.2.46, USP <621>, JP 2.00; openly published in
The International Pharmacopoeia, 1.14.1, section 4. The isocratic rules were read in secondary
summaries; those for gradients (temperature, times) are from memory. A policy that names the
site's edition takes their place. Isocratic and gradient elution are kept apart.
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from math import pi
from typing import NamedTuple

from ..policy import AdjustmentLimits
from ..profile.model import Column, Profile, Tube
from ..units import Flow, Length, Temperature, Volume, percent, show
from .ruling import EQUAL, OWN, Field, Pair, Ruling

CHAPTER = "Ph. Eur. 2.2.46, USP <621>, JP 2.00"
FROM_MEMORY = (
    "The limits of the harmonised chapter on chromatography (Ph. Eur. 2.2.46, USP <621>, JP 2.00) "
    "are from secondary summaries, those for gradients from memory, and tolerances are common "
    "practice, no source. Compare them with the edition in force, and name it in the policy: "
    "[transfer] edition."
)
"""Said once in a record that rests on them."""
SUITABILITY = (
    "meet the method's system suitability with all adjustments together: each holds only then"
)
"""What the chapter asks of every adjustment (secondary summary)."""
PLATES = "show that the plate number falls by no more than 20 %: the flow is off the scaled one"
FINE = Length.of(3, "um")
"""To particles finer than this, another flow than the scaled one asks for plates (summary)."""
HUNDRED = 100


class ColumnSize(NamedTuple):
    """Length, bore and particle size of a column."""

    length: Length
    bore: Length
    particle_size: Length

    @classmethod
    def of(cls, column: Column) -> ColumnSize | None:
        """The size of a column; None where a dimension is not given.

        A monolith has no particles: 1 um stands for those of any, so that they cancel.
        """
        particle_size = column.particle_size
        if column.particle == "monolith":
            particle_size = Length.of(1, "um")
        if column.length is None or column.bore is None or particle_size is None:
            return None
        return cls(column.length, column.bore, particle_size)

    @property
    def length_over_particle(self) -> Fraction:
        """L/dp, without unit: 150 mm and 5 um give 30 000."""
        return self.length.value / self.particle_size.value

    @property
    def volume(self) -> Fraction:
        """L dc^2 [m^3], to which the empty volume is proportional."""
        return self.length.value * self.bore.value**2


class Sizes(NamedTuple):
    """The columns of both sides."""

    old: ColumnSize
    new: ColumnSize


def column_sizes(pair: Pair) -> Sizes | None:
    """The sizes of the column of each side; None where one lacks a dimension, or has several.

    Several columns in series have no one length and particle size for the formulas; where they
    are the same on both sides, nothing is scaled and the first stands for all.
    """
    old, new = (list(map(ColumnSize.of, columns(side))) for side in pair.sides)
    if None in (*old, *new) or (old != new and [len(old), len(new)] != [1, 1]):
        return None
    return None if old[0] is None or new[0] is None else Sizes(old[0], new[0])


def monoliths(pair: Pair) -> bool:
    """Whether every column of both sides is a monolith."""
    return all(column.particle == "monolith" for side in pair.sides for column in columns(side))


def columns(profile: Profile) -> list[Column]:
    """Its columns in flow order, guard columns left out."""
    return [p for p in profile.flow_path if isinstance(p, Column) and p.part == "column"]


def allowed(field: Field, rule: str, *limits: str, condition: str = SUITABILITY) -> Ruling:
    """The ruling on a field that was adjusted within limits of these names."""
    return field.ruled(
        "allowed", rule, source_of(field.pair.policy.adjustments, *limits), condition
    )


def source_of(limits: AdjustmentLimits, *names: str) -> str:
    """Where limits of these names stand: what the site states, the chapter, or nowhere.

    The chapter gives the formulas; how near a number has to come to them is our own tolerance.
    """
    stated, rest = (
        [name for name in names if (name in limits.stated) is own] for own in (True, False)
    )
    sources = [limits.edition or "the site's policy"] if stated else []
    if not stated or rest:
        ours = OWN_TOLERANCES.intersection(rest)
        sources.append(f"{CHAPTER}; its tolerance {OWN}" if ours else CHAPTER)
    return "; ".join(sources)


OWN_TOLERANCES = frozenset(
    {"gradient_flow", "gradient_step", "gradient_minutes", "dwell_minutes", "injection_volume"}
)


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


def time_scale(flow: Flow, new_flow: Flow, old: ColumnSize, new: ColumnSize) -> Fraction:
    """tG2 / tG1 = (F1 / F2) (L2 dc2^2) / (L1 dc1^2)."""
    return (flow.value / new_flow.value) * new.volume / old.volume


def time_scale_of(pair: Pair) -> Fraction | None:
    """The same for two profiles; None where a flow or a dimension is not given."""
    sizes = column_sizes(pair)
    sent, got = pair.conditions
    if sizes is None or sent.flow is None or got.flow is None:
        return None
    return time_scale(sent.flow, got.flow, *sizes)


NO_SIZES = "it cannot be scaled: give length, bore and particle_size of one column on both sides"


def rule_flow(field: Field) -> Iterator[Ruling]:
    """The flow, scaled to the receiving column; a gradient's has to be the scaled one."""
    limits, sizes = field.pair.policy.adjustments, column_sizes(field.pair)
    if missing := field.missing:
        yield missing
        return
    if sizes is None:
        yield field.ruled("cannot decide", NO_SIZES)
        return
    got = field.receiving
    scaled = scaled_flow(field.sending, *sizes)
    if got == field.sending == scaled:
        yield field.ruled("same", "same flow on the same column size")
        return
    name = "gradient_flow" if field.pair.gradient else "isocratic_flow"
    share = getattr(limits, name)
    least, most = (scaled.times(1 + by) for by in (-share, share))
    kind = "gradient" if field.pair.gradient else "isocratic"
    ends = " to ".join(show(end, got.unit, digits=4) for end in (least, most))
    span = f"{ends} (+/- {percent(share)})"
    if least <= got <= most:
        told = f"scaled to the column {show(scaled, got.unit, digits=4)}; {kind}: within {span}"
        off = abs(got.value / scaled.value - 1) > limits.gradient_flow
        finer = sizes.new.particle_size < FINE <= sizes.old.particle_size
        yield allowed(field, told, name, condition=PLATES if finer and off else SUITABILITY)
    else:
        told = (
            f"scaled to the column it is about {show(scaled, got.unit, digits=4)}; {kind}: {span}"
        )
        yield field.ruled("not allowed", told, source_of(limits, name))


def rule_temperature(field: Field) -> Iterator[Ruling]:
    """The column temperature, within some kelvin."""
    limits = field.pair.policy.adjustments
    if missing := field.missing:
        yield missing
        return
    before, after = field.sending, field.receiving
    if before == after:
        yield field.ruled("same", EQUAL)
        return
    name = "gradient_kelvin" if field.pair.gradient else "isocratic_kelvin"
    span = getattr(limits, name)
    cold, hot = (Temperature.of(before.value + by, "K") for by in (-span, span))
    kind = "gradient" if field.pair.gradient else "isocratic"
    ends = f"{show(cold, before.unit)} to {show(hot, before.unit)} (+/- {float(span):g} K)"
    if cold <= after <= hot:
        yield allowed(field, f"{kind}: within {ends}", name)
    else:
        yield field.ruled("not allowed", f"{kind}: {ends}", source_of(limits, name))


def rule_injection_volume(field: Field) -> Iterator[Ruling]:
    """The injection volume, by the volume of the column."""
    limits, sizes = field.pair.policy.adjustments, column_sizes(field.pair)
    if missing := field.missing:
        yield missing
        return
    if sizes is None:
        yield field.ruled("cannot decide", NO_SIZES)
        return
    sent, got, source = field.sending, field.receiving, source_of(limits, "injection_volume")
    if held := _too_much(got, field.pair.receiving):
        yield field.ruled("cannot decide", held)
        return
    scaled = scaled_injection(sent, *sizes)
    shown = f"by column volume it is about {show(scaled, got.unit, digits=3)}"
    share = limits.injection_volume
    if got == sent == scaled:
        yield field.ruled("same", "the same volume on the same column volume")
    elif scaled.times(1 - share) <= got <= scaled.times(1 + share):
        yield allowed(field, f"{shown}: within {percent(share)} of that", "injection_volume")
    elif got < scaled:
        lacking = "less needs its precision and detection shown"
        yield field.ruled("cannot decide", f"{shown}: {lacking}", source)
    else:
        yield field.ruled("not allowed", f"{shown}, +/- {percent(share)}: more overloads", source)


def _too_much(volume: Volume, receiving: Profile) -> str:
    """Why an injection is more than loop or column hold; empty where it is not."""
    loops = [p for p in receiving.flow_path if isinstance(p, Tube) and p.part == "loop"]
    held = [volume_of(tube) for tube in loops]
    if held and None not in held and float(volume) > sum(v for v in held if v is not None):
        return (
            f"the loop of the receiving side holds {_microlitres(sum(float(v or 0) for v in held))}"
        )
    for column in columns(receiving):
        empty = volume_of(column)
        if empty is not None and float(volume) > empty:
            return f"the column without its packing holds {_microlitres(empty)}"
    return ""


def volume_of(part: Tube | Column) -> float | None:
    """What the empty part holds [m^3], pi/4 d^2 L; None where length or bore is not given."""
    if part.length is None or part.bore is None:
        return None
    return pi / 4 * float(part.bore) ** 2 * float(part.length)


def _microlitres(volume: float) -> str:
    return f"{volume * 1e9:.3g} uL"
