"""What the names of a log's columns say: which column is which, and in which unit.

Each name is gone through a fixed number of times, whatever is in it.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence

ROLES = ("time", "pressure", "unit", "method", "column", "phase", "flow", "injections")
_NAMES = {
    "time": "time, date, datetime, timestamp, date time, date and time, date/time, run date, "
    "started, start time, injection time, recorded",
    "pressure": "pressure, system pressure, pump pressure, column pressure, back pressure, "
    "pressure reading, reading",
    "unit": "unit, units, pressure unit",
    "method": "method, method id, method name",
    "column": "column, column serial, column serial number, column id, column no, serial, "
    "serial number, serial no",
    "phase": "phase, stage, step",
    "flow": "flow, flow rate",
    "injections": "injections, injection, injection number, injections so far",
}
_ROLE_OF = {name: role for role, names in _NAMES.items() for name in names.split(", ")}
_BRACKET = re.compile(r"[(\[]")
_UNIT_AT_END = re.compile(r"_(bar|psi|MPa|kPa)\Z", re.IGNORECASE)


def roles_of(header: Sequence[str], chosen_names: Mapping[str, str]) -> dict[str, list[int]]:
    """Candidates for each role by the names of the columns; some are chosen, by role."""
    roles: dict[str, list[int]] = {}
    chosen = {name.strip().casefold(): role for role, name in chosen_names.items()}
    for index, name in enumerate(header):
        plain = name.strip().casefold()
        role = chosen.get(plain)
        if role is None:
            role = _ROLE_OF.get(name_and_unit(plain)[0].replace("_", " ").strip())
            if role in chosen_names:
                continue
        if role is not None:
            roles.setdefault(role, []).append(index)
    return {role: roles[role] for role in ROLES if role in roles}


def name_and_unit(name: str) -> tuple[str, str | None]:
    """A header such as "pressure (bar)" as name and unit spelling."""
    name = name.strip()
    bracket = _BRACKET.search(name, 1)
    if bracket and name.endswith((")", "]")) and (unit := name[bracket.end() : -1].strip()):
        return name[: bracket.start()].rstrip(), unit
    before, last = _last_word(name)
    for separator in (" in", ","):  # "pressure in bar", "pressure, bar"
        if before.lower().endswith(separator) and (head := before[: -len(separator)].rstrip()):
            return head, last
    head, comma, unit = last.partition(",")  # "pressure,bar"
    if comma and unit and (head := f"{before} {head}".strip()):
        return head, unit
    ending = _UNIT_AT_END.search(name, 1)
    return (name[: ending.start()], ending[1]) if ending else (name, None)


def _last_word(text: str) -> tuple[str, str]:
    """What stands before the last word, and that word."""
    words = text.rsplit(maxsplit=1)
    return (words[0], words[1]) if len(words) == 2 else ("", text)
