"""The usual cautions, each worded once, and where each is printed."""

from __future__ import annotations

CAUTIONS: dict[str, str] = {
    "zero-pressure": "Flow off, and let the pressure fall to zero before you open a fitting.",
    "eye-protection": "Wear eye protection and gloves: a line under pressure sprays.",
    "solvents": (
        "Solvents are flammable and toxic: collect them, air the room, no flame, no sparks."
    ),
    "not-above-rating": "Never raise a cutoff above a rating to get past a blockage.",
    "backflush": "Backflush to waste, never into the detector, and only if the maker allows it.",
    "who-decides": (
        "The maker's manual, the site's procedures and qualified staff decide; this tool is an "
        "aid to review, not a safety device."
    ),
}
"""By name; common practice, no source."""

AT_THE_BENCH: tuple[str, ...] = tuple(CAUTIONS)
"""Where a flow path is opened: all of them."""
READING_A_PRESSURE = ("not-above-rating", "zero-pressure", "eye-protection", "who-decides")
"""Where a pressure is judged, before anybody opens anything."""
IN_A_RECORD = ("not-above-rating", "who-decides")
"""In reports and records."""


def texts(names: tuple[str, ...]) -> list[str]:
    """The cautions of one place, to print."""
    return [CAUTIONS[name] for name in names]
