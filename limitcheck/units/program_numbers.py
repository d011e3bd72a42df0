"""Numbers as programs write them: hexadecimal, octal and binary. Nobody reads one at an instrument.

What was meant is asked: the number that a program reads, or its digits.
"""

from __future__ import annotations

import re
from collections.abc import Callable

from .numbers import UnitError

_BASES = {"x": (16, "hexadecimal"), "o": (8, "octal"), "b": (2, "binary")}
_BEGINS = re.compile(r"([+-]?)0(x|o(?=[0-9])|b(?=[0-9]))(?=[0-9a-z.])", re.IGNORECASE)
"""No unit begins so: that of "0 bar" has no digit after its b."""


def of_programs(text: str, is_unit: Callable[[str], bool]) -> UnitError | None:
    """What to say and write where a text is such a number, with a unit or without; else None.

    >>> of_programs("0x75 bar", lambda unit: unit == "bar").advice
    'write 117 bar, if hexadecimal is meant, or 75 bar'
    """
    begins = _BEGINS.match(text)
    if begins is None:
        return None
    base, name = _BASES[begins[2].lower()]
    digits, unit = _parted(text[begins.end() :], is_unit)
    try:
        meant = f"{begins[1]}{int(digits, base)}{unit}"
    except ValueError:
        advice = "write it in the digits 0 to 9"
    else:
        advice = f"write {meant}, if {name} is meant"
        if digits.isdigit():
            advice += f", or {begins[1]}{int(digits)}{unit}"
    return UnitError(f'"{text}" is a number as programs write it', advice)


def _parted(rest: str, is_unit: Callable[[str], bool]) -> tuple[str, str]:
    """The digits and the unit, with a space before it: the longest that is one."""
    for at in range(1, len(rest)):
        if is_unit(rest[at:].strip()):
            return rest[:at].strip(), f" {rest[at:].strip()}"
    return rest.strip(), ""
