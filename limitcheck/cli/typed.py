"""Pressures as people type them at an instrument, and the profile they belong to."""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import TYPE_CHECKING

from .output import Refused

if TYPE_CHECKING:
    from ..units import Pressure


def pressure(text: str, unit: str, what: str) -> Pressure:
    """The pressure in `text`: with its unit, or a bare number in the instrument's `unit`."""
    from ..units import Pressure, UnitError

    typed = text if re.search("[A-Za-z]", text) else f"{text.strip()} {unit}"
    try:
        return Pressure.parse(typed)
    except UnitError as error:
        raise Refused(f"{what}: {error.message}", error.advice) from None


def steps(texts: Iterable[str], unit: str, option: str) -> dict[str, Pressure]:
    """The pressures of `--reading STEP=VALUE`, by step; raises Refused."""
    found: dict[str, Pressure] = {}
    for text in texts:
        name, equals, value = (piece.strip() for piece in text.partition("="))
        if not equals or not name or not value:
            raise Refused(f'{option} "{text}" has no step or no value', f"{option} all=286")
        if name in found:
            raise Refused(f"{option} {name} is given twice", "give each step once")
        found[name] = pressure(value, unit, f"{option} {name}")
    return found
