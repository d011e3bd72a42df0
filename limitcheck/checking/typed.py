"""Pressures and conditions as people type them at an instrument."""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import TYPE_CHECKING, NamedTuple

from ..errors import Refused

if TYPE_CHECKING:
    from ..physics.system import Change
    from ..units import Pressure, Quantity

OFF = "off"
"""What people type for a cutoff that is off; profiles have 0."""
CONDITIONS = {
    "flow": "flow",
    "temperature": "temperature",
    "ambient": "ambient",
    "length": "column_length",
    "particle-size": "particle_size",
    "percent-b": "percent_b",
}
"""By key: the field of Change."""


class Typed(NamedTuple):
    """A pressure as somebody typed it; `note` says how it was read, empty where as written."""

    pressure: Pressure
    note: str = ""


def read(text: str, unit: str = "", *, decimal_point: bool = False) -> Typed:
    """A pressure with its unit, or a bare number in `unit`; raises UnitError.

    Whether the point of "5.800 psi" stands between thousands is asked, unless it can only be a
    `decimal_point`, as in a number of TOML.

    >>> read("0,4 N/mm2").note
    '"0,4 N/mm2" is read as 0.4 MPa.'
    """
    from ..units import (
        PRESSURE_UNITS,
        Pressure,
        UnitError,
        ask_about_thousands,
        exact,
        find_unit,
        how_read,
        plain_or_rounded,
    )
    from ..units import split_quantity as split
    from ..units.numbers import as_written

    number, spelling = split(text, Pressure, unit)
    if re.match(r"[+-]?0+[0-9]", number):
        plain = f"{plain_or_rounded(exact(number))} {spelling}".strip()
        message = f'"{text.strip()}" begins with a zero'
        raise UnitError(message, f'write "{plain}", if that is meant')
    name = find_unit(spelling, Pressure, number)
    if not decimal_point:
        ask_about_thousands(text, number, spelling, PRESSURE_UNITS[name].factor)
    number = as_written(number)  # 280, not 2.8e2 or 280.
    found = Pressure.of(number, name)
    if unit and is_bare(text):
        return Typed(found, f"{text.strip()} is read as {number} {unit}, in the instrument's unit.")
    return Typed(found, how_read(text, number, spelling, name))


def is_bare(text: str) -> bool:
    """Whether a text that was read has no unit.

    >>> is_bare("1e5"), is_bare("1e5 Pa")
    (True, False)
    """
    return not any(letter.isalpha() for letter in text if letter not in "eE")


def pressure(text: str, unit: str, what: str, *, decimal_point: bool = False) -> Pressure:
    """The pressure in `text`: with its unit, or a bare number in the instrument's `unit`.

    Raises Refused that begins with `what`.
    """
    from ..units import UnitError

    try:
        return read(text, unit, decimal_point=decimal_point).pressure
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


def condition(key: str, text: str, what: str) -> tuple[float, Quantity]:
    """The value of one of CONDITIONS, as Change takes it and as typed; raises Refused."""
    from ..units import Flow, Length, Ratio, Temperature, UnitError

    kinds: dict[str, type[Quantity]] = {
        "flow": Flow,
        "temperature": Temperature,
        "ambient": Temperature,
        "length": Length,
        "particle-size": Length,
    }
    try:
        if key == "percent-b":
            ratio = Ratio.parse(text if text.endswith("%") else f"{text} %")
            if ratio.value > 1:
                raise UnitError(f'"{text}" is more than 100 %', "write a number from 0 to 100")
            return float(100 * ratio.value), ratio
        quantity = kinds[key].parse(text)
    except UnitError as error:
        raise Refused(f"{what}: {error.message}", error.advice) from None
    if quantity.value <= 0:
        raise Refused(f"{what}: {text} is not above zero", "write a positive value")
    return float(quantity), quantity


def parse_change(at: Iterable[str]) -> tuple[Change, dict[str, Quantity]]:
    """The change in every ``--at``, and its quantities as typed, by key; raises Refused."""
    from ..physics.system import Change

    values: dict[str, float] = {}
    typed: dict[str, Quantity] = {}
    # A comma not before a key is one inside a number.
    for item in (item for text in at for item in re.split(r",(?=[^,=]*=)", text)):
        key, equals, value = (piece.strip() for piece in item.partition("="))
        if not equals or key not in CONDITIONS:
            raise Refused(
                f'--at: "{item.strip()}" is not a condition',
                f'write as in "flow=1.2 mL/min,percent-b=40"; keys: {", ".join(CONDITIONS)}',
            )
        if key in typed:
            raise Refused(f"--at: {key} is given twice", "give each condition once")
        values[CONDITIONS[key]], typed[key] = condition(key, value, f"--at {key}")
    return Change(**values), typed
