"""What to do: the cheapest test that confirms each cause, and the remedies for each part.

Common practice, no source, where nothing else is said.
"""

from __future__ import annotations

from ..profile.model import Column, Profile
from ..units import show
from .openings import UNLISTED_LOOP

_LABEL = "read the label of the column: length, bore, particle size, serial number"
_SETTING = "read the flow setting, then collect the outlet for one minute in a measuring cylinder"
_SUPPLY = "look at the bottles and their lines: levels, inlet filters, bubbles, what is in them"
_STEPS = "open the flow path step by step: limitcheck isolate"

CONFIRMATIONS: dict[str, tuple[int, str]] = {
    "heater-off": (
        1,
        "read the temperature of the oven; once it has been at its setting for ten minutes, "
        "read the pressure again",
    ),
    "oven-too-hot": (1, "read the temperature of the oven, with a second thermometer if in doubt"),
    "only-a": (2, f"{_SUPPLY}; run B alone for a minute: does the pressure change?"),
    "only-b": (2, f"{_SUPPLY}; run A alone for a minute: does the pressure change?"),
    "other-composition": (1, f"read the composition in the method; {_SUPPLY}"),
    "flow-doubled": (2, _SETTING),
    "flow-halved": (2, _SETTING),
    "other-flow": (2, _SETTING),
    "smaller-particles": (1, _LABEL),
    "larger-particles": (1, _LABEL),
    "longer-column": (1, _LABEL),
    "shorter-column": (1, _LABEL),
    "no-column": (1, "look: does a union stand in place of the column?"),
    "inlet-frit-blocked": (3, _STEPS),
    "bed-blocked": (3, _STEPS),
    "tubing-before-injector-blocked": (3, _STEPS),
    "tubing-after-injector-blocked": (3, _STEPS),
    "outlet-blocked": (
        1,
        "look at the waste line: kinked, plugged, under the liquid? Then: limitcheck isolate",
    ),
    "leak": (1, "run a dry tissue along every fitting from pump to column: drops, wet, crystals"),
    "air-in-pump-head": (
        2,
        "watch the pressure for a minute: it swings with the strokes; then purge both heads",
    ),
    "no-flow": (1, "look: is the pump running, the purge valve closed, solvent in the bottles?"),
}
"""By cause: the effort (1 look, 2 minutes, 3 tools), and what to do."""
_UNIT = (1, "read the unit beside the number on the display, and in the settings of the instrument")

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


def confirmation(cause: str) -> tuple[int, str]:
    """Effort and test that confirm a cause by name; a display in another unit is not listed."""
    return CONFIRMATIONS.get(cause, _UNIT)


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
