"""The dwell volume, by which a gradient comes later, and the injection that makes up for it."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from ..profile.model import Profile, Tube
from .adjustment import SUITABILITY, source_of, volume_of
from .programme import UNSCALED, Moved, moved_programme, number
from .ruling import Field, Ruling, for_information


def rule_dwell_volume(field: Field) -> Iterator[Ruling]:
    """The dwell volume: by how much the gradient comes later, and what to change."""
    if not field.pair.gradient:
        yield from for_information(field)
        return
    if missing := field.missing:
        lacking = f"{missing.rule}: a gradient reaches the column later by dwell volume over flow"
        yield missing._replace(rule=lacking)
        return
    moved = moved_programme(field.pair)
    if moved is None or moved.late is None:
        yield field.ruled("cannot decide", UNSCALED)
        return
    for role, side in zip(("sending", "receiving"), field.pair.sides, strict=True):
        if held := _tubing_before_column(side):
            told = f"the tubing before the column holds {held} on the {role} side: measure it"
            yield field.ruled("cannot decide", told)
            return
    tolerance, source = moved.tolerance, source_of(moved.limits, "dwell_minutes")
    if abs(moved.late) > tolerance:
        told = f"{_arrives(moved.late)} than scaled (+/- {number(tolerance)} min): {_change(moved)}"
        yield field.ruled("not allowed", told, source)
    elif field.sending == field.receiving and moved.late == 0:
        yield field.ruled("same", "the gradient reaches the column as before")
    else:
        told = f"within {number(tolerance)} min, the gradient reaches the column as scaled"
        yield field.ruled("allowed", told, source, SUITABILITY)


def _tubing_before_column(side: Profile) -> str:
    """What the tubing between mixer (or pump) and column holds, where it is more than the dwell.

    A and B meet in the mixer, or before the pump: what comes after it is part of the dwell volume.
    """
    kinds = [part.part for part in side.flow_path]
    first = kinds.index("mixer") if "mixer" in kinds else 0
    between = side.flow_path[first : kinds.index("column")]
    volumes = [volume_of(part) or 0.0 for part in between if isinstance(part, Tube)]
    dwell = side.instrument.dwell_volume
    if dwell is None or sum(volumes) <= float(dwell):
        return ""
    return f"{sum(volumes) * 1e9:.4g} uL"


def _arrives(late: Fraction) -> str:
    how = "later" if late > 0 else "earlier"
    return f"the gradient reaches the column {number(abs(late))} min {how}"


def _change(moved: Moved) -> str:
    """What to change on the receiving side: the first hold, or the time of injection."""
    assert moved.late is not None
    hold = moved.receiving.hold
    wanted = hold - moved.late
    if wanted >= 0:
        return f"make the first hold {number(wanted)} min"
    first = "without a first hold, inject" if hold else "inject"
    return f"{first} {number(-wanted)} min later (injection_minute)"


def rule_injection_minute(field: Field) -> Iterator[Ruling]:
    """When the sample goes in: judged with the dwell volume, of which it takes off."""
    if field.sending == field.receiving:
        yield from for_information(field)
    elif not field.pair.gradient:
        yield field.ruled("not allowed", "an isocratic method has no gradient to wait for")
    else:
        later = f"the sample goes in {number(field.receiving or Fraction(0))} min after the start"
        told = "counted with the dwell volume of the instrument"
        condition = f"{later}: let the run go on until its last peak"
        yield field.ruled("information", told, condition=condition)
