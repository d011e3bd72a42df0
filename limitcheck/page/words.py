"""What the form calls the keys of a profile, and what is usual for each."""

from __future__ import annotations

from collections.abc import Mapping

from ..findings import KeyPath
from ..profile.amounts import RANGES
from ..profile.plausible import COLUMN_LENGTHS, TUBE_LENGTHS, plausible_bar

SECTIONS: Mapping[str, tuple[str, str]] = {
    "method": ("Method", "Which method this is, in which revision."),
    "instrument": ("Instrument", "What its front panel shows and takes."),
    "cutoffs": ("Cutoffs", "The two numbers as they are typed at the instrument."),
    "expected": (
        "Expected pressure",
        "Normal pressure over the whole run, as the display shows it.",
    ),
    "conditions": ("Conditions", "Flow, temperatures and mobile phase."),
    "margins": ("Margins", "Of this profile alone; what is left out comes from the policy."),
}
WORDS: Mapping[str, tuple[str, str]] = {
    "id": ("Id", "As your documents name it."),
    "title": ("Title", ""),
    "revision": ("Revision", ""),
    "site": ("Site", ""),
    "use": ("Shared description", "A file whose values are taken where none is given here."),
    "pressure_unit": ("Pressure unit", "What the front panel shows."),
    "display_step": ("Display step", "The smallest step that the entry field takes."),
    "entry_max": ("Largest entry", "The largest value that the entry field takes."),
    "dwell_volume": ("Dwell volume", "From where A and B meet to the column inlet."),
    "oven": ("Oven", "What surrounds the column."),
    "high": ("High", ""),
    "low": ("Low", ""),
    "basis": ("Where it comes from", "declared, where nothing is given."),
    "swing": ("Swing", "Highest minus lowest on the display within a minute."),
    "flow": ("Flow", ""),
    "temperature": ("Temperature", "Of the column."),
    "ambient": ("Room temperature", ""),
    "solvent_a": ("Solvent A", "As in water, or 0.1 % formic acid in water."),
    "solvent_b": ("Solvent B", ""),
    "percent_b": ("Percent B", "0 to 100. Of an isocratic method; else give a gradient."),
    "injection_volume": ("Injection volume", ""),
    "injection_minute": ("Minute of the injection", "With the start of the gradient, if left out."),
    "minute": ("Minute", ""),
    "part": ("Part", ""),
    "label": ("Label", "What tells it apart from others of its kind."),
    "serial": ("Serial number", ""),
    "rating": ("Rating", "The highest pressure its maker allows."),
    "interpolate": ("Straight line between ratings", "Else the ratings are steps."),
    "resistance_at": ("Measured pressure drop", ""),
    "certificate": ("Certificate of the column", ""),
    "stroke_volume": ("Stroke volume", "What one stroke of one head delivers."),
    "heads": ("Heads", "Heads that deliver in turn, 1 to 4."),
    "length": ("Length", ""),
    "bore": ("Bore", "Inner diameter."),
    "coil_diameter": ("Diameter of the coil", ""),
    "chemistry": ("Chemistry", ""),
    "particle_size": ("Particle size", ""),
    "particle": ("Packing", "fully porous, where nothing is given."),
    "inlet_frit": ("Pores of the inlet frit", ""),
    "outlet_frit": ("Pores of the outlet frit", ""),
    "permeability": ("Permeability", "By the velocity in the empty tube."),
    "reversible": ("May be reversed", "Whether its maker allows it."),
    "plate_number": ("Plate number", "With the method's own peak."),
    "headroom": ("Headroom", ""),
    "pressure": ("Pressure drop", ""),
    "column": ("With the column", "false: read with a union in place of the columns."),
}
_USUAL = {
    "instrument.dwell_volume": "dwell volume",
    "conditions.temperature": "temperature",
    "conditions.ambient": "ambient",
    "conditions.injection_volume": "injection volume",
    "coil_diameter": "coil",
    "stroke_volume": "stroke volume",
    "permeability": "permeability",
    "plate_number": "plate number",
    "pressure": "pressure drop",
    "temperature": "temperature of a test",
}
_ENTRY = {"display_step": "display step", "entry_max": "largest entry"}


def words(path: KeyPath) -> tuple[str, str]:
    """The label of a key and what it means; the key itself where the format does not know it."""
    key = str(path[-1])
    if key == "percent_b" and len(path) > 2:  # of a point or a pair
        return WORDS[key][0], "0 to 100."
    return WORDS.get(key, (key.replace("_", " ").capitalize(), ""))


def usual(path: KeyPath, part: str = "") -> str:
    """What is usual for a number, as in "3 to 2500 bar"; empty where nothing is known of it.

    Common practice, no source: from the ranges that the checks use.
    """
    key = str(path[-1])
    if key == "rating" and part:
        return "{:g} to {:g} bar".format(*plausible_bar(part))
    lengths = COLUMN_LENGTHS if "column" in part else TUBE_LENGTHS
    if part and key in lengths and key != "coil_diameter":
        return " to ".join(map(_length, lengths[key]))
    if path[0] == "instrument" and key in _ENTRY:
        return RANGES[_ENTRY[key]].usual
    if key == "flow":
        return "0.3 nL/min to 10 L/min"
    name = _USUAL.get(f"{path[0]}.{key}") or (_USUAL.get(key) if len(path) > 2 else None)
    return RANGES[name].usual if name else ""


def _length(metres: float) -> str:
    if metres >= 2:
        return f"{metres:g} m"
    return f"{metres * 1e3:g} mm" if metres >= 1e-3 else f"{metres * 1e6:g} um"
