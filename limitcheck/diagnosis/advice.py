"""What to do about each part that holds a restriction.

Common practice, no source, where nothing else is said.
"""

from __future__ import annotations

from ..profile.model import Column, Profile
from ..units import show
from .openings import UNLISTED_LOOP

_TUBE = (
    "turn it end for end and run the flow through it to waste: what sits at its inlet comes out",
    "cut 5 mm off its inlet end, square and without burr, and make a new fitting",
    "replace it",
)
_BY_KIND: dict[str, tuple[str, ...]] = {
    "tubing": _TUBE,
    "loop": _TUBE,
    "fitting": (
        "open it and look for a crushed tube end or a ferrule pushed over the bore",
        "cut the tube end square and make the fitting again with a new ferrule",
    ),
    "filter": ("replace its frit or cartridge",),
    "mixer": (
        "flush it with the solvents in use, to waste, then with water if buffers were used",
        "replace its frit or cartridge as the maker's manual says",
    ),
    "injector": (
        "flush the valve in both positions, to waste",
        "have rotor seal, stator and needle seat checked as the maker's manual says",
    ),
    "guard column": ("replace the cartridge; it is there to be spent before the column",),
    "detector cell": (
        "look for a kinked or blocked line behind the cell first",
        "flush the cell, away from the column, well under its rating, as the maker's manual says",
    ),
    "restrictor": ("take it off and flush it; replace it if the pressure stays",),
    "waste": ("clear or replace the waste line: a kink, a salt plug, or a full vessel",),
    "pump": (
        "replace the outlet filter or frit, if the pump has one",
        "have the outlet check valve and the transducer checked as the maker's manual says",
    ),
}


def remedies(profile: Profile, place: int) -> tuple[str, ...]:
    """What to do about the part at this place, simplest first."""
    if place == UNLISTED_LOOP:
        return _TUBE
    part = profile.flow_path[place]
    if isinstance(part, Column) and part.part == "column":
        return _column(part)
    return _BY_KIND[part.part]


def _column(column: Column) -> tuple[str, ...]:
    finer = (
        f", finer than the {show(column.particle_size, 'um')} packing"
        if column.particle_size is not None
        else ", finer than the packing"
    )
    return (
        "if the maker allows it, reverse the column with its outlet to waste, and read again "
        "(--reading column-reversed=...): pressure that stays normal means the inlet frit was it",
        f"replace the inlet frit with a new one{finer}",
        "if the maker allows it, wash the column backwards to waste with a strong solvent that "
        "mixes with what is in it",
        "replace the column",
    )
