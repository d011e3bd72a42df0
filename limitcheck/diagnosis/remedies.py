"""What to do about a part that holds a restriction, by kind, and what to have ready first.

Every remedy names its source; a fact of the trade without one says so.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from ..profile.model import Column, Profile, Tube
from ..units import Length, show
from .openings import UNLISTED_LOOP, UNLISTED_TUBING

NO_SOURCE = "common practice, no source"
_FRITS = "LCGC troubleshooting column (frit porosity by packing)"
FIRST = "flow off, and wait until the display shows zero, before anything is opened or turned"


class Remedy(NamedTuple):
    """One thing to do, where that is known from, and what to have at hand for it."""

    act: str
    source: str = NO_SOURCE
    ready: tuple[str, ...] = ()


_FITTINGS = "new ferrules and nuts of the kind the fittings take"
_CUT = Remedy(
    "cut 5 mm off its inlet end, square and without burr, and make a new fitting; not where it "
    "came with fixed ends: replace that",
    ready=("a tube cutter", _FITTINGS),
)
_TURN = Remedy(
    "turn it end for end and run the flow through it to waste, the column off: what sits at its "
    "inlet comes out"
)
_REPLACE_TUBE = Remedy(
    "replace it by one of the same length and bore",
    ready=("tubing of the same length and bore", _FITTINGS),
)
_LOOP = (
    Remedy("flush it to waste, the column off, with the solvents in use"),
    Remedy(
        "replace it by one of the same volume: do not cut it, its volume is what is injected",
        ready=("a loop of the same volume", _FITTINGS),
    ),
)
_UNLISTED_TUBING = (
    Remedy("look for an in-line filter or a mixer in it, and replace its frit or cartridge first"),
    *(_TURN, _CUT, _REPLACE_TUBE),
)
_BY_KIND: dict[str, tuple[Remedy, ...]] = {
    "tubing": (_TURN, _CUT, _REPLACE_TUBE),
    "loop": _LOOP,
    "fitting": (
        Remedy("open it and look for a crushed tube end or a ferrule pushed over the bore"),
        Remedy(
            "cut the tube end square and make the fitting again with a new ferrule",
            ready=("a tube cutter", _FITTINGS),
        ),
    ),
    "filter": (
        Remedy(
            "replace its frit or cartridge", ready=("a frit or cartridge of the same porosity",)
        ),
    ),
    "mixer": (
        Remedy("flush it with the solvents in use, to waste, then with water if buffers were used"),
        Remedy(
            "replace its frit or cartridge as the maker's manual says",
            ready=("the maker's frit or cartridge",),
        ),
    ),
    "injector": (
        Remedy("flush the valve in both positions, to waste, the column off"),
        Remedy(
            "have rotor seal, stator and needle seat checked as the maker's manual says",
            ready=("the maker's rotor seal and needle seat",),
        ),
    ),
    "guard column": (
        Remedy(
            "replace the cartridge; it is there to be spent before the column",
            ready=("a guard cartridge of the same packing",),
        ),
    ),
    "detector cell": (
        Remedy("look for a kinked or blocked line behind the cell first"),
        Remedy(
            "flush the cell, away from the column and well under its rating, as the maker's "
            "manual says"
        ),
    ),
    "restrictor": (
        Remedy("take it off and flush it"),
        Remedy(
            "replace it by one of the same resistance if the pressure stays",
            ready=("a restrictor of the same resistance",),
        ),
    ),
    "waste": (Remedy("clear or replace the waste line: a kink, a salt plug, or a full vessel"),),
    "pump": (
        Remedy(
            "replace the outlet filter or frit, if the pump has one",
            ready=("the maker's outlet filter or frit",),
        ),
        Remedy("have outlet check valve and pressure sensor checked as the maker's manual says"),
    ),
}


def remedies(profile: Profile, place: int) -> tuple[Remedy, ...]:
    """What to do about the part at this place, simplest first."""
    if place == UNLISTED_LOOP:
        return _LOOP
    if place == UNLISTED_TUBING:
        return _UNLISTED_TUBING
    part = profile.flow_path[place]
    if isinstance(part, Column) and part.part == "column":
        return tuple(_column(part))
    if isinstance(part, Tube) and part.part == "tubing" and part.bore is not None:
        size = f"bore {part.bore}" + (f", length {part.length}" if part.length else "")
        ready = (f"tubing of {size}", _FITTINGS)
        return _TURN, _CUT, _REPLACE_TUBE._replace(ready=ready)
    return _BY_KIND[part.part]


def _column(column: Column) -> Iterator[Remedy]:
    yield Remedy(
        "put a new guard cartridge or in-line filter before it, if there is one, and read again"
    )
    forbidden = must_not_be_reversed(column)
    if forbidden is None:
        yield Remedy(
            "reverse the column with its outlet to waste, and read again (--reading "
            "column-reversed=...): pressure that stays normal means the inlet frit was it"
        )
        yield Remedy(
            "wash the column backwards to waste, at half the flow, with a strong solvent that "
            "mixes with what is in it"
        )
    else:
        yield Remedy(f"do not reverse it: {forbidden}")
    porosity = _usual_frit(column.particle_size)
    finer = (
        f"finer than its {show(column.particle_size, 'um')} packing ({porosity})"
        if column.particle_size is not None and column.particle != "monolith"
        else "of the porosity the maker names"
    )
    if column.particle != "monolith":
        yield Remedy(
            f"replace its inlet frit by a new one, {finer}, only where the maker allows the column "
            "to be opened: the bed may come out or sink, so test plates and shape of a peak after "
            "it",
            _FRITS if column.particle_size is not None else NO_SOURCE,
            (f"an inlet frit {finer}",),
        )
    yield Remedy(
        "replace the column by one of the same kind, and test it with the method's own check",
        ready=("a spare column of the same kind",),
    )


def must_not_be_reversed(column: Column) -> str | None:
    """Why nobody may be told to reverse a column; None where its profile allows it.

    What is not known forbids: the maker is asked first.
    """
    frit, size = column.inlet_frit, column.particle_size
    if column.reversible is False:
        return "its profile says reversible = false"
    if frit is not None and size is not None and column.particle != "monolith" and frit >= size:
        return f"its inlet frit, {frit}, is not finer than its particles, {size}: the bed is lost"
    if column.reversible is None:
        return (
            "its profile does not say whether it may be; ask the maker, then put it in the profile"
        )
    if frit is None and column.particle != "monolith":
        return (
            "the porosity of its inlet frit is not known; ask the maker, then put it in the profile"
        )
    return None


def _usual_frit(particle_size: Length | None) -> str:
    """The usual porosity of a frit for a packing."""
    if particle_size is None:
        return ""
    micrometres = particle_size.to("um")
    if micrometres >= 5:
        return "usually 2 um"
    if micrometres >= 3:
        return "usually 0.5 um"
    return "usually 0.2 um, as the maker says"
