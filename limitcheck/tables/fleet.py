"""The fleet as a table for spreadsheets: a row a profile, units of numbers in their headers."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from functools import partial
from typing import NamedTuple

from ..checking.carried import PARTS
from ..checking.fleet import Facts, FleetRow, Nearness
from ..checking.margins import Margin, Margins
from ..checking.root import shown_text
from ..units import Pressure
from .spreadsheet import Cell, Printed, WrittenTable

UNREADABLE = "unreadable"
NEARNESS = {
    Nearness.UNREADABLE: UNREADABLE,
    Nearness.BEYOND: "without a high cutoff, or over a rating",
    Nearness.NEAR: "with little headroom, an error or a warning",
    Nearness.NOT_DECIDED: "not decided",
    Nearness.WELL: "with headroom kept, no error, no warning",
}
"""What each part of the order is called, everywhere."""
OFF, NOT_GIVEN = "off", "not given"
WHOLE = "Whole profile"
"""The heading of the column of which an import makes the profiles again."""


class Column(NamedTuple):
    """A column: its heading, its width in characters, and what a row has there."""

    heading: str
    width: int
    value: Callable[[FleetRow], Cell]


def fleet_table(rows: Iterable[FleetRow], unit: str) -> WrittenTable:
    """The rows in their order, with every pressure in `unit` and as typed."""
    columns = tuple(_columns(unit))
    return WrittenTable(
        "Fleet",
        [(column.heading, column.width) for column in columns],
        ([column.value(row) for column in columns] for row in rows),
        Printed("B:F", 7),
    )


def _columns(unit: str) -> Iterator[Column]:
    yield Column("File", 40, lambda row: shown_text(row.path))
    yield Column("Method", 18, lambda row: row.method)
    yield Column("Revision", 9, _of(lambda facts: facts.revision))
    yield Column("Site", 16, _of(lambda facts: facts.site))
    yield Column("Instrument", 14, lambda row: row.instrument)
    yield Column("Shows", 8, _kept(lambda facts: facts.unit))
    yield Column("Nearness to harm", 30, lambda row: NEARNESS[row.nearness])
    yield Column("State", 12, lambda row: row.state)
    yield Column("Worst finding", 34, lambda row: row.worst)
    for number, grade in enumerate(("Errors", "Warnings", "Notes", "Accepted", "Known")):
        yield Column(grade, 10, partial(_count, number))
    yield Column("Checks not decided", 10, _of_row(lambda row: row.undecided))
    yield Column("Required and not decided", 40, _of_row(lambda row: ", ".join(row.left_open)))
    yield from _pressure("High cutoff", unit, "as typed", OFF, lambda facts: facts.high)
    yield from _pressure("Low cutoff", unit, "as typed", OFF, lambda facts: facts.low)
    for end, what in enumerate(("Expected from", "Expected to")):
        yield from _pressure(what, unit, "as typed", NOT_GIVEN, partial(_end, end))
    yield Column("Basis of expected", 14, _of(lambda facts: facts.band and facts.band.basis))
    yield Column("Expected is not normal", 24, _of(lambda facts: facts.band and facts.band.why_not))
    yield from _pressure("Weakest rating", unit, "in force", NOT_GIVEN, lambda f: f.weakest)
    yield Column("Weakest part", 22, _of(lambda facts: facts.part))
    yield Column("Lowered by flow or temperature", 14, _of(_lowered))
    yield Column("No rating in force", 40, _of(lambda facts: ", ".join(facts.unrated)))
    yield from _margin("High cutoff over expected", unit, lambda margins: margins.over_band)
    yield from _margin("Low cutoff under expected", unit, lambda margins: margins.under_band)
    yield from _margin("Headroom under rating", unit, lambda margins: margins.headroom)
    yield Column("Headroom is", 12, _of(lambda facts: facts.headroom_is))
    yield Column("Measured pairs", 10, _of(lambda facts: facts.pairs))
    yield Column("Last measured", 12, _of(lambda facts: facts.last_measured))
    for part in PARTS:
        yield Column(rating_heading(part), 16, _kept(partial(_rating, part)))
    yield Column("SHA-256", 66, lambda row: row.sha256)
    yield Column(WHOLE, 30, _kept(lambda facts: facts.whole))


def rating_heading(part: str) -> str:
    """The heading of the column with the rating of a kind of part, as stated."""
    return f"{part.capitalize()} rating as stated"


def _rating(part: str, facts: Facts) -> Cell:
    found = facts.ratings.get(part)
    return None if found is None else str(found)


def _of(value: Callable[[Facts], Cell]) -> Callable[[FleetRow], Cell]:
    """What the facts of a row say; nothing of a file that cannot be read."""
    return lambda row: None if row.facts is None else value(row.facts)


def _kept(value: Callable[[Facts], Cell]) -> Callable[[FleetRow], Cell]:
    """What a profile is made of: a word where there is none, which no table takes for a value."""
    return lambda row: UNREADABLE if row.facts is None else value(row.facts)


def _of_row(value: Callable[[FleetRow], Cell]) -> Callable[[FleetRow], Cell]:
    return lambda row: None if row.facts is None else value(row)


def _count(number: int, row: FleetRow) -> Cell:
    return None if row.facts is None else row.counts[number][1]


def _end(number: int, facts: Facts) -> Pressure | None:
    return facts.ends[number] if facts.ends else None


def _lowered(facts: Facts) -> Cell:
    if facts.weakest is None:
        return None
    return "yes" if facts.derated else "no"


def _pressure(
    what: str, unit: str, given: str, none: str, pressure: Callable[[Facts], Pressure | None]
) -> Iterator[Column]:
    """In the common unit, and as it is given; of one that is not there what that means."""

    def number(facts: Facts) -> Cell:
        found = pressure(facts)
        return None if found is None else found.to(unit)

    def text(facts: Facts) -> Cell:
        found = pressure(facts)
        return none if found is None else pressure_text(found, off=none == OFF)

    yield Column(f"{what} [{unit}]", 12, _of(number))
    yield Column(f"{what} {given}", 16, _kept(text))


def pressure_text(pressure: Pressure, *, off: bool) -> str:
    """As it is given; where `off`, of a cutoff of zero that it is off."""
    return f"{pressure} ({OFF})" if off and not pressure.value else str(pressure)


def off_text(key: str) -> str:
    """What stands as typed in place of a pressure that is not there, by its key."""
    return {"cutoffs": OFF, "expected": NOT_GIVEN}.get(key.partition(".")[0], "")


def typed_text(key: str, pressure: Pressure | None) -> str:
    """What stands as typed of a pressure of a key."""
    off = off_text(key)
    return off if pressure is None else pressure_text(pressure, off=off == OFF)


def _margin(what: str, unit: str, margin: Callable[[Margins], Margin | None]) -> Iterator[Column]:
    def share(facts: Facts) -> Cell:
        found = margin(facts.margins)
        return None if found is None else found.share * 100

    def room(facts: Facts) -> Cell:
        found = margin(facts.margins)
        return None if found is None else found.room(unit)

    yield Column(f"{what} [%]", 12, _of(share))
    yield Column(f"{what} [{unit}]", 12, _of(room))
