"""What each key of the format says, in the words of the laboratory, with an example as TOML.

The one source of these words: for the schema, which an editor shows, for the form of the page and
for the documentation of the format.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple


class Told(NamedTuple):
    """What a key says, and how it is written."""

    text: str
    example: str


_PART: dict[str, Told] = {
    "use": Told(
        "File of a shared description, and the part in it; keys beside it override.",
        '"../columns/tea.toml#column"',
    ),
    "part": Told("What the part is; the first is the pump, and one is a column.", '"column"'),
    "label": Told("What distinguishes it from others of its kind.", '"pump to injector"'),
    "serial": Told("The same column in two profiles has the same number.", '"C-0417"'),
    "rating": Told("Highest pressure that it holds, from its plate or manual.", '"400 bar"'),
    "rating_at_flow": Told(
        "Ratings that hold up to a flow, each flow once; beyond the last none is known.",
        '[{ flow = "5 mL/min", rating = "400 bar" }]',
    ),
    "rating_at_temperature": Told(
        "Ratings that hold up to a temperature, each temperature once; beyond the last none is "
        "known.",
        '[{ temperature = "60 degC", rating = "200 bar" }]',
    ),
    "interpolate": Told(
        "Whether straight lines join the points of these tables; else they are steps, and between "
        "two points the lower one holds. Only where the maker's manual draws lines.",
        "true",
    ),
}
_RESISTANCE_AT = Told(
    "Pressure drop over the part as measured, with its conditions.",
    '{ pressure = "6 bar", flow = "1.0 mL/min" }',
)
_RESISTANCE: dict[str, Told] = {
    "pressure": Told("Pressure drop over this part alone.", '"62 bar"'),
    "flow": Told("Flow at which it was read.", '"1.0 mL/min"'),
    "temperature": Told("Temperature of the column then; else as in [conditions].", '"35 degC"'),
    "solvent_a": Told("At that time; else as in [conditions].", '"water"'),
    "solvent_b": Told("At that time; else as in [conditions].", '"acetonitrile"'),
    "percent_b": Told(
        "At that time, 0 to 100; needed with solvent_b, and in a gradient method unless solvent_a "
        "alone flowed.",
        "18",
    ),
}
DESCRIBED: Mapping[str, Mapping[str, Told]] = {
    "Method": {
        "id": Told("Number of the method.", '"KB-TEA-014"'),
        "title": Told("What it determines.", '"Catechins in green tea"'),
        "revision": Told("Revision of the method.", '"B"'),
        "site": Told("Laboratory that this profile is for.", '"Kestrel Bay"'),
    },
    "Instrument": {
        "use": Told("File of a shared description; keys beside it override.", '"kb-lc-03.toml"'),
        "id": Told("Number of the instrument.", '"KB-LC-03"'),
        "pressure_unit": Told("Unit that the front panel shows: look at it.", '"bar"'),
        "display_step": Told(
            "Smallest step that the entry field takes, in that unit; else the usual one.", "1"
        ),
        "entry_max": Told("Largest number that the entry field takes, in that unit.", "600"),
        "dwell_volume": Told(
            "From where A and B meet to the column inlet: a gradient arrives later by it over the "
            "flow.",
            '"800 uL"',
        ),
        "oven": Told(
            "What surrounds the column: how much of the heat of friction stays in it.",
            '"forced air"',
        ),
    },
    "Cutoffs": {
        "high": Told("High cutoff as typed, in the instrument's unit; absent: none is set.", "240"),
        "low": Told("Low cutoff as typed, in the instrument's unit; absent: none is set.", "50"),
    },
    "Expected": {
        "low": Told("Lowest normal pressure of the run; bare: in the instrument's unit.", "95"),
        "high": Told("Highest normal pressure of the run.", "190"),
        "basis": Told("Where the band comes from; declared, where nothing is given.", '"measured"'),
        "swing": Told(
            "Highest minus lowest on the display within a minute or so of steady running, at most.",
            "3",
        ),
    },
    "Conditions": {
        "flow": Told("Flow of the method.", '"1.0 mL/min"'),
        "temperature": Told("Column temperature.", '"35 degC"'),
        "ambient": Told("Of the room: that of the tubing outside the oven.", '"21 degC"'),
        "solvent_a": Told(
            "As people write it: water, or 0.1 % formic acid in water.", '"20 mM phosphate, pH 2.5"'
        ),
        "solvent_b": Told("The other liquid, of which percent_b is given.", '"acetonitrile"'),
        "percent_b": Told("Of an isocratic method, 0 to 100; else give a gradient.", "18"),
        "gradient": Told(
            "Points of the gradient programme, by time; not beside percent_b.",
            "[{ minute = 0, percent_b = 5 }, { minute = 20, percent_b = 95 }]",
        ),
        "injection_volume": Told("Volume injected.", '"10 uL"'),
        "injection_minute": Told(
            "Minute of the gradient at which the sample is injected; else its start.", "0"
        ),
    },
    "GradientPoint": {
        "minute": Told("Minutes from the start of the programme.", "20"),
        "percent_b": Told("At that minute, 0 to 100.", "95"),
    },
    "FlowRating": {
        "flow": Told("Up to this flow.", '"5 mL/min"'),
        "rating": Told("It holds this.", '"400 bar"'),
    },
    "TemperatureRating": {
        "temperature": Told("Up to this temperature.", '"60 degC"'),
        "rating": Told("It holds this.", '"200 bar"'),
    },
    "Pump": _PART
    | {
        "part": Told("The first part of every flow path.", '"pump"'),
        "resistance_at": _RESISTANCE_AT,
        "stroke_volume": Told("What one stroke of one head delivers.", '"50 uL"'),
        "heads": Told("Heads that deliver in turn, 1 to 4.", "2"),
    },
    "Device": _PART
    | {"part": Told("What the part is.", '"detector cell"'), "resistance_at": _RESISTANCE_AT},
    "Tube": _PART
    | {
        "part": Told("What the part is.", '"tubing"'),
        "length": Told("From end to end.", '"600 mm"'),
        "bore": Told("Inner diameter; 5 % off is 20 % in the pressure.", '"0.17 mm"'),
        "coil_diameter": Told("Diameter of the coil it is wound to; else not known.", '"50 mm"'),
        "resistance_at": _RESISTANCE_AT,
    },
    "Column": _PART
    | {
        "part": Told("What the part is.", '"column"'),
        "chemistry": Told("Its packing, as the method names it.", '"C18"'),
        "length": Told("Length of the bed.", '"150 mm"'),
        "bore": Told("Inner diameter.", '"4.6 mm"'),
        "particle_size": Told("Nominal size of the particles.", '"5 um"'),
        "particle": Told(
            "What the bed is made of; fully porous, where nothing is given. Irregular: crushed.",
            '"fully porous"',
        ),
        "inlet_frit": Told("Grade of the inlet frit.", '"2 um"'),
        "outlet_frit": Told("Grade of the outlet frit.", '"2 um"'),
        "certificate": Told(
            "Pressure drop of this column with its conditions, from its test sheet.",
            '{ pressure = "78 bar", flow = "1.0 mL/min", solvent_a = "water" }',
        ),
        "permeability": Told(
            "Of a monolith, by the velocity in the empty tube, as its maker may state it.",
            '"0.08 um2"',
        ),
        "reversible": Told("Whether its maker allows flow from outlet to inlet.", "false"),
        "plate_number": Told("Plates found with the method's own peak.", "9500"),
    },
    "Resistance": _RESISTANCE,
    "MeasuredPair": _RESISTANCE
    | {
        "pressure": Told("Pressure read at the pump.", '"62 bar"'),
        "percent_b": Told("At that time, 0 to 100; a pair of a gradient method needs it.", "18"),
        "column": Told("false: read with a union in place of the columns.", "false"),
        "day": Told("Day on which it was read.", "2026-11-27"),
    },
    "MarginSettings": {
        "high": Told("Proposed high cutoff above the expected maximum; above 0 %.", '"25 %"'),
        "low": Told(
            "Proposed low cutoff below the expected minimum; above 0 %, below 100 %.", '"50 %"'
        ),
        "headroom": Told("Kept free under the weakest rating; 0 % or more, below 100 %.", '"10 %"'),
    },
    "AcceptedFinding": {
        "check": Told("Check whose finding is accepted.", '"part-exposed-downstream"'),
        "at": Told("Place of the finding.", '"flow_path[detector cell].rating"'),
        "value": Told("The number that was accepted there.", '"280 bar"'),
        "limit": Told("What it was compared with.", '"150 bar"'),
        "reason": Told("Why it may stay.", '"relief valve at 100 bar before the cell"'),
        "by": Told("Who answers for it.", '"method owner"'),
        "until": Told("Last day on which it holds.", "2027-06-30"),
    },
    "MadeFrom": {
        "gave": Told("What was taken from the file.", '"method"'),
        "path": Told("The file, from this one's folder.", '"../kestrel-bay.toml"'),
        "sha256": Told("SHA-256 of its bytes on that day.", '"9f2c..."'),
        "values": Told("SHA-256 of its values: comments do not change it.", '"51ab..."'),
        "method": Told("Method in that file.", '"KB-TEA-031"'),
        "revision": Told("Its revision.", '"A"'),
        "instrument": Told("Instrument in that file.", '"KB-LC-05"'),
        "tool": Told("Version of limitcheck that took them.", '"limitcheck 0.1.0"'),
        "day": Told("Day on which they were taken.", "2026-11-25"),
    },
}
"""By name of the table's model and key."""
PART_IN_USE = Told("What the part is; else as the description says.", '"column"')
"""The key `part` beside `use`."""
