"""What is usual for a key of the format, in words: for the form and the documentation.

Common practice, no source: the ranges that the checks use.
"""

from __future__ import annotations

from collections.abc import Mapping

from ..units import PRESSURE_UNITS, exact, plain
from ..units.printing import in_unit
from .amounts import RANGES
from .plausible import COLUMN_LENGTHS, FLOWS, TUBE_LENGTHS, plausible_bar

USUAL = {
    ("Instrument", "display_step"): "display step",
    ("Instrument", "entry_max"): "largest entry",
    ("Instrument", "dwell_volume"): "dwell volume",
    ("Expected", "swing"): "swing over band",
    ("Conditions", "temperature"): "temperature",
    ("Conditions", "ambient"): "ambient",
    ("Conditions", "percent_b"): "percent B",
    ("Conditions", "injection_volume"): "injection volume",
    ("GradientPoint", "percent_b"): "percent B",
    ("Pump", "stroke_volume"): "stroke volume",
    ("Tube", "coil_diameter"): "coil",
    ("Column", "permeability"): "permeability",
    ("Column", "plate_number"): "plate number",
    ("TemperatureRating", "temperature"): "rated temperature",
    ("Resistance", "pressure"): "pressure drop",
    ("Resistance", "temperature"): "temperature of a test",
    ("MeasuredPair", "pressure"): "pressure drop",
    ("MeasuredPair", "temperature"): "temperature of a test",
}
"""Name of the usual range, by model of the table and key; lengths and ratings have their own."""
_ON_THE_DISPLAY = {("Instrument", "display_step"), ("Instrument", "entry_max")}
_LENGTHS: Mapping[str, Mapping[str, tuple[float, float]]] = {
    "Column": COLUMN_LENGTHS,
    "Tube": TUBE_LENGTHS,
}


def usual(table: str, key: str, part: str = "", unit: str = "bar") -> str:
    """What is usual for a key of a table, as in "4 mm to 60 m"; empty where nothing is known.

    A rating has a range for each kind of part. Numbers of an instrument's display are in its
    pressure `unit`, to two digits.

    >>> usual("Instrument", "entry_max"), usual("Instrument", "entry_max", unit="psi")
    ('10 to 3000 bar', '150 to 44000 psi')
    """
    if key == "rating":
        return usual_rating(part) if part else ""
    if ends := _LENGTHS.get(table, {}).get(key):
        return " to ".join(map(_length, ends))
    if key == "flow":
        least, most = (60 * end for end in FLOWS)
        return f"{least * 1e12:g} nL/min to {most * 1e3:g} L/min"
    if (table, key) not in USUAL:
        return ""
    found = RANGES[USUAL[table, key]]
    if (table, key) in _ON_THE_DISPLAY and unit in PRESSURE_UNITS and unit != "bar":
        shown = (plain(exact(f"{in_unit(end, unit):.2g}")) for end in (found.least, found.most))
        return f"{' to '.join(shown)} {unit}"
    return found.usual


def usual_rating(part: str) -> str:
    """The ratings seen on a kind of part."""
    return "{:g} to {:g} bar".format(*plausible_bar(part))


def _length(metres: float) -> str:
    for factor, unit in ((1.0, "m"), (1e3, "mm")):
        if metres * factor >= 1:
            return f"{metres * factor:g} {unit}"
    return f"{metres * 1e6:g} um"
