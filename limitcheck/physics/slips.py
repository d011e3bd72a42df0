"""Which single slip would explain that measured pairs contradict the geometry. SI floats."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction
from math import log

from ..profile.model import Column, Profile, Tube
from ..profile.plausible import BORES
from ..units import PRESSURE_UNITS, TRADE_UNITS, Length
from ..units.printing import as_read
from .drops import drops
from .flow_path import Segment
from .pairs import Estimate, Factor, Pair
from .system import system

# Sizes that are sold (common practice, no source).
PARTICLES = (1.5, 1.7, 1.8, 1.9, 2.5, 2.7, 3.0, 3.5, 4.0, 5.0, 7.0, 8.0, 10.0, 15.0, 20.0)  # um
LENGTHS = (30.0, 50.0, 75.0, 100.0, 125.0, 150.0, 200.0, 250.0, 300.0)  # mm
TUBES = (0.025, 0.05, 0.065, 0.075, 0.1, 0.12, 0.13, 0.17, 0.18, 0.25, 0.3, 0.5, 0.75, 1.0)  # mm
_NO_CHANGE = 0.1  # in ln of the resistance: less explains nothing


def explanations(profile: Profile, found: Estimate, group: str) -> tuple[str, ...]:
    """Single slips that would reconcile the pairs with the geometry, for people; [Pa] inside.

    ``group`` is what is outside: "columns", "other parts", or all parts together.
    """
    geometry = system(profile.model_copy(update={"measured": ()})).path.segments
    bare = group == "other parts"
    top = max(
        found.pairs, key=lambda pair: (pair.reading.column is not bare, pair.reading.pressure)
    )
    at = drops(geometry, top.reading.state)
    parts = tuple(zip(geometry, (drop.pressure for drop in at), strict=True))
    more = top.reading.pressure - top.predicted
    texts = [*_units(profile, found)]
    if group != "other parts":
        texts += _of_column(profile, parts, more, found.columns)
    if group != "columns":
        texts += _of_tube(profile, parts, top, found.others)
    unit = profile.instrument.pressure_unit
    flow = profile.measured[top.reading.number - 1].flow
    if more > 0.0:
        what = "a frit, a filter, a narrow tube"
        texts.append(
            f"something partly blocked ({what}) that takes {as_read(more, unit)} {unit} more at "
            f"{flow}, in proportion to flow"
        )
    else:
        texts.append("a leak before the column, or less flow than is set")
    return (*texts, "another mobile phase or temperature than is written")


def _units(profile: Profile, found: Estimate) -> Iterator[str]:
    """The same numbers in another unit, where all of them would then be in the interval."""
    typed = {profile.measured[pair.reading.number - 1].pressure.unit for pair in found.pairs}
    if len(typed) != 1:
        return
    own = typed.pop()
    for unit in TRADE_UNITS:
        by = float(PRESSURE_UNITS[unit].factor / PRESSURE_UNITS[own].factor)
        if unit != own and all(_fits(pair, by) for pair in found.pairs):
            yield f"pressures in {unit}, written as {own}"


def _fits(pair: Pair, by: float) -> bool:
    return pair.least <= pair.reading.pressure * by <= pair.most


def _of_column(
    profile: Profile, parts: Sequence[tuple[Segment, float]], more: float, allowed: Factor | None
) -> Iterator[str]:
    beds = [(segment, drop) for segment, drop in parts if segment.heated and drop > 0.0]
    if not beds or allowed is None:
        return
    segment, drop = max(beds, key=lambda item: item[1])
    part, needed = profile.flow_path[segment.place], 1.0 + more / drop
    assert isinstance(part, Column)
    if needed <= 0.0:
        return
    if part.certificate is not None and segment.measured is not None:
        yield f"a certificate of another column than the {part.name}"
        return
    packed = part.particle != "monolith" and part.permeability is None
    for size, sold, unit, power, name in (
        (part.particle_size if packed else None, PARTICLES, "um", -2, "a particle size"),
        (part.bore, BORES, "mm", -2, "a bore"),
        (part.length, LENGTHS, "mm", 1, "a length"),
    ):
        fitting = size and _nearest(size, sold, unit, power, needed, allowed)
        if fitting:
            yield f"{name} of {fitting} {unit} instead of {size} of the {part.name}"


def _of_tube(
    profile: Profile, parts: Sequence[tuple[Segment, float]], top: Pair, allowed: Factor | None
) -> Iterator[str]:
    """Another bore of the tubes that are as narrow as the one that takes most."""
    tubes = [
        (drop, part)
        for segment, drop in parts
        if isinstance(part := profile.flow_path[segment.place], Tube) and part.bore is not None
    ]
    if not tubes or allowed is None:
        return
    _, widest = max(tubes, key=lambda item: item[0])
    own, wanted = widest.bore, top.reading.pressure
    assert own is not None
    found = [(abs(log(_with_bore(profile, own, size, top) / wanted)), size) for size in TUBES]
    left, best = min(found)
    changes = abs(log(top.predicted / wanted)) - left > _NO_CHANGE
    if changes and left < 0.5 * min(log(allowed.most), -log(allowed.least)):
        yield f"a bore of {best:g} mm instead of {own} of the {widest.name}"


def _with_bore(profile: Profile, own: Length, size: float, top: Pair) -> float:
    """Pressure [Pa] where a pair was read, with another bore [mm] in place of one's own."""
    bore = Length.of(Fraction(str(size)), "mm")
    parts = tuple(
        part.model_copy(update={"bore": bore})
        if isinstance(part, Tube) and part.bore == own
        else part
        for part in profile.flow_path
    )
    other = profile.model_copy(update={"measured": (), "flow_path": parts})
    seen = [s for s in system(other).path.segments if top.reading.column or not s.heated]
    return sum(drop.pressure for drop in drops(seen, top.reading.state))


def _nearest(
    size: Length, sold: Sequence[float], unit: str, power: int, needed: float, allowed: Factor
) -> str:
    """The size sold that comes nearest to the resistance needed; empty where none is near."""
    own = float(size.to(unit))
    left, best = min((abs(log(needed) - power * log(other / own)), other) for other in sold)
    close = 0.5 * min(log(allowed.most), -log(allowed.least))
    changes = abs(power * log(best / own)) > _NO_CHANGE
    return f"{best:g}" if changes and left < close else ""
