"""The unit of each instrument's bare numbers: as the table says, else as all its rows say together.

What people type into an instrument is in the unit that it shows. Where nothing states it, it is
inferred from the ratings, bands and predicted pressures of all rows of the instrument, by
`limitcheck.meant`; where another unit is not ruled out, it is asked.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from typing import NamedTuple

from ..meant import may_be_ruled_out, only_unit, ruled_out, unit_costs
from ..units import TRADE_UNITS, USUAL_STEP, Pressure, exact, plain_or_rounded, round_safely
from .answers import Answers
from .cells import Amount, Text
from .joined import TYPED, Joined, Thing, known_unit
from .planned import Origin, Plan
from .questions import CONFIRMED, Question
from .refused import validate
from .remembered import Remembered
from .rows import Given, Record

_FEWEST, _LOOKED_AT, _LOOKED_AT_STATED = 2, 40, 12
"""Rows that decide a unit, at least: a single one may be copied whole from elsewhere; and rows of
an instrument that are looked at, at most: to infer its unit, and to see whether a stated one can
be."""
_NEAR = "kgf/cm2"
"""2 % from bar: plausibility cannot tell them apart, so it counts only where the table names it."""


class _Typed(NamedTuple):
    """A pressure of a method as typed."""

    record: Record
    key: str
    given: Given
    amount: Amount


def decide_units(joined: Joined, answers: Answers, remembered: Remembered) -> list[Question]:
    """Give each instrument its unit, or ask for it; ask of cutoffs that stand in another."""
    trial = _Trial(Plan(joined._replace(instruments={}), Origin("", ""), remembered), remembered)
    questions: list[Question] = []
    named = {t.amount.unit for thing in joined.instruments.values() for t in _typed(thing)}
    for thing in joined.instruments.values():
        typed = list(_typed(thing))
        questions += _decide(trial, thing, typed, answers, _NEAR in named)
        questions += _in_another_unit(thing, typed)
    return questions


def _typed(thing: Thing) -> Iterator[_Typed]:
    for record in thing.methods:
        for key in TYPED:
            given = record.given.get(key)
            if given is None:
                continue
            value = given.value
            amounts = value if not isinstance(value, Amount) else (value,)
            for amount in amounts:
                if isinstance(amount, Amount):
                    yield _Typed(record, key, given, amount)


def _decide(
    trial: _Trial, thing: Thing, typed: Sequence[_Typed], answers: Answers, near: bool
) -> Iterator[Question]:
    if thing.open and "instrument.pressure_unit" not in thing.given:
        return  # whether there is such an instrument is asked first
    bare = [t for t in typed if not t.amount.unit]
    place = _place(bare or typed)
    answer = None if place is None else answers.unit(thing.name)
    stated = thing.given.get("instrument.pressure_unit")
    if answer is not None and place is not None:
        thing.unit = known_unit(answers, answer.text, answer.asked.cell)
        thing.unit_from = "as answered"
        kept = stated is not None and stated.value == Text(thing.unit)
        if not answer.confirmed and not kept and bare:
            yield from _doubted(trial, thing, place, near)
        return
    units = Counter(t.amount.unit for t in typed if t.amount.unit and t.key.startswith("cutoffs"))
    units = units or Counter(t.amount.unit for t in typed if t.amount.unit)
    most = next((unit for unit, n in units.items() if not bare and 3 * n >= 2 * units.total()), "")
    if stated is not None:
        thing.unit = stated.value.text if isinstance(stated.value, Text) else ""
    elif len(units) == 1 and not bare:
        thing.unit = next(iter(units))
        thing.unit_from = f"that of its pressures in the table, as in {typed[0].given.cell}"
        return
    elif most:
        thing.unit = most
        thing.unit_from = f"that of nearly all its cutoffs in the table; {len(typed)} looked at"
        return
    elif len(units) > 1 and place is not None:
        told = " and ".join(sorted(units))
        yield _question(thing, place, f"cutoffs of {thing.name} stand in {told}", "")
        return
    elif place is None:
        thing.open = True
        if not any(record.open for record in thing.records):
            yield _no_unit(thing)
        return
    if not bare or place is None:
        return
    costs, rows = trial.costs(thing, near)
    if stated is not None:
        if costs and ruled_out(costs, thing.unit):
            likely = min(costs, key=costs.__getitem__)
            text = f"{thing.name} is said to show {thing.unit}; its numbers fit {likely}"
            yield _question(thing, place, text, likely)
        return
    found = only_unit(costs) if rows >= _FEWEST else None
    if found is not None:
        thing.unit = found
        thing.unit_from = f"inferred from {rows} rows together: no other unit fits"
        return
    likely = min(costs, key=costs.__getitem__) if costs else ""
    text = f'"{place[2]}" of {thing.name}: bare numbers, and nothing rules out all units but one'
    yield _question(thing, place, text, likely)


def _doubted(
    trial: _Trial, thing: Thing, place: tuple[str, str, str], near: bool
) -> Iterator[Question]:
    """An answered unit that the rows of the instrument rule out."""
    costs, _ = trial.costs(thing, near)
    if costs and ruled_out(costs, thing.unit):
        likely = min(costs, key=costs.__getitem__)
        text = f"the answer: {thing.name} shows {thing.unit}; its numbers fit {likely}"
        asked = _question(thing, place, text, likely)
        advice = f'correct the answer, or write "{CONFIRMED}" in the column `confirm`'
        yield asked._replace(advice=advice)


def _place(typed: Iterable[_Typed]) -> tuple[str, str, str] | None:
    """Sheet, cell and text of the header that a question on the unit is about."""
    first = next(iter(typed), None)
    if first is None:
        return None
    header, column = first.record.header, first.given.column
    return header.sheet.name, header.place(column), column.text


def _question(thing: Thing, place: tuple[str, str, str], text: str, meant: str) -> Question:
    thing.open = True
    advice = f"look at the front panel of {thing.name}, and answer with the unit it shows"
    sheet, cell, value = place
    return Question(sheet, cell, "unit", value, text, advice, meant, thing.name)


def _no_unit(thing: Thing) -> Question:
    record = thing.records[0]
    given = record.given["instrument.id"]
    return Question(
        *(record.header.sheet.name, given.cell, "cell", given.text),
        f"no column says which unit {thing.name} shows, and no pressure has one",
        "add a column `Pressure unit` with the unit that the front panel shows",
        instrument=thing.name,
    )


class _Trial:
    """Reads the rows of instruments in each unit they may be in."""

    def __init__(self, plan: Plan, remembered: Remembered) -> None:
        self.plan, self.remembered = plan, remembered

    def costs(self, thing: Thing, near: bool) -> tuple[dict[str, float], int]:
        """How surprising the rows of an instrument are in each unit, and how many were read.

        Nothing of the units where the one that is stated can be, beside any other.
        """
        units = [unit for unit in TRADE_UNITS if near or unit != _NEAR]
        most = _LOOKED_AT_STATED if thing.unit else _LOOKED_AT
        before, thing.unit = thing.unit, thing.unit or units[0]
        self.plan.describe(thing)
        evidences = []
        rows = list(thing.methods)
        for record in rows[:: max(1, len(rows) // most)]:
            was_open = record.open
            planned = self.plan.attempt(record)
            if planned is not None and not list(validate(planned, self.remembered.pieces)):
                assert planned.profile is not None
                evidences.append(self.remembered.evidence(planned.profile))
                self.remembered.tried[id(record)] = planned
            record.open = was_open  # what the format refuses is asked when the unit is known
        thing.unit = before
        if before and not may_be_ruled_out(evidences, before, units):
            return {}, len(evidences)
        return unit_costs(evidences, units) if evidences else {}, len(evidences)


def _in_another_unit(thing: Thing, typed: Iterable[_Typed]) -> Iterator[Question]:
    """Cutoffs that stand in another unit than the instrument shows: what is typed there?"""
    for t in typed:
        if not thing.unit or t.amount.unit in ("", thing.unit) or not t.key.startswith("cutoffs"):
            continue
        t.record.open = True
        given = thing.given.get("instrument.display_step")
        step = USUAL_STEP[thing.unit]
        if given is not None and isinstance(given.value, Amount):
            step = exact(given.value.number) or step
        meant = Pressure.of(t.amount.number, t.amount.unit).to(thing.unit)
        stored = round_safely(meant, step, t.key.rpartition(".")[2])
        yield Question(
            *(t.record.header.sheet.name, t.given.cell, "cell", t.given.text),
            f"{t.amount.number} {t.amount.unit}, and {thing.name} shows {thing.unit}",
            f"answer with what is typed there, in {thing.unit}",
            *(plain_or_rounded(stored), thing.name, t.record.text("method.id")),
        )
