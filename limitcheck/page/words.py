"""What the form calls the tables and keys of a profile; what a key says is in `described`."""

from __future__ import annotations

from collections.abc import Mapping

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
_LABELS: Mapping[str, str] = {
    "use": "Shared description",
    "entry_max": "Largest entry",
    "basis": "Where it comes from",
    "ambient": "Room temperature",
    "solvent_a": "Solvent A",
    "solvent_b": "Solvent B",
    "percent_b": "Percent B",
    "injection_minute": "Minute of the injection",
    "serial": "Serial number",
    "interpolate": "Straight line between ratings",
    "resistance_at": "Measured pressure drop",
    "certificate": "Certificate of the column",
    "coil_diameter": "Diameter of the coil",
    "particle": "Packing",
    "inlet_frit": "Pores of the inlet frit",
    "outlet_frit": "Pores of the outlet frit",
    "reversible": "May be reversed",
    "column": "With the column",
    "day": "Day it was read",
}
"""Where people say it otherwise than the key."""


def label(key: str) -> str:
    """What the form calls a key.

    >>> label("particle_size")
    'Particle size'
    """
    return _LABELS.get(key, key.replace("_", " ").capitalize())
