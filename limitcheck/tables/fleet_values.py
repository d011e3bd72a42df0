"""What stands in a fleet table of a profile, by key, and a value put back into the profile."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from contextlib import suppress
from fractions import Fraction
from typing import Any

from ..checking.carried import ratings_of
from ..profile.model import Profile
from ..units import Pressure
from .cells import Amount, Text, Value
from .fleet import typed_text
from .numbers import CellError, read_number
from .planned import bare_number
from .words import KEYS

AGAIN = "correct the file that the row names and write the table again"
"""What to do where a table can't say it."""


def texts(profile: Profile) -> Mapping[str, tuple[str, Value | None]]:
    """By key: what stands in the table of it, and the same as a value."""
    found: dict[str, tuple[str, Value | None]] = {}
    method, instrument, band = profile.method, profile.instrument, profile.expected
    for key, text in (
        ("method.id", method.id),
        ("method.revision", method.revision),
        ("method.site", method.site),
        ("instrument.id", instrument.id),
        ("instrument.pressure_unit", instrument.pressure_unit),
    ):
        found[key] = (text or "", Text(text) if text else None)
    for key, pressure in (
        ("cutoffs.high", profile.cutoffs.high),
        ("cutoffs.low", profile.cutoffs.low),
        ("expected.low", None if band is None else band.low),
        ("expected.high", None if band is None else band.high),
    ):
        found[key] = (typed_text(key, pressure), _amount(pressure))
    ratings = ratings_of(profile)
    for key in KEYS:
        part, _, name = key.rpartition(".")
        if name == "rating":
            rating = ratings.get(part)
            found[key] = ("" if rating is None else str(rating), _amount(rating))
    return found


def _amount(pressure: Pressure | None) -> Amount | None:
    if pressure is None:
        return None
    number, _, unit = str(pressure).partition(" ")
    return Amount(number, unit, "", own=True)


def spaced(text: str) -> str:
    """With one space where any whitespace stands."""
    return " ".join(text.split())


def readings(number: str) -> Iterator[Fraction]:
    """What a number of ours may be; an empty cell is a pressure that is not there."""
    if not number:
        yield Fraction(0)
        return
    for sign in ("point", "comma"):
        with suppress(CellError):
            yield Fraction(read_number(number, sign).text)


def assign(data: dict[str, Any], key: str, value: Value | None, profile: Profile) -> None:
    """Put a value into a profile, or take it out; raises CellError where that is not possible."""
    table, _, name = key.rpartition(".")
    if key == "instrument.pressure_unit":
        raise CellError(
            "another unit of the instrument changes what its bare numbers mean",
            f"{AGAIN}, or answer with the unit of the whole profile",
        )
    if name == "rating":
        places = [part for part in data["flow_path"] if part["part"] == table]
        if len(places) != 1:
            raise CellError(f"the profile has {len(places) or 'no'} {table}", AGAIN)
        place = places[0]
    else:
        place = data.setdefault(table, {})
    if value is None:
        place.pop(name, None)
    elif isinstance(value, Text):
        place[name] = value.text
    elif isinstance(value, Amount):
        unit = profile.instrument.pressure_unit
        bare = name != "rating" and value.unit in ("", unit)
        place[name] = bare_number(value.number) if bare else f"{value.number} {value.unit}"
