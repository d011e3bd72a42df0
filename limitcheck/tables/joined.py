"""Records of all sheets joined: what each instrument and each column is, by every row that tells.

Rows that contradict each other are asked; the unit of an instrument is what a table says of it,
else the one unit of its cutoffs.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from difflib import get_close_matches
from typing import NamedTuple

from ..errors import LimitcheckError, Refused
from ..units import Pressure, exact, find_unit, plain
from .answers import Answers
from .cells import Amount, Text, Value
from .questions import Question
from .rows import Given, Record, SheetRead
from .two_ways import one_of_two_ways
from .unsure_headers import PERCENT_A
from .words import KEYS, QUANTITY

OF_INSTRUMENT = (
    *("instrument.pressure_unit", "instrument.display_step", "instrument.entry_max"),
    *("instrument.dwell_volume", "pump.rating", "tubing.rating", "injector.rating"),
    *("fitting.rating", "detector cell.rating"),
)
OF_COLUMN = (
    *("column.serial", "column.chemistry", "column.length", "column.bore"),
    *("column.particle_size", "column.inlet_frit", "column.outlet_frit", "column.rating"),
)
_BETWEEN_NAMES = re.compile(
    r"\s*[,;/&+|\t\n\r\v\f\u2028]\s*|\s+(?:and|or|to|und|oder|bis|et|ou|à|-|–|—)\s+"
)
_DIMENSIONS = ("length", "bore", "particle_size")
TYPED = ("cutoffs.high", "cutoffs.low", "expected.low", "expected.high", "expected")
"""Pressures that are bare numbers in the instrument's unit where nothing says another."""


@dataclass(slots=True)
class Thing:
    """An instrument or a column: what the rows agree on; `open` where a question waits."""

    name: str
    given: dict[str, Given] = field(default_factory=dict)
    records: list[Record] = field(default_factory=list)
    open: bool = False
    unit: str = ""
    unit_from: str = ""

    @property
    def methods(self) -> Iterator[Record]:
        """The rows of methods among the records."""
        return (record for record in self.records if record.header.kind == "methods")


class Joined(NamedTuple):
    """Instruments and columns by name, the rows of methods, and what is open."""

    instruments: dict[str, Thing]
    columns: dict[str, Thing]
    methods: tuple[Record, ...]
    questions: tuple[Question, ...]


def join(reads: Sequence[SheetRead]) -> Joined:
    """Everything the sheets say, by instrument, column and method."""
    questions: list[Question] = []
    records = [record for read in reads for record in read.records]
    for record in records:
        questions += one_of_two_ways(record)
        _split_dimensions(record)
        _percent_b(record)
    questions += _units_of_ratings(records)
    instruments = _things(records, "instrument.id", "instruments", OF_INSTRUMENT, questions)
    columns = _things(records, "column.label", "columns", OF_COLUMN, questions)
    methods = tuple(record for record in records if record.header.kind == "methods")
    for record in methods:
        questions += _missing(record, instruments)
        questions += _several_methods(record)
    return Joined(instruments, columns, methods, tuple(questions))


def _split_dimensions(record: Record) -> None:
    given = record.given.pop("column.dimensions", None)
    if given is None or isinstance(given.value, Amount | Text):
        return
    for key, amount in zip(_DIMENSIONS, given.value, strict=False):
        record.given.setdefault(f"column.{key}", given._replace(value=amount))


def _percent_b(record: Record) -> None:
    """What a column of % A says of % B, where a person has said that it does."""
    given = record.given.pop(PERCENT_A, None)
    if given is not None and isinstance(given.value, Amount):
        rest = plain(100 - exact(given.value.number))
        amount = given.value._replace(number=rest)
        record.given.setdefault("conditions.percent_b", given._replace(value=amount))


def _units_of_ratings(records: Iterable[Record]) -> Iterator[Question]:
    """Ratings of which nothing says the unit: it is asked, once for a column."""
    asked: set[tuple[str, str]] = set()
    for record in records:
        for key, given in record.given.items():
            amount = given.value
            if (
                key in TYPED
                or QUANTITY.get(KEYS[key].kind) != "pressure"
                or not isinstance(amount, Amount)
                or amount.unit
            ):
                continue
            header, column = record.header, given.column
            sheet, place = header.sheet.name, header.place(column)
            record.open = True
            if (sheet, place) not in asked:
                asked.add((sheet, place))
                text = f'"{column.text}": ratings without a unit, first {given.cell}: {given.text}'
                advice = "answer with the unit, as in bar, psi or MPa"
                yield Question(sheet, place, "unit", column.text, text, advice)


def known_unit(answers: Answers, answer: str, cell: str) -> str:
    """An answered unit of pressure by its name; raises Refused."""
    try:
        return find_unit(answer, Pressure)
    except LimitcheckError as error:
        raise Refused(f"{answers.path}: unit of {cell}: {error.message}", error.advice) from None


def _things(
    records: Iterable[Record],
    identity: str,
    kind: str,
    keys: Sequence[str],
    questions: list[Question],
) -> dict[str, Thing]:
    """Instruments or columns by name, with what all rows that name one agree on."""
    found: dict[str, Thing] = {}
    listed: set[str] = set()
    for record in records:
        if name := record.text(identity):
            found.setdefault(name, Thing(name)).records.append(record)
            if record.header.kind == kind:
                listed.add(name)
    for thing in found.values():
        for key in keys:
            _agree(thing, key, questions)
    by_case: dict[str, str] = {}
    for name, thing in found.items():
        parts = re.findall(r"[^\W\d_]+|[0-9]+", name.casefold())  # LC-1 and lc 1, not LC-11
        other = by_case.setdefault(" ".join(parts) or name, name)
        if all(record.given[identity].confirmed for record in thing.records):
            continue  # a person says that it is one of its own
        typed = {record.given[identity].text for record in thing.records}
        what = kind.removesuffix("s")
        several = any(map(_several, typed)) and (what == "instrument" or _has_both(name))
        if name not in listed and several:
            questions.append(_unlisted(thing, identity, f'"{name}" is one {what}?', ""))
        elif other != name:
            found[other].open = True  # with these rows it may have two of one method
            questions.append(_unlisted(thing, identity, f'"{name}" and "{other}" are one?', other))
        elif listed and name not in listed:
            close = get_close_matches(name, listed, n=1)
            text = f'no sheet of {kind} lists "{name}"'
            questions.append(_unlisted(thing, identity, text, close[0] if close else ""))
    return found


def _several(name: str) -> bool:
    """Whether a name as typed may be that of several instruments, as in "LC-1, LC-2"."""
    parts = _BETWEEN_NAMES.split(name.strip())
    words = name.split()
    return _are_alike(parts) or (_are_alike(words) and any(map(str.isdigit, words[0])))


def _has_both(name: str) -> bool:
    """Whether a name has letters and digits: "Phenyl, Hexyl" may be one column, "C-1, C-2" not."""
    return any(map(str.isdigit, name)) and any(map(str.isalpha, name))


def _are_alike(names: Sequence[str]) -> bool:
    """Whether several names are of one pattern of letters and digits."""
    plain = [re.sub(r"[\s_-]", "", name) for name in names]
    shapes = {re.sub(r"[^\W\d]+", "a", re.sub(r"[0-9]+", "9", name)) for name in plain}
    return len(names) > 1 and len(shapes) == 1 and "" not in shapes


def _unlisted(thing: Thing, identity: str, text: str, meant: str) -> Question:
    thing.open = True
    record = thing.records[0]
    given = record.given[identity]
    advice = "answer with the name that is meant, or list it there"
    return _asked(record, given, text, advice, meant)


def _asked(record: Record, given: Given, text: str, advice: str, meant: str = "") -> Question:
    method, instrument = record.text("method.id"), record.text("instrument.id")
    sheet = record.header.sheet.name
    return Question(sheet, given.cell, "cell", given.text, text, advice, meant, instrument, method)


def _agree(thing: Thing, key: str, questions: list[Question]) -> None:
    """Keep the value that all rows give; ask where they differ, of those that are fewer.

    Nothing of the thing is written until they agree: which of them is wrong is not known. What a
    person has said counts, not how many rows there are.
    """
    told = [(record, given) for record in thing.records if (given := record.given.get(key))]
    if not told:
        return
    counted = Counter(plain_value(given.value) for _, given in told)
    said = {plain_value(given.value) for _, given in told if given.confirmed or given.answered}
    most, times = counted.most_common(1)[0]
    alone = 2 * times > len(told)
    if len(said) == 1:
        most, alone = said.pop(), True
    thing.given[key] = next(given for _, given in told if plain_value(given.value) == most)
    if len(counted) == 1:
        return
    thing.open = True
    for record, given in told:
        if alone and plain_value(given.value) == most:
            continue
        record.open = True
        name = key.replace(".", " ").replace("_", " ")
        text = f"{name} of {thing.name}: {given.text} here, and other rows say otherwise"
        meant = thing.given[key].text if alone else ""
        questions.append(_asked(record, given, text, "answer with the one that holds", meant))


def plain_value(value: Value) -> tuple[str, ...]:
    """A value without how it is written: 400 and 400.0 are one."""
    if isinstance(value, Text):
        return (value.text,)
    amounts = value if isinstance(value, tuple) and not isinstance(value, Amount) else (value,)
    return tuple(
        f"{Decimal(amount.number).normalize():f} {amount.unit}"
        for amount in amounts
        if isinstance(amount, Amount)
    )


def _several_methods(record: Record) -> Iterator[Question]:
    """A cell that may name several methods, whose rows are then not looked at one by one."""
    given = record.given.get("method.id")
    digits = given is not None and any(map(str.isdigit, given.text))
    if given is not None and digits and not given.confirmed and _several(given.text):
        record.open = True
        advice = 'give each method a row of its own, or answer "as it stands" where it is one'
        yield _asked(record, given, f'"{" ".join(given.text.split())}" is one method?', advice)


def _missing(record: Record, instruments: dict[str, Thing]) -> Iterator[Question]:
    """What a row of a method lacks without which there is no profile."""
    sheet, header = record.header.sheet, record.header
    for key, what in (("method.id", "method"), ("instrument.id", "instrument")):
        if record.text(key):
            continue
        column = header.of(key)
        record.open = True
        at = 0 if column is None else column.at
        if column is None:
            continue  # told once for the sheet
        known = list(instruments)[:3] if what == "instrument" else []
        advice = f"answer with the {what}" + (f", as in {known[0]}" if known else "")
        text = f"the row names no {what}; a cell is not filled from above unless it is merged"
        yield Question(
            *(sheet.name, sheet.cell_name(record.row, at), "cell", sheet.at(record.row, at), text),
            *(advice, "", record.text("instrument.id"), record.text("method.id")),
        )
