"""What to do: the cheapest test that confirms each cause.

Common practice, no source, where nothing else is said.
"""

from __future__ import annotations

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


def confirmation(cause: str) -> tuple[int, str]:
    """Effort and test that confirm a cause by name; a display in another unit is not listed."""
    return CONFIRMATIONS.get(cause, _UNIT)
